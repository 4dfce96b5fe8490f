"""The days of a plan in words: what to do, when, how strong, and why."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from tanwright.planning.amounts import Amounts
from tanwright.planning.answers import Step
from tanwright.planning.before_start import (
    does_not_fit,
    gather,
    leave_alone,
    missing_kg,
    prepare,
    start,
    too_hot,
)
from tanwright.planning.course import Cook
from tanwright.planning.lately import Lately
from tanwright.planning.looks import look_of
from tanwright.planning.looks_and_gate import ending, is_through, looks
from tanwright.planning.outcome import Course, Outcome
from tanwright.planning.phrases import (
    about_of_ten,
    below_words,
    litres,
    mix,
    on,
    pots,
    range_of,
    skins_word,
    strength_words,
)
from tanwright.planning.setting import Setting
from tanwright.science.belief.unknowns import Floats
from tanwright.units import format_mass

HARDLY_WANTED = 0.05
"""A cook that fewer of the worlds still open want is not told."""
MORE_THAN_NEEDED = 1.1
"""Told of: cooks that come to so many times the most likely need before the likeliest finish."""
_ORDER = (
    "wait",
    "move",
    "prepare",
    "start",
    "gate",
    "strengthen",
    "gather",
    "top-up",
    "look",
    "rinse",
)
"""Of one day: whether it is done is asked before another cook is made."""


def steps_of(
    setting: Setting,
    outcome: Outcome,
    course: Course,
    amounts: Amounts,
    today: date,
    used_kg: Floats,
    lately: Lately | None = None,
) -> tuple[Step, ...]:
    """Everything still to be done from ``today`` on, by date.

    ``used_kg`` (j,) went in so far; ``lately`` is what the newest readings say.
    """
    now = setting.day_of(today)
    lately = lately or Lately()
    missing = missing_kg(setting, amounts, used_kg)
    end = ending(setting, outcome, missing, now, lately)
    if lately.done:
        return tuple(end)
    through = is_through(setting, outcome, now, lately)
    steps = too_hot(setting, outcome, course, now)
    if now <= 0.0:
        steps = [*leave_alone(setting), *steps]
    ahead: list[Step] = []
    if now <= 0.0:
        ahead = [*prepare(setting), *gather(setting, amounts)]
        steps.append(start(setting, outcome, course))
    cooks = _cooks(setting, outcome, course, amounts, now, through)
    steps += cooks + looks(setting, outcome, now)
    told = {step.date for step in ahead if step.action == "gather"}
    steps += [step for step in end if step.action != "gather" or step.date not in told]
    if lately.waits_for == "thaw":
        steps.append(_thaw(today))
    elif lately.waits_for and not through:
        steps.append(_put_back(setting, today))
    elif lately.back:
        steps.append(_look_after(setting, today, steps))
    steps = [_no_earlier(step, today) for step in (*ahead, *steps)]
    steps.sort(key=lambda step: (step.date, step not in ahead, _ORDER.index(step.action)))
    hot = [step for step in steps if step.action == "wait" and step.date <= setting.start]
    return (*hot, *(step for step in steps if step not in hot))


def _no_earlier(step: Step, today: date) -> Step:
    return replace(step, date=today) if step.date < today else step


def _thaw(today: date) -> Step:
    return Step(
        today, "wait",
        "The vat is frozen: let it thaw, or bring it where it stays above 3 °C, and write "
        "the day down",
        "Nothing tans in ice and nothing is lost. The days below reckon with a thaw by "
        "tomorrow; each further day of frost moves them by a day.",
    )  # fmt: skip


def _put_back(setting: Setting, today: date) -> Step:
    return Step(
        today, "move",
        f"Put the {skins_word(setting)} back into the vat, and write the day down",
        "Out of the liquor nothing goes in, and a skin that dries out halfway tans unevenly. "
        "The days below reckon with tomorrow; each further day moves them by a day.",
    )  # fmt: skip


def _look_after(setting: Setting, today: date, steps: list[Step]) -> Step:
    """The first thing after the vat was left: nose and hands, then what is due today."""
    due = {step.action for step in steps if step.date <= today}
    then = ", cook what lies here today" if "strengthen" in due else ""
    then += "; then gather" if "gather" in due else ""
    return Step(
        today, "move",
        f"Smell the vat, turn the {skins_word(setting)}, feel the grain{then}",
        "A sour smell and a film on top are common after a rest; a foul smell that stays after a "
        "rinse, or a grain that is slimy or gives under a thumbnail, wants stronger liquor now.",
    )  # fmt: skip


def _cooks(
    setting: Setting,
    outcome: Outcome,
    course: Course,
    amounts: Amounts,
    now: float,
    through: bool,
) -> list[Step]:
    """The strengthenings still to make, those that hardly any open world wants left out."""
    finish = range_of(outcome.finish_day)
    in_all = sum(course.first.kg)
    likely = float(np.median(amounts.need_kg.sum(axis=1)))
    told_more = False
    steps = []
    for change in course.changes:
        if not isinstance(change, Cook):
            continue
        in_all += sum(change.kg)
        if change.day <= now - 1e-6 or change.day > finish.p95:
            continue
        wanted = _wanted(outcome, change)
        if wanted < HARDLY_WANTED:
            continue
        late = through or change.day > finish.p50
        step = _strengthen(setting, outcome, change, wanted, late)
        if in_all > MORE_THAN_NEEDED * likely and not late and not told_more:
            told_more = True
            step = replace(
                step,
                reason=f"{step.reason} With this it is {format_mass(in_all)}, more than the "
                f"{format_mass(likely)} most likely needed: a stronger liquor is quicker, and what "
                "is left in it serves the next skin. To spare material, leave it out and wait.",
            )
        steps.append(step)
    return steps


def _wanted(outcome: Outcome, cook: Cook) -> float:
    """Share of the worlds not done by the day of a cook whose vat is weak enough for it."""
    still_open = outcome.finish_day > cook.day
    if not still_open.any():
        return 0.0
    if cook.below_bk is None:
        return 1.0
    before = outcome.result.at(cook.day - 1e-4, outcome.strength_bk)
    return float(np.mean(before[still_open] < cook.below_bk))


def _strengthen(setting: Setting, outcome: Outcome, cook: Cook, wanted: float, late: bool) -> Step:
    after = range_of(outcome.result.at(cook.day, outcome.strength_bk))
    before = float(np.median(outcome.result.at(cook.day - 1e-4, outcome.strength_bk)))
    only = ""
    if cook.below_bk is not None and wanted < 0.9:
        only = (
            f" Only if the vat {below_words(setting, cook.below_bk)}: needed in "
            f"{about_of_ten(wanted)}{' that are not done by then' if late else ''}."
        )
    over = ""
    if does_not_fit(setting, cook.kg, cook.litres):
        over = " What does not fit back is the first water of the next pot."
    number = pots(setting, cook.kg)
    in_pots = f" in {number} pots," if number > 1 else " in"
    return Step(
        on(setting, cook.day), "strengthen",
        f"{'If it is not done yet: c' if late else 'C'}ook {mix(setting, cook.kg)}{in_pots} two "
        f"waters{' each' if number > 1 else ''}: {litres(cook.litres)} taken from the vat, and "
        "fresh water for what the bark keeps; strain, press, cool, pour it back",
        f"The skin has drawn the vat down to {strength_words(setting, before)}.{only}{over}",
        strength_bk=after.p50, strength_range_bk=after, litres=cook.litres, look=look_of(after.p50),
    )  # fmt: skip

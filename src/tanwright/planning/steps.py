"""The days of a plan in words: what to do, when, how strong, and why."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from tanwright.planning.amounts import Amounts
from tanwright.planning.answers import Range, Step
from tanwright.planning.course import Cook, Poured
from tanwright.planning.looks import look_of
from tanwright.planning.outcome import Course, Outcome
from tanwright.planning.policy import pot_kg
from tanwright.planning.setting import Setting
from tanwright.science.belief.summary import percentiles
from tanwright.science.belief.unknowns import Floats
from tanwright.units import format_mass


def range_of(values: Floats) -> Range:
    """5th, 50th and 95th percentile of ``values`` (m,); infinite values count as large."""
    found = percentiles(np.asarray(values, dtype=float))
    return Range(found.p05, found.p50, found.p95)


def on(setting: Setting, day: float) -> date:
    """The date of ``day`` after the start."""
    return setting.start + timedelta(days=int(np.floor(day + 1e-6)))


def steps_of(
    setting: Setting,
    outcome: Outcome,
    course: Course,
    amounts: Amounts,
    today: date,
    used_kg: Floats,
    waits_for: str = "",
) -> tuple[Step, ...]:
    """Everything still to be done from ``today`` on, by date.

    ``used_kg`` (j,) went in so far; ``waits_for`` is ``"thaw"`` or ``"put back"`` when nothing
    tans until then.
    """
    now = setting.day_of(today)
    steps: list[Step] = []
    if now <= 0.0:
        steps += _before(setting, amounts)
        steps.append(_start(setting, outcome, course))
    for change in course.changes:
        if change.day > now - 1e-6 and isinstance(change, Cook):
            steps.append(_strengthen(setting, outcome, change))
    steps += _looks(setting, outcome, now)
    told = {step.date for step in steps if step.action == "gather"}
    ending = _end(setting, outcome, missing_kg(setting, amounts, used_kg), now)
    steps += [step for step in ending if step.action != "gather" or step.date not in told]
    if waits_for:
        steps.append(_waiting(setting, waits_for, today))
    steps = [_no_earlier(step, today) for step in steps]
    steps.sort(key=lambda step: (step.date, _ORDER.index(step.action)))
    return tuple(steps)


_ORDER = ("wait", "move", "gather", "start", "gate", "strengthen", "top-up", "look", "rinse")
"""Of one day: whether it is done is asked before another cook is made."""


def _no_earlier(step: Step, today: date) -> Step:
    return replace(step, date=today) if step.date < today else step


def missing_kg(setting: Setting, amounts: Amounts, used_kg: Floats) -> Floats:
    """Material to gather beyond what is in hand, used or not, kg as it lies, (m, j)."""
    have = np.array([lot.lot.have_kg or 0.0 for lot in setting.lots])
    return np.asarray(np.maximum(amounts.need_kg - np.maximum(have, used_kg), 0.0))


def _waiting(setting: Setting, waits_for: str, today: date) -> Step:
    if waits_for == "thaw":
        return Step(
            today, "wait",
            "The vat is frozen: let it thaw, or bring it where it stays above 3 °C, and write "
            "the day down",
            "Nothing tans in ice and nothing is lost. The days below reckon with a thaw by "
            "tomorrow; each further day of frost moves them by a day.",
        )  # fmt: skip
    return Step(
        today, "move",
        "Put the skin back into the vat, and write the day down",
        "Out of the liquor nothing goes in, and a skin that dries out halfway tans unevenly. "
        "The days below reckon with tomorrow; each further day moves them by a day.",
    )  # fmt: skip


def _before(setting: Setting, amounts: Amounts) -> list[Step]:
    steps = []
    for j, lot in enumerate(setting.lots):
        have = lot.lot.have_kg or 0.0
        kg = range_of(np.maximum(amounts.need_kg[:, j] - have, 0.0))
        if lot.lot.have_kg is None:
            steps.append(
                Step(
                    setting.start, "gather",
                    f"Have {format_mass(kg.p50)} of {lot.label} by you, better "
                    f"{format_mass(kg.p95)}",
                    "The larger figure is enough in 19 cases of 20; the first pot tells more.",
                    material_id=lot.key,
                )
            )  # fmt: skip
    held = np.array([lot.lot.have_kg or 0.0 for lot in setting.lots])
    if all(lot.lot.have_kg is not None for lot in setting.lots) and setting.lots:
        short = float(1.0 - amounts.enough.mean())
        if short > 0.1:
            j = amounts.main
            gap = range_of(
                np.maximum(amounts.need_g - amounts.supply_g, 0.0)
                / np.maximum(amounts.need_g, 1e-9)
                * amounts.need_kg.sum(axis=1)
            )
            more = gap.p95 if short < 0.5 else gap.p50
            steps.append(
                Step(
                    setting.start, "gather",
                    f"Know where another {format_mass(more)} of {setting.lots[j].label} is to "
                    "be had",
                    f"What lies here ({format_mass(float(held.sum()))}) falls short in about "
                    f"{_of_ten(short)}.",
                    material_id=setting.lots[j].key,
                )
            )  # fmt: skip
    return steps


def _of_ten(share: float) -> str:
    number = max(round(10 * share), 1)
    return f"{number} case{'' if number == 1 else 's'} of 10"


def _mix(setting: Setting, kg: tuple[float, ...]) -> str:
    parts = [
        f"{format_mass(m)} {lot.label}" for m, lot in zip(kg, setting.lots, strict=True) if m > 0.0
    ]
    return " and ".join(parts) or "no material"


def _pots(setting: Setting, kg: tuple[float, ...]) -> int:
    return max(1, round(sum(m / pot_kg(setting, j) for j, m in enumerate(kg)) + 0.4))


def _litres(litres: float) -> str:
    return f"{litres:.0f} L" if litres >= 10.0 else f"{litres:.2g} L"


def _in_pots(setting: Setting, kg: tuple[float, ...]) -> str:
    pots = _pots(setting, kg)
    return f" in {pots} pots, one after the other," if pots > 1 else ""


def _start(setting: Setting, outcome: Outcome, course: Course) -> Step:
    first = range_of(outcome.strength_bk[:, 0])
    pots = _pots(setting, course.first.kg)
    return Step(
        setting.start, "start",
        f"Cook {_mix(setting, course.first.kg)} in {pots} pot{'s' if pots > 1 else ''}, two "
        f"waters each; fill the vat to {_litres(setting.vat_l)} with it and water, let it cool "
        f"below 30 °C, put the skin{'s' if sum(s.count for s in setting.skins) > 1 else ''} in",
        "A weak first liquor colours the pelt evenly; a strong one tans the outside shut.",
        strength_bk=first.p50, strength_range_bk=first, litres=setting.vat_l,
        look=look_of(first.p50),
    )  # fmt: skip


def _strengthen(setting: Setting, outcome: Outcome, cook: Cook) -> Step:
    after = range_of(outcome.result.at(cook.day, outcome.strength_bk))
    before = outcome.result.at(cook.day - 1e-4, outcome.strength_bk)
    wanted = 1.0 if cook.below_bk is None else float(np.mean(before < cook.below_bk))
    only = ""
    if cook.below_bk is not None and wanted < 0.9:
        only = (
            f" Only if the vat stands below {cook.below_bk:.0f} °Bk (paler than "
            f"{look_of(cook.below_bk)}): needed in about {_of_ten(wanted)}."
        )
    late = "If it is not done yet: c" if cook.day > range_of(outcome.finish_day).p50 else "C"
    return Step(
        on(setting, cook.day), "strengthen",
        f"{late}ook {_mix(setting, cook.kg)}{_in_pots(setting, cook.kg)} in "
        f"{_litres(cook.litres)} taken from the vat; strain, press, cool, pour it back",
        f"The skin has drawn the vat down to about {float(np.median(before)):.0f} °Bk.{only}",
        strength_bk=after.p50, strength_range_bk=after, litres=cook.litres, look=look_of(after.p50),
    )  # fmt: skip


def _first_day_over(outcome: Outcome, series: Floats, level: float) -> float:
    """First day on which the median of ``series`` (m, t) is above ``level``; inf if never."""
    middle = np.median(series, axis=0)
    hit = np.flatnonzero(middle >= level)
    return float(outcome.day[hit[0]]) if hit.size else np.inf


def look_days(outcome: Outcome, now: float) -> list[float]:
    """Days worth a cut: a third and two thirds through, then around the finish."""
    finish = range_of(outcome.finish_day)
    days = [
        _first_day_over(outcome, outcome.through, 1.0 / 3.0),
        _first_day_over(outcome, outcome.through, 2.0 / 3.0),
        finish.p05,
    ]
    end = float(outcome.day[-1])
    kept: list[float] = []
    for day in sorted(float(np.ceil(d)) for d in days if np.isfinite(d) and d <= end):
        # Nearer than that to the last one a cut tells little new.
        apart = max(2.0, 0.12 * min(finish.p50, end))
        if day > now and (not kept or day - kept[-1] >= apart):
            kept.append(day)
    return kept


def is_fish(setting: Setting) -> bool:
    """True when only fish skins lie in the vat."""
    return all(skin.animal == "fish" for skin in setting.sheet.skins)


def cut_places(setting: Setting) -> str:
    """Where the skin is thickest."""
    return "along the back" if is_fish(setting) else "at the neck and at the haunch"


def _give_or_take(through: Range) -> str:
    """How much may be pale when ``through`` (share of the thickness) is tanned."""
    least, most = f"{1.0 - through.p95:.0%}", f"{1.0 - through.p05:.0%}"
    if most == "0%":
        return ""
    return f" (at most {most})" if least == "0%" else f" (between {least} and {most})"


def _looks(setting: Setting, outcome: Outcome, now: float) -> list[Step]:
    steps: list[Step] = []
    for day in look_days(outcome, now):
        share = range_of(outcome.result.at(day, outcome.through))
        pale = 1.0 - share.p50
        view = "no pale line at all" if pale < 0.02 else f"about {pale:.0%} pale in the middle"
        steps.append(
            Step(
                on(setting, day), "look",
                f"Cut a sliver {cut_places(setting)} and look at the wet edge",
                f"You should see {view}{_give_or_take(share)}"
                + ("" if steps else "; nothing tells the finish day better than what you see")
                + ".",
                look=view,
            )
        )  # fmt: skip
    return steps


def _end(setting: Setting, outcome: Outcome, missing: Floats, now: float) -> list[Step]:
    finish = range_of(outcome.finish_day)
    if not np.isfinite(finish.p50):
        j = int(np.argmax(np.median(missing, axis=0))) if missing.size else 0
        more = range_of(missing[:, j]) if missing.size else Range(0.0, 0.0, 0.0)
        if more.p95 <= 0.0:
            return [
                Step(
                    on(setting, now), "move",
                    "Find the vat a warmer place, or move the skins oftener",
                    "As it stands, half of the cases take longer than the "
                    f"{outcome.day[-1]:.0f} days that "
                    "were looked at, though there is material enough.",
                )
            ]  # fmt: skip
        label = setting.lots[j].label
        amount = format_mass(more.p50 if more.p50 > 0.0 else more.p95)
        return [
            Step(
                on(setting, now), "gather",
                f"Gather about {amount} more of {label}: this much is not expected to finish "
                "the skin",
                "In at least half of the cases the liquor is spent before the wanted leather "
                "is reached.",
                material_id=setting.lots[j].key,
            )
        ]  # fmt: skip
    day = max(np.ceil(finish.p50), now)
    return [
        Step(
            on(setting, day), "gate",
            "Ask whether it is done: cut, feel, dry-bend",
            "Done is never a date: no pale line at the thickest and the thinnest place, no "
            "part that still feels like raw skin, and a snip dried in warm air that bends "
            "without cracking.",
            look=f"no pale line {cut_places(setting)}, and none at the belly",
        ),
        Step(
            on(setting, day + 1.0), "rinse",
            "When all three say yes: rinse, press out, oil the damp grain, dry slowly in the shade",
            "Fast drying and sun crack the grain; oil goes where the water leaves.",
        ),
    ]  # fmt: skip


def described(change: Cook | Poured, setting: Setting) -> str:
    """A change of the vat in a few words, for a mark on a picture."""
    if isinstance(change, Cook):
        return f"{_mix(setting, change.kg)} cooked in {_litres(change.litres)}"
    if change.strength_bk is None:
        return f"{_litres(change.in_l)} of cooked liquor put in"
    if change.strength_bk == 0.0:
        return f"{_litres(change.in_l)} of water put in"
    return f"{_litres(change.in_l)} of {change.strength_bk:.0f} °Bk put in"

"""When to look at a cut, when to ask whether it is done, and what comes after a yes."""

from __future__ import annotations

import numpy as np

from tanwright.planning.answers import Range, Step
from tanwright.planning.before_start import LEAST_GATHERED_KG
from tanwright.planning.lately import Lately
from tanwright.planning.outcome import Outcome
from tanwright.planning.phrases import cut_places, on, range_of, skins_word
from tanwright.planning.setting import Setting
from tanwright.science.belief.unknowns import Floats
from tanwright.units import format_mass

LONGEST_WITHOUT_A_LOOK = 18.0
"""Days between two cuts in a long tannage: two to three weeks (from memory)."""
SURELY_THROUGH = 0.75
"""Colour right through in this share of the worlds brings the done gate to today."""
LEAST_WAIT_DAYS = 3.0
"""Days after a no before the gate is asked again (common practice, no source)."""
SOON_DAYS = 3.0
"""A gate so soon after another is the same one."""
_YES = "rinse, press out, oil the damp grain, dry slowly in the shade"
_WHY_SLOWLY = "Fast drying and sun crack the grain; oil goes where the water leaves."


def _first_day_over(outcome: Outcome, series: Floats, level: float) -> float:
    """First day on which the median of ``series`` (m, t) is above ``level``; inf if never."""
    middle = np.median(series, axis=0)
    hit = np.flatnonzero(middle >= level)
    return float(outcome.day[hit[0]]) if hit.size else np.inf


def look_days(outcome: Outcome, now: float) -> list[float]:
    """Days worth a cut: a third and two thirds through, around the finish, and in long gaps."""
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
        apart = max(2.0, 0.2 * min(finish.p50, end))
        if day > now and (not kept or day - kept[-1] >= min(apart, LONGEST_WITHOUT_A_LOOK)):
            kept.append(day)
    return _filled(kept, max(now, 0.0), finish.p50)


def _filled(days: list[float], now: float, finish: float) -> list[float]:
    """``days`` with further ones up to ``finish``, so that no gap is too long."""
    if not np.isfinite(finish) or finish <= now:
        return days
    filled: list[float] = []
    before = now
    for day in [*days, float(np.ceil(finish))]:
        parts = int(np.ceil((day - before) / LONGEST_WITHOUT_A_LOOK - 1e-9))
        filled += [float(np.ceil(before + (day - before) * i / parts)) for i in range(1, parts)]
        filled += [day] if day in days else []
        before = max(day, before)
    return filled


def _give_or_take(through: Range) -> str:
    """How much may be pale when ``through`` (share of the thickness) is tanned."""
    least, most = f"{1.0 - through.p95:.0%}", f"{1.0 - through.p05:.0%}"
    if most == "0%":
        return ""
    return f" (at most {most})" if least == "0%" else f" (between {least} and {most})"


def looks(setting: Setting, outcome: Outcome, now: float) -> list[Step]:
    """The cuts to make after ``now``, and what should show in them."""
    steps: list[Step] = []
    for day in look_days(outcome, now):
        share = range_of(outcome.result.at(day, outcome.through))
        pale = 1.0 - share.p50
        view = "no pale line at all" if pale < 0.02 else f"about {pale:.0%} pale in the middle"
        after = (
            " Colour runs ahead of leather: feel for parts that are slippery or rubbery still."
            if pale < 0.02
            else ""
        )
        first = "" if steps else "; nothing tells the finish day better than what you see"
        steps.append(
            Step(
                on(setting, day), "look",
                f"Cut a sliver {cut_places(setting)} and look at the wet edge",
                f"You should see {view}{_give_or_take(share)}{first}.{after}",
                look=view,
            )
        )  # fmt: skip
    return steps


def is_through(setting: Setting, outcome: Outcome, now: float, lately: Lately) -> bool:
    """Whether the colour is through by now: the last cuts say so, or most of the worlds."""
    if now <= 0.0:
        return False
    share = float(np.mean(outcome.result.at(now, outcome.through) >= 0.999))
    if lately.through and (len(setting.skins) == 1 or share >= 0.5):
        return True
    return share >= SURELY_THROUGH


def ending(
    setting: Setting, outcome: Outcome, missing: Floats, now: float, lately: Lately
) -> list[Step]:
    """The done gate, and what follows its yes; or what is missing when no finish is in sight."""
    if lately.done:
        return _done(setting, outcome, now)
    finish = range_of(outcome.finish_day)
    through = is_through(setting, outcome, now, lately)
    steps: list[Step] = []
    again = ask_again_day(lately)
    waits = again > now
    if through and waits:
        steps.append(_gate_later(setting, again, lately))
    elif through:
        steps.append(_gate_now(setting, outcome, now, lately))
    if not np.isfinite(finish.p50):
        steps.append(_lacking(setting, outcome, missing, now))
    else:
        day = max(float(np.ceil(finish.p50)), now)
        if not through and waits and day <= again:
            # The reckoning says "today" every day anew; the answer was no.
            steps.append(_gate_later(setting, again, lately))
        elif not through or day > max(now, again) + SOON_DAYS:
            steps.append(_gate(setting, day, again=through))
    gates = [step.date for step in steps if step.action == "gate"]
    if gates:
        told = (
            "When all say yes: " + _YES
            if not lately.waits_for
            else f"When all say yes, leave the {skins_word(setting)} out: {_YES}"
        )
        after = now + 1.0 if through and not waits else (gates[0] - setting.start).days + 1.0
        steps.append(Step(on(setting, after), "rinse", told, _WHY_SLOWLY))
    return steps


def _gate(setting: Setting, day: float, *, again: bool) -> Step:
    return Step(
        on(setting, day), "gate",
        "If a no came before: ask again whether it is done: cut, feel, dry-bend"
        if again
        else "Ask whether it is done: cut, feel, dry-bend",
        "Done is never a date: no pale line at the thickest and the thinnest place, no "
        "part that still feels like raw skin, and a snip dried in warm air that bends "
        "without cracking.",
        look=f"no pale line {cut_places(setting)}, and none at the belly",
    )  # fmt: skip


def ask_again_day(lately: Lately) -> float:
    """Day from which the gate may be asked again after a no; before all time without one.

    A tenth of the time in the vat, and three days at least: what a slow skin lacks comes slowly
    (common practice, no source).
    """
    if lately.no_day is None:
        return float("-inf")
    return float(np.ceil(lately.no_day + max(LEAST_WAIT_DAYS, 0.1 * lately.no_day)))


def _gate_later(setting: Setting, day: float, lately: Lately) -> Step:
    """The gate after a no: not tomorrow again."""
    wait = day - np.floor(lately.no_day or 0.0)
    return Step(
        on(setting, day), "gate",
        "Ask again whether it is done: cut at the belly too, feel, dry-bend a snip",
        f"The last answer was no; it is asked again {wait:.0f} days after it. What is missing "
        "comes slowly: keep the liquor moving and strengthened as below, and do not cut the skin "
        "to pieces by asking daily.",
        look=f"no pale line {cut_places(setting)}, and none at the belly",
    )  # fmt: skip


def _gate_now(setting: Setting, outcome: Outcome, now: float, lately: Lately) -> Step:
    """The done gate of a skin that is coloured through today."""
    grams = 100.0 * range_of(outcome.result.at(now, outcome.degree)).p50
    low, high = 100.0 * setting.target.low, 100.0 * setting.target.high
    has = f"by reckoning {grams:.0f} g of tannin in 100 g of hide, wanted {low:.0f} to {high:.0f}"
    seen = "coloured through" if lately.through else "most likely coloured through"
    if lately.waits_for == "put back":
        no = "A no: put it back and write that down."
    else:
        no = "A no: go on as below, and ask again."
    return Step(
        on(setting, now), "gate",
        "Ask whether it is done: cut at the belly too, feel, dry-bend a snip",
        f"It is {seen}; {has}. Colour runs ahead of leather: feel and dry-bend before more is "
        f"cooked. {no}",
        look=f"no pale line {cut_places(setting)}, and none at the belly",
    )  # fmt: skip


def _done(setting: Setting, outcome: Outcome, now: float) -> list[Step]:
    """What comes after "done" was written down; asked once more when the worlds say otherwise."""
    steps = []
    share = range_of(outcome.result.at(max(now, 0.0), outcome.through))
    if share.p50 < 0.95:
        steps.append(
            Step(
                on(setting, now), "gate",
                "Cut once more before it dries: the reckoning has it "
                f"{share.p50:.0%} through ({share.p05:.0%} to {share.p95:.0%})",
                "A core that dries raw goes hard and glassy, and wetting it back takes days.",
                look=f"no pale line {cut_places(setting)}, and none at the belly",
            )
        )  # fmt: skip
    steps.append(Step(on(setting, now), "rinse", f"Now {_YES}", _WHY_SLOWLY))
    return steps


def _lacking(setting: Setting, outcome: Outcome, missing: Floats, now: float) -> Step:
    """What to do when half of the worlds do not finish."""
    j = int(np.argmax(np.median(missing, axis=0))) if missing.size else 0
    more = range_of(missing[:, j]) if missing.size else Range(0.0, 0.0, 0.0)
    if more.p95 <= LEAST_GATHERED_KG:
        return Step(
            on(setting, now), "move",
            "Find the vat a warmer place, or move the skins oftener",
            "As it stands, half of the cases take longer than the "
            f"{outcome.day[-1]:.0f} days that "
            "were looked at, though there is material enough.",
        )  # fmt: skip
    label = setting.lots[j].label
    amount = format_mass(more.p50 if more.p50 > LEAST_GATHERED_KG else more.p95)
    return Step(
        on(setting, now), "gather",
        f"Gather about {amount} more of {label}: this much is not expected to finish the skin",
        "In at least half of the cases the liquor is spent before the wanted leather is reached.",
        material_id=setting.lots[j].key,
    )  # fmt: skip

"""What readings changed against the plan, and why, in words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tanwright.planning.amounts import Amounts
from tanwright.planning.answers import Change, Range
from tanwright.planning.course import Cook, Poured
from tanwright.planning.history import History
from tanwright.planning.outcome import Course, Outcome, run_course
from tanwright.planning.phrases import on, range_of
from tanwright.planning.plan import guess_days, stock_kg
from tanwright.planning.policy import plan_cooks
from tanwright.planning.reading_words import event_in
from tanwright.planning.setting import Setting
from tanwright.planning.worlds import middle_world
from tanwright.science.belief.unknowns import Floats
from tanwright.units import format_mass, format_range

TOLD_SHIFT = 0.25
"""A belief is told when its middle moved by this many prior standard deviations."""
TOLD_NARROWING = 0.8
"""Or when its spread fell below this share of the prior's."""
NO_DELAY, NO_FINISH = "no delay", "no finish in sight"


def changes_of(
    setting: Setting,
    z_before: Floats,
    z_after: Floats,
    amounts_before: Amounts,
    amounts_after: Amounts,
    before: Outcome,
    after: Outcome,
    planned: Course,
    course: Course,
    history: History,
    now: float,
) -> tuple[Change, ...]:
    """What changed, most important first.

    ``planned`` is the course of the plan, ``course`` what was done and what is still to do.
    """
    why = _mover(setting, before, after, z_before, z_after) or _done_so_far(planned, history, now)
    spans = [_span(setting, outcome.finish_day) for outcome in (before, after)]
    found = [Change("done", spans[0], spans[1], why)]
    found += _interruptions(setting, z_after, planned, course, history, after, amounts_before)
    found += _amount(setting, amounts_before, amounts_after)
    found += _beliefs(setting, z_before, z_after)
    return tuple(found)


def _span(setting: Setting, days: Floats) -> str:
    found = range_of(days)
    first = on(setting, np.ceil(found.p05)) if np.isfinite(found.p05) else None
    last = on(setting, np.ceil(found.p95)) if np.isfinite(found.p95) else None
    if first is None:
        return "not within two years"
    return f"{first} to {last}" if last is not None else f"from {first} on, with no end in sight"


def _done_so_far(planned: Course, history: History, now: float) -> str:
    """Why the finish moved when no belief did."""
    if history.events or history.changes or history.first_kg is not None:
        return "because of what was done and what the vat went through"
    if any(change.day < now - 1.0 for change in planned.changes):
        return "no strengthening was written down, so none is taken as made"
    return "no reading has said otherwise yet"


def _mover(
    setting: Setting, before: Outcome, after: Outcome, z_before: Floats, z_after: Floats
) -> str:
    """The unknown that moved the finish most in the direction in which it moved, or nothing.

    How far each middle moved (prior sds) times its rank correlation with the finish of the plan.
    """
    shift = np.median(z_after, axis=0) - np.median(z_before, axis=0)
    ranks = np.argsort(np.argsort(before.finish_day)).astype(float)
    if np.unique(before.finish_day).size < 3:
        return ""
    pull = shift * np.array([np.corrcoef(z, ranks)[0, 1] for z in z_before.T])
    later = float(np.median(after.finish_day)) >= float(np.median(before.finish_day))
    pull = np.where(np.abs(shift) >= TOLD_SHIFT, pull if later else -pull, 0.0)
    i = int(np.argmax(pull))
    if pull[i] <= 0.05:
        return ""
    way = "higher" if shift[i] > 0 else "lower"
    return f"chiefly because of {setting.unknowns[i].label}, now believed {way}"


def _interruptions(
    setting: Setting,
    z_after: Floats,
    planned: Course,
    course: Course,
    history: History,
    after: Outcome,
    amounts: Amounts,
) -> list[Change]:
    lived = [
        text for _, text in history.events if event_in(text) not in ("started", "done", "not done")
    ]
    if not lived:
        return []
    world = middle_world(setting, z_after)
    end = float(after.day[-1])
    with_them = run_course(world, setting, course, end).finish_day[0]
    calm = replace(course, spells=history.calm)
    if not history.changes:
        # Nothing strengthened yet: without the interruptions the plan would have been followed.
        calm = replace(calm, changes=_as_planned(setting, z_after, planned, amounts, history))
    without = run_course(world, setting, calm, end).finish_day[0]
    why = f"the vat went through: {', '.join(lived[:3])}"
    if np.isfinite(with_them) and np.isfinite(without):
        why += _heat(lived, float(with_them - without))
    return [Change("interruptions", *_cost(float(with_them), float(without)), why)]


def _as_planned(
    setting: Setting, z: Floats, planned: Course, amounts: Amounts, history: History
) -> tuple[Cook | Poured, ...]:
    """The strengthenings of the plan, for a vat as warm and as sour as was read."""
    if history.calm == planned.spells:
        return planned.changes
    world = middle_world(setting, z)
    horizon = 2.0 * guess_days(world, setting)
    stock = stock_kg(setting, amounts)
    return plan_cooks(world, setting, stock, history.calm, horizon_days=horizon)[1:]


def _cost(with_them: float, without: float) -> tuple[str, str]:
    """The finish of the middle world without the interruptions and with them, told as delays.

    No dates: those of the middle world are not the middle of the dates.
    """
    if np.isfinite(with_them) and np.isfinite(without):
        cost = with_them - without
        small = abs(cost) < 0.5
        return NO_DELAY, "less than half a day's difference" if small else _days(cost)
    if np.isfinite(without):
        return NO_DELAY, NO_FINISH
    return NO_FINISH, "a finish in sight" if np.isfinite(with_them) else "none either"


def _heat(lived: list[str], cost: float) -> str:
    """Why heat moved the finish the way it did."""
    hot = any(event_in(text) == "heat" for text in lived)
    if not hot or abs(cost) < 0.5:
        return ""
    if cost > 0.0:
        return "; warm liquor works and is spent sooner"
    return "; tannin goes in faster in warm liquor, which is also spent sooner"


def _days(cost: float) -> str:
    number = max(round(abs(cost)), 1)
    return f"{number} day{'s' if number > 1 else ''} {'later' if cost > 0 else 'earlier'}"


def _kg(found: Range) -> str:
    spread = format_range(found.p05, found.p95, "mass", "metric")
    return f"{spread}, most likely {format_mass(found.p50)}"


def _wider(ratio: float) -> str:
    """How the range compares with what it was, on the logarithm."""
    if ratio <= 0.97:
        return f"the range is now {ratio:.0%} of what it was"
    if ratio < 1.03:
        return "the range is as wide as it was"
    return "the range is wider: the readings are not what most plausible vats would have shown"


def _amount(setting: Setting, before: Amounts, after: Amounts) -> list[Change]:
    found = []
    for j, lot in enumerate(setting.lots):
        old, new = range_of(before.need_kg[:, j]), range_of(after.need_kg[:, j])
        if old.p50 <= 0.0 or new.p50 <= 0.0:
            continue
        if old.p95 <= old.p05 > 0.0:
            continue  # all that lies here, before and after
        narrowed = np.log(new.p95 / max(new.p05, 1e-9)) / np.log(old.p95 / max(old.p05, 1e-9))
        if abs(np.log(new.p50 / old.p50)) < 0.05 and narrowed > 0.9:
            continue
        found.append(
            Change(
                f"{lot.label} needed in all",
                _kg(old),
                _kg(new),
                _wider(narrowed),
            )
        )
    return found


def _learnt(shift: float, narrowed: float) -> str:
    """What the readings did to one belief: ``shift`` in prior sds, ``narrowed`` as a ratio."""
    told = []
    if abs(shift) >= TOLD_SHIFT:
        told.append("higher than was thought" if shift > 0 else "lower than was thought")
    if narrowed <= 0.9 or not told:
        told.append(f"the range is {narrowed:.0%} as wide")
    return "; ".join(told)


def _beliefs(setting: Setting, z_before: Floats, z_after: Floats) -> list[Change]:
    found = []
    shift = np.median(z_after, axis=0) - np.median(z_before, axis=0)
    narrowed = z_after.std(axis=0) / z_before.std(axis=0)
    order = np.argsort(narrowed - np.abs(shift))
    lying = {lot.tannin.name: lot.air_dry_part for lot in setting.lots}
    for i in order[:3]:
        if abs(shift[i]) < TOLD_SHIFT and narrowed[i] > TOLD_NARROWING:
            continue
        unknown = setting.unknowns[i]
        factor, unit = (100.0, "%") if unknown.shape == "logit" else (1.0, unknown.unit)
        # Tannin is told of the mass as it lies, here as everywhere in an answer.
        factor *= lying.get(unknown.name, 1.0)
        old = range_of(unknown.value(z_before[:, i]) * factor)
        new = range_of(unknown.value(z_after[:, i]) * factor)
        told = [f"{r.p05:.2g} to {r.p95:.2g} {unit}".replace("mm2", "mm²") for r in (old, new)]
        if told[0] != told[1]:
            found.append(Change(unknown.label, told[0], told[1], _learnt(shift[i], narrowed[i])))
    return found

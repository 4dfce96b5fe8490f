"""A course run through all worlds, and what people look at in the result."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.planning.course import Cook, Poured, Spell, schedule_of, strength_bk
from tanwright.planning.setting import Setting
from tanwright.planning.worlds import Worlds
from tanwright.science.belief.unknowns import Floats
from tanwright.science.uptake.result import UptakeResult
from tanwright.science.uptake.solver import LEAN, Resolution, solve

LONGEST_DAYS = 730.0


@dataclass(frozen=True)
class Course:
    """All that is done to a vat: the first liquor, later changes, and its spells."""

    first: Cook
    changes: tuple[Cook | Poured, ...]
    spells: tuple[Spell, ...]

    @property
    def last_day(self) -> float:
        """Day of the last change."""
        return max((change.day for change in self.changes), default=0.0)


@dataclass(frozen=True)
class Outcome:
    """A run with its landmarks; m worlds, t records.

    Attributes
    ----------
    strength_bk:
        Of the vat, (m, t).
    through:
        Share of the thick place that is coloured, the least of all skins, (m, t).
    degree:
        Mean degree of tannage over all skins, g/g, (m, t).
    finish_day:
        Leather at the thick place and the wanted degree on the mean, (m,); inf if not in the run.
    through_day:
        Coloured right through at the thick place, (m,); inf if not in the run.
    """

    result: UptakeResult
    strength_bk: Floats
    through: Floats
    degree: Floats
    finish_day: Floats
    through_day: Floats

    @property
    def day(self) -> Floats:
        """Days of the records, (t,)."""
        return self.result.day


def run_course(
    worlds: Worlds,
    setting: Setting,
    course: Course,
    end_day: float,
    *,
    stops: Sequence[float] = (),
    resolution: Resolution = LEAN,
) -> Outcome:
    """Run ``course`` through ``worlds`` until ``end_day``."""
    schedule = schedule_of(
        worlds, setting, course.first, course.changes, course.spells, end_day, stops
    )
    result = solve(
        worlds.uptake,
        schedule,
        colour_degree=worlds.colour_degree,
        leather_degree=worlds.leather_degree,
        resolution=resolution,
    )
    return look_at(result, worlds, setting)


SCOUTS = 160
"""Worlds that are run first, to find how long the run must be."""


def run_until_done(
    worlds: Worlds, setting: Setting, course: Course, first_guess_days: float
) -> Outcome:
    """Run until 98 in a hundred of the worlds that can finish have finished, or two years.

    Scouts find the length; if their luck was too good and the 95th percentile of all worlds is
    still open while worlds are moving, the run is made once more, twice as long.
    """
    scouts = worlds.rows(slice(0, SCOUTS))
    end = float(np.clip(first_guess_days, course.last_day + 7.0, LONGEST_DAYS))
    for _ in range(3):
        outcome = run_course(scouts, setting, course, end)
        open_worlds = np.isinf(outcome.finish_day)
        if end >= LONGEST_DAYS or open_worlds.mean() <= 0.02 or _still_moving(outcome) <= 0.015:
            break
        end = min(2.2 * end, LONGEST_DAYS)
    done = np.sort(outcome.finish_day[np.isfinite(outcome.finish_day)])
    if done.size > 0.98 * scouts.members:
        end = min(end, max(1.25 * float(done[-1]) + 2.0, course.last_day + 2.0))
    outcome = run_course(worlds, setting, course, end)
    late = np.isinf(outcome.finish_day).mean()
    if late > 0.05 and end < LONGEST_DAYS and _still_moving(outcome) > min(0.01, late - 0.05):
        outcome = run_course(worlds, setting, course, min(2.0 * end, LONGEST_DAYS))
    return outcome


def _still_moving(outcome: Outcome) -> float:
    """Share of the worlds that have not finished and still take up tannin.

    Worlds that have all but stopped will not finish with this liquor.
    """
    open_worlds = np.isinf(outcome.finish_day)
    if not open_worlds.any():
        return 0.0
    late = outcome.degree[open_worlds]
    recent = int(np.searchsorted(outcome.day, 0.75 * outcome.day[-1]))
    moving = (late[:, -1] - late[:, recent]) > 0.01 * late[:, -1]
    return float(moving.mean() * open_worlds.mean())


def look_at(result: UptakeResult, worlds: Worlds, setting: Setting) -> Outcome:
    """The landmarks of a run."""
    through = result.struck_through[:, :, 1::2].min(axis=2)
    bound = result.bound_g.sum(axis=2)
    degree = bound / result.hide_g.sum(axis=1)[:, None]
    least = result.least_degree[:, :, 1::2].min(axis=2)
    capacity = worlds.uptake.capacity_g_per_g.mean(axis=1)
    low = np.minimum(setting.target.low, 0.8 * capacity)
    reached = np.minimum(least - worlds.leather_degree[:, None], degree - low[:, None])
    return Outcome(
        result=result,
        strength_bk=strength_bk(worlds, result.vat_tannin_g_per_l, result.vat_nontan_g_per_l),
        through=through,
        degree=np.asarray(degree),
        finish_day=result.first_day(reached),
        through_day=result.first_day(through - 0.999),
    )


def fronts(result: UptakeResult, slab: int, *, hair_on: bool) -> tuple[Floats, Floats]:
    """Share of the thickness coloured from the flesh side and from the grain side, (m, t) each.

    Fronts stay where they met: together they are at most the thickness. With the hair on all comes
    from the flesh side.
    """
    flesh, grain = result.flesh_front[:, :, slab], result.grain_front[:, :, slab]
    both = np.minimum(flesh + grain, 1.0)
    if hair_on:
        return both, np.zeros_like(both)
    closed = both >= 1.0 - 1e-9
    last_open = np.maximum(np.argmax(closed, axis=1) - 1, 0)[:, None]
    before = np.take_along_axis(flesh, last_open, axis=1)
    total = np.take_along_axis(both, last_open, axis=1)
    place = np.where(total > 0.0, before / np.maximum(total, 1e-12), 0.5)
    return np.where(closed, place, flesh), np.where(closed, 1.0 - place, grain)

"""When things happen to a vat: events at exact times, and the time steps between them.

A schedule is shared by all worlds of an ensemble; only what an event puts in (how strong the
liquor is) differs between worlds.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from tanwright.science.belief.unknowns import Floats


@dataclass(frozen=True)
class Pour:
    """Liquor taken out of and put into the vat at one moment.

    ``out_l`` litres leave at the vat's strength, then ``in_l`` litres enter with
    ``tannin_g_per_l`` (m, s) and ``nontan_g_per_l`` (m,).  Water: both zero.  Replacing the liquor:
    ``out_l`` = ``in_l`` = the vat.  Strengthening by swap or top-up: the litres of either.
    ``returned`` is the share of what left that comes back dissolved in ``in_l``: 1 when the liquor
    taken out was the water of the next cook, 0 when it was set aside.

    ``only_below_g_per_l`` (m,) makes it a pour for need only: it happens in the worlds whose vat
    holds less solubles (tannins and non-tans) than that. It must then leave the volume as it is.
    """

    day: float
    out_l: float
    in_l: float
    tannin_g_per_l: Floats
    nontan_g_per_l: Floats
    returned: float = 0.0
    only_below_g_per_l: Floats | None = None


@dataclass(frozen=True)
class Conditions:
    """What holds from ``day`` on, until the next record.

    ``heat`` and ``spoilage`` are factors from :mod:`.model`; ``film`` is a factor on the film at
    the faces (still liquor below one, moved above); ``lying`` (b,) is False for a slab that is not
    in the vat.
    """

    day: float
    heat: float = 1.0
    spoilage: float = 1.0
    film: float = 1.0
    lying: tuple[bool, ...] | None = None


@dataclass(frozen=True)
class Schedule:
    """All that happens from day 0 to ``end_day``.

    ``vat_l`` is the volume before the first pour; ``tannin_g_per_l`` (m, s) and ``nontan_g_per_l``
    (m,) the strength on day 0. ``stops`` are further days at which results are wanted exactly.
    """

    end_day: float
    vat_l: float
    tannin_g_per_l: Floats
    nontan_g_per_l: Floats
    pours: tuple[Pour, ...] = ()
    conditions: tuple[Conditions, ...] = field(default=(Conditions(0.0),))
    stops: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if self.end_day <= 0.0 or self.vat_l <= 0.0:
            raise ValueError("a schedule needs a positive length and a positive vat")
        volume = self.vat_l
        for pour in sorted(self.pours, key=lambda p: p.day):
            if not 0.0 <= pour.day <= self.end_day:
                raise ValueError(f"pour on day {pour.day} lies outside the schedule")
            if not 0.0 <= pour.returned <= 1.0:
                raise ValueError(f"pour on day {pour.day} returns a share outside 0 to 1")
            if pour.out_l < 0.0 or pour.in_l < 0.0 or pour.out_l > volume * (1.0 + 1e-12):
                raise ValueError(f"pour on day {pour.day} takes more than the vat holds")
            if pour.only_below_g_per_l is not None and pour.in_l != pour.out_l:
                raise ValueError(f"pour on day {pour.day} is for need and must keep the volume")
            volume += pour.in_l - pour.out_l
            if volume <= 0.0:
                raise ValueError(f"pour on day {pour.day} leaves the vat empty")


@dataclass(frozen=True)
class Steps:
    """A schedule cut into time steps.

    ``start``, ``length`` (t,) in days; ``heat``, ``spoilage``, ``film`` (t,); ``lying`` (t, b);
    ``pour_before`` (t + 1,): how many pours have happened before step i begins.
    """

    start: Floats
    length: Floats
    heat: Floats
    spoilage: Floats
    film: Floats
    lying: np.ndarray
    pour_before: np.ndarray


def graded_times(begin: float, end: float, steps_per_root_day: float, fewest: int) -> Floats:
    """Times from ``begin`` to ``end`` that start fine and widen with the square of their number.

    After a change of the vat the profile near a face moves like the root of time, so steps of
    ``end * (i / n)^2`` spread the error evenly. n grows with the root of the length.
    """
    span = end - begin
    count = max(fewest, int(np.ceil(steps_per_root_day * np.sqrt(span))))
    return np.asarray(begin + span * (np.arange(count + 1) / count) ** 2)


def cut_into_steps(schedule: Schedule, slabs: int, steps_per_root_day: float, fewest: int) -> Steps:
    """Time steps for ``schedule``: graded after every event, stopping exactly at every stop."""
    end = schedule.end_day
    pours = sorted(schedule.pours, key=lambda p: p.day)
    conditions = sorted(schedule.conditions, key=lambda c: c.day)
    breaks = sorted({0.0, end, *(p.day for p in pours), *(c.day for c in conditions)})
    breaks = [b for b in breaks if 0.0 <= b <= end]
    pieces = [graded_times(a, b, steps_per_root_day, fewest) for a, b in pairwise(breaks)]
    stops = np.array([s for s in schedule.stops if 0.0 <= s <= end])
    times = np.unique(np.concatenate([*pieces, stops]))
    # Two times nearer than a tenth of a second are the same moment, unless one is a break.
    keep = np.ones(times.size, dtype=bool)
    keep[1:] = np.diff(times) > 1e-6
    keep |= np.isin(times, breaks)
    times = times[keep]
    start, length = times[:-1], np.diff(times)
    middle = start + 0.5 * length
    which = np.searchsorted([c.day for c in conditions], middle, side="right") - 1
    which = np.maximum(which, 0)
    lying = np.ones((len(conditions), slabs), dtype=bool)
    for row, condition in enumerate(conditions):
        if condition.lying is not None:
            lying[row] = condition.lying
    pour_days = np.array([p.day for p in pours])
    pour_before = np.searchsorted(pour_days, times + 1e-9, side="right")
    pour_before[-1] = len(pours)
    return Steps(
        start=start,
        length=length,
        heat=np.array([c.heat for c in conditions])[which],
        spoilage=np.array([c.spoilage for c in conditions])[which],
        film=np.array([c.film for c in conditions])[which],
        lying=lying[which],
        pour_before=pour_before,
    )

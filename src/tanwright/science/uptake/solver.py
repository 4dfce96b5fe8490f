"""Runs the uptake model over a whole ensemble, on all cores.

The numbers of cells and steps were chosen by the error study in docs/method/uptake.md.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tanwright.science.belief.unknowns import Floats
from tanwright.science.uptake.kernel import run
from tanwright.science.uptake.lanes import LANES
from tanwright.science.uptake.model import GRAIN_LAYER_SHARE
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.record import SLAB_COLUMNS
from tanwright.science.uptake.result import SlabState, UptakeResult
from tanwright.science.uptake.schedule import Pour, Schedule, cut_into_steps
from tanwright.science.uptake.settings import (
    W_COLOUR,
    W_FILM,
    W_HIDE,
    W_LEATHER,
    W_NONTAN,
    W_PORE,
    W_RATE,
    W_SPOILAGE,
)


@dataclass(frozen=True)
class Resolution:
    """How fine a run is: cells through the thickness, and steps after each event."""

    cells: int = 24
    steps_per_root_day: float = 4.0
    fewest_steps: int = 4


FORECAST = Resolution()
"""For what is told. Worst errors in 19 of 20 typical worlds: strength 0.04 % of a strong liquor,
degree 0.2 g per 100 g, finish day 0.4 %."""

LEAN = Resolution(cells=16, steps_per_root_day=4.0, fewest_steps=4)
"""For updating and searching: 0.1 %, 0.4 g per 100 g, 1 %; two thirds of the work."""

FINE = Resolution(cells=120, steps_per_root_day=60.0, fewest_steps=60)
"""For checks."""


def solve(
    parameters: UptakeParameters,
    schedule: Schedule,
    *,
    colour_degree: Floats | float = 0.06,
    leather_degree: Floats | float = 0.2,
    resolution: Resolution = FORECAST,
    start: SlabState | None = None,
    profiles: bool = False,
    threads: int | None = None,
) -> UptakeResult:
    """Run every world of ``parameters`` (m worlds, b slabs, s kinds) through ``schedule``.

    Parameters
    ----------
    colour_degree, leather_degree:
        Bound tannin [g/g] at which a cut looks coloured, and is leather; scalar or (m,).
    start:
        Pelts to begin with; raw (no tannin) if not given. Must have ``resolution.cells`` cells.
    profiles:
        Keep the bound tannin of every cell at every record (memory: m*t*b*cells floats).
    threads:
        Worker threads; all cores by default. Results do not depend on it.

    Returns
    -------
    UptakeResult

    Raises
    ------
    ValueError
        If a strength or ``start`` does not fit the worlds, by name.
    """
    p = parameters
    m, b, s = p.members, p.slabs, p.kinds
    n = resolution.cells
    vat0 = _shaped(schedule.tannin_g_per_l, (m, s), "schedule.tannin_g_per_l")
    nontan0 = _shaped(schedule.nontan_g_per_l, (m,), "schedule.nontan_g_per_l")
    pours = sorted(schedule.pours, key=lambda pour: pour.day)
    steps = cut_into_steps(schedule, b, resolution.steps_per_root_day, resolution.fewest_steps)
    count = len(pours)
    pour_tannin = np.zeros((count, m, s))
    pour_nontan = np.zeros((count, m))
    pour_below = np.full((count, m), np.inf)
    poured = np.zeros((m, count))
    for row, pour in enumerate(pours):
        if pour.only_below_g_per_l is not None:
            pour_below[row] = _shaped(pour.only_below_g_per_l, (m,), "pour.only_below_g_per_l")
        pour_tannin[row] = _shaped(pour.tannin_g_per_l, (m, s), "pour.tannin_g_per_l")
        pour_nontan[row] = _shaped(pour.nontan_g_per_l, (m,), "pour.nontan_g_per_l")
    day, volume = _records(schedule, steps.start, steps.length, steps.pour_before, pours)
    records = day.size
    if start is None:
        start = SlabState(np.zeros((m, b, n, s)), np.zeros((m, b, n, s)), np.zeros((m, b, n)))
    elif start.total_g_per_l.shape != (m, b, n, s):
        raise ValueError(f"start has shape {start.total_g_per_l.shape}, needs {(m, b, n, s)}")
    out_vat = np.empty((m, records, s))
    out_nontan = np.empty((m, records))
    out_slab = np.empty((m, records, b, len(SLAB_COLUMNS)))
    out_account, out_effort = np.zeros((m, records, 3)), np.zeros((m, 2))
    out_profile = np.empty((m, records, b, n) if profiles else (0, records, b, n))
    end_total, end_free = np.empty((m, b, n, s)), np.empty((m, b, n, s))
    end_nontan = np.empty((m, b, n))
    kinds = (0,) * s

    worlds = np.empty((m, 8))
    worlds[:, W_RATE], worlds[:, W_PORE] = p.binding_per_day, p.pore_share
    worlds[:, W_HIDE], worlds[:, W_FILM] = p.hide_g_per_l, p.film_mm_per_day
    worlds[:, W_NONTAN] = p.nontan_diffusivity_mm2_per_day
    worlds[:, W_SPOILAGE] = p.spoilage_per_day
    worlds[:, W_COLOUR], worlds[:, W_LEATHER] = colour_degree, leather_degree
    matter = np.stack([p.diffusivity_mm2_per_day, p.affinity_l_per_g, p.capacity_g_per_g], axis=1)
    skins = np.stack([p.thickness_mm, p.area_m2, p.grain_openness], axis=1)
    clock = np.stack([steps.length, steps.heat, steps.spoilage, steps.film], axis=1)
    litres = np.array([[q.out_l, q.in_l, q.returned] for q in pours]).reshape(count, 3)

    pelts = [_plain(a) for a in (start.total_g_per_l, start.free_g_per_l, start.nontan_g_per_l)]

    def work(first: int, last: int) -> None:
        run(
            kinds, first, last, n, worlds, matter, skins, GRAIN_LAYER_SHARE, vat0, nontan0,
            schedule.vat_l, clock, steps.lying, steps.pour_before, litres, pour_tannin,
            pour_nontan, pour_below, *pelts,
            out_vat, out_nontan, out_slab, out_profile, out_account, out_effort, end_total,
            end_free, end_nontan, poured, LANES,
        )  # fmt: skip

    _share_out(work, m, threads)
    hide_g = p.hide_g_per_l[:, None] * p.area_m2 * p.thickness_mm
    column = dict(zip(SLAB_COLUMNS, np.moveaxis(out_slab, 3, 0), strict=True))
    return UptakeResult(
        day=day,
        vat_l=volume,
        vat_tannin_g_per_l=out_vat,
        vat_nontan_g_per_l=out_nontan,
        poured_in_g=out_account[:, :, 0],
        poured_out_g=out_account[:, :, 1],
        spoiled_g=out_account[:, :, 2],
        hide_g=hide_g,
        profile=out_profile,
        euler_steps=out_effort[:, 0],
        newton_steps=out_effort[:, 1],
        poured=poured,
        end=SlabState(end_total, end_free, end_nontan),
        **column,
    )


def _plain(array: Floats) -> Floats:
    """In one piece and writable: another layout would be compiled for anew."""
    return np.require(array, dtype=float, requirements=["C", "W"])


def _shaped(array: Floats, shape: tuple[int, ...], name: str) -> Floats:
    try:
        return _plain(np.broadcast_to(np.asarray(array, dtype=float), shape))
    except ValueError:
        raise ValueError(f"{name} has shape {np.shape(array)}, needs {shape}") from None


def _records(
    schedule: Schedule,
    start: Floats,
    length: Floats,
    pour_before: np.ndarray,
    pours: Sequence[Pour],
) -> tuple[Floats, Floats]:
    """Days and vat volumes of the kernel's records, in the order it writes them."""
    days, litres = [0.0], [schedule.vat_l]
    volume, done = schedule.vat_l, 0
    ends = np.append(start, start[-1] + length[-1])
    for index in range(ends.size):
        if done < pour_before[index]:
            while done < pour_before[index]:
                volume += pours[done].in_l - pours[done].out_l
                done += 1
            days.append(float(ends[index]))
            litres.append(volume)
        if index < length.size:
            days.append(float(ends[index + 1]))
            litres.append(volume)
    return np.array(days), np.array(litres)


def _share_out(work: Callable[[int, int], None], members: int, threads: int | None) -> None:
    """Run ``work(first, last)`` over all worlds, in whole groups; the kernel releases the GIL."""
    workers = threads or min(os.cpu_count() or 1, 16)
    if workers == 1 or members <= LANES:
        work(0, members)
        return
    groups = -(-members // LANES)
    chunks = min(groups, 4 * workers)
    bounds = [LANES * (groups * i // chunks) for i in range(chunks)] + [members]
    with ThreadPoolExecutor(workers) as pool:
        for future in [pool.submit(work, a, z) for a, z in pairwise(bounds)]:
            future.result()

"""One implicit stage of the tannin in a group of worlds, and what surrounds it in a time step.

Unknowns of Newton's method are the free tannin and the vat; the bound tannin follows cell by cell:

    q_s = (q_base_s + h k q*_s(c)) / (1 + h k)

After Newton the totals are set from the fluxes of its result, never from the result itself, so
that tannin is conserved to rounding whatever the tolerance.
"""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.compiled import njit
from tanwright.science.uptake.elimination import eliminate, solve_vat
from tanwright.science.uptake.lanes import (
    ACTIVE,
    BAD,
    BORDER,
    BOUND_BASE,
    CELL_L,
    CHANGE,
    DECAY,
    FREE,
    FREE_NEW,
    FREE_TRY,
    GATE,
    HIDE,
    LANES,
    LARGEST,
    LOST,
    PORE,
    REACH,
    ROW_PAIRS,
    ROW_RUNS,
    SCALE,
    SLAB_RUNS,
    STEP,
    TOTAL,
    TOTAL_BASE,
    TOTAL_TRY,
    VAT,
    VAT_BASE,
    VAT_PAIRS,
    VAT_RUNS,
    VAT_TRY,
    Kinds,
)

MAX_NEWTON = 40
NEWTON_TOLERANCE = 1e-4
"""Largest change in the last Newton step, over the strongest liquor. The error that remains is of
the order of its square."""
NEGATIVE = 1e-9
"""Total or bound tannin below minus this, over the strongest liquor, counts as negative."""
MISFIT = 1e-5
"""The same for bound tannin after Newton, whose last step leaves that much."""


@njit
def solve_stage(
    kinds: Kinds,
    cells: int,
    lying: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    vat: np.ndarray,
    volume: float,
    lanes: int,
) -> int:
    """FREE_NEW and VAT from a guess to the solution, in lanes that are ACTIVE; counts steps.

    ``pelt`` (b, rows), ``slab`` (b, parameters) and ``vat`` are laid out as in :mod:`.lanes`.
    """
    k = len(kinds)
    n = LANES
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    to_vat = k * ROW_RUNS * n
    cell_l = (k * SLAB_RUNS + CELL_L) * n
    border = (k * VAT_RUNS + k * k * BORDER) * n
    reach = (k * VAT_RUNS + k * k * REACH) * n
    single = (k * VAT_RUNS + k * k * VAT_PAIRS) * n
    end = (cells + 1) * size
    for count in range(1, MAX_NEWTON + 1):
        for s in range(k):
            for r in range(k):
                for w in range(lanes):
                    vat[border + (s * k + r) * n + w] = 0.0
            for w in range(lanes):
                decay = vat[single + DECAY * n + w]
                vat[border + (s * k + s) * n + w] = volume * decay
                vat[(k * CHANGE + s) * n + w] = volume * (
                    vat[(k * VAT_BASE + s) * n + w] - vat[(k * VAT + s) * n + w] * decay
                )
        for w in range(lanes):
            vat[single + LARGEST * n + w] = 0.0
        for b in range(pelt.shape[0]):
            if not lying[b]:
                continue
            x, p = pelt[b], slab[b]
            for s in range(k):
                for r in range(k):
                    for w in range(lanes):
                        x[to_vat + (s * k + r) * n + w] = 0.0
                        vat[reach + (s * k + r) * n + w] = 0.0
                for w in range(lanes):
                    at = (k * FREE_NEW + s) * n + w
                    strength = vat[(k * VAT + s) * n + w]
                    litres = p[cell_l + w]
                    flesh = litres * x[size + (k * GATE + s) * n + w]
                    grain = litres * x[end + (k * GATE + s) * n + w]
                    vat[reach + (s * k + s) * n + w] = flesh
                    vat[border + (s * k + s) * n + w] += flesh + grain
                    vat[(k * CHANGE + s) * n + w] += flesh * (x[size + at] - strength) + grain * (
                        x[end - size + at] - strength
                    )
                    x[at] = strength
                    x[end + at] = strength
                    x[to_vat + (s * k + s) * n + w] = 1.0
            for i in range(1, cells + 1):
                if i == cells:
                    for s in range(k):
                        for w in range(lanes):
                            vat[reach + (s * k + s) * n + w] += (
                                p[cell_l + w] * x[end + (k * GATE + s) * n + w]
                            )
                eliminate(kinds, x[(i - 1) * size : (i + 2) * size], p, vat, lanes)
            for s in range(k * k):
                for w in range(lanes):
                    vat[border + s * n + w] -= vat[reach + s * n + w]
        solve_vat(kinds, vat, lanes)
        for s in range(k):
            for w in range(lanes):
                change = vat[(k * CHANGE + s) * n + w] * vat[single + ACTIVE * n + w]
                at = (k * VAT + s) * n + w
                vat[at] = max(vat[at] + change, 0.0)
                vat[(k * CHANGE + s) * n + w] = change
                vat[single + LARGEST * n + w] = max(vat[single + LARGEST * n + w], abs(change))
        for b in range(pelt.shape[0]):
            if not lying[b]:
                continue
            x = pelt[b]
            for s in range(k):
                for w in range(lanes):
                    x[end + (k * STEP + s) * n + w] = vat[(k * CHANGE + s) * n + w]
            for i in range(cells, 0, -1):
                follow(kinds, x[i * size : (i + 2) * size], vat, lanes)
        going = 0.0
        for w in range(lanes):
            if vat[single + LARGEST * n + w] < NEWTON_TOLERANCE * slab[0, scale_at(kinds) + w]:
                vat[single + ACTIVE * n + w] = 0.0
            going += vat[single + ACTIVE * n + w]
        if going == 0.0:
            return count
    return MAX_NEWTON


@njit
def scale_at(kinds: Kinds) -> int:
    return (len(kinds) * SLAB_RUNS + SCALE) * LANES


@njit
def follow(kinds: Kinds, rows: np.ndarray, vat: np.ndarray, lanes: int) -> None:
    """Change of a cell from that of its neighbour towards the grain and of the vat."""
    k = len(kinds)
    n = LANES
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    to_vat = k * ROW_RUNS * n
    to_next = to_vat + k * k * n
    single = (k * VAT_RUNS + k * k * VAT_PAIRS) * n
    for s in range(k):
        if k > 1:
            for r in range(k):
                for w in range(lanes):
                    at = (s * k + r) * n + w
                    rows[(k * STEP + s) * n + w] += (
                        rows[to_next + at] * rows[size + (k * STEP + r) * n + w]
                        + rows[to_vat + at] * vat[(k * CHANGE + r) * n + w]
                    )
            for w in range(lanes):
                step = rows[(k * STEP + s) * n + w] * vat[single + ACTIVE * n + w]
                rows[(k * STEP + s) * n + w] = step
                at = (k * FREE_NEW + s) * n + w
                rows[at] = max(rows[at] + step, 0.0)
                vat[single + LARGEST * n + w] = max(vat[single + LARGEST * n + w], abs(step))
        else:
            for w in range(lanes):
                step = (
                    rows[STEP * n + w]
                    + rows[to_next + w] * rows[size + STEP * n + w]
                    + rows[to_vat + w] * vat[CHANGE * n + w]
                ) * vat[single + ACTIVE * n + w]
                rows[STEP * n + w] = step
                rows[FREE_NEW * n + w] = max(rows[FREE_NEW * n + w] + step, 0.0)
                vat[single + LARGEST * n + w] = max(vat[single + LARGEST * n + w], abs(step))


@njit
def vat_from_fluxes(
    kinds: Kinds,
    cells: int,
    lying: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    vat: np.ndarray,
    volume: float,
    share: float,
    lanes: int,
) -> None:
    """VAT_TRY from what went through the faces; ``share`` of the old LOST stays, and spoilage."""
    k = len(kinds)
    n = LANES
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    end = (cells + 1) * size
    cell_l = (k * SLAB_RUNS + CELL_L) * n
    single = (k * VAT_RUNS + k * k * VAT_PAIRS) * n
    for w in range(lanes):
        vat[single + LOST * n + w] *= share
    for s in range(k):
        for w in range(lanes):
            strength = vat[(k * VAT + s) * n + w]
            lost = (vat[single + DECAY * n + w] - 1.0) * strength
            vat[single + LOST * n + w] += volume * lost
            vat[(k * VAT_TRY + s) * n + w] = vat[(k * VAT_BASE + s) * n + w] - lost
        for b in range(pelt.shape[0]):
            if not lying[b]:
                continue
            x, p = pelt[b], slab[b]
            for w in range(lanes):
                at = (k * FREE_NEW + s) * n + w
                gate = (k * GATE + s) * n + w
                strength = vat[(k * VAT + s) * n + w]
                vat[(k * VAT_TRY + s) * n + w] -= (
                    p[cell_l + w]
                    / volume
                    * (
                        x[size + gate] * (strength - x[size + at])
                        + x[end + gate] * (strength - x[end - size + at])
                    )
                )


@njit
def set_ghosts(kinds: Kinds, cells: int, x: np.ndarray, vat: np.ndarray, lanes: int) -> None:
    """The vat's strength into the outer rows of a slab."""
    k = len(kinds)
    n = LANES
    end = (cells + 1) * (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    for s in range(k):
        for w in range(lanes):
            strength = vat[(k * VAT + s) * n + w]
            x[(k * FREE_NEW + s) * n + w] = strength
            x[end + (k * FREE_NEW + s) * n + w] = strength


@njit
def total_from_fluxes(kinds: Kinds, rows: np.ndarray, lanes: int) -> None:
    """TOTAL_TRY of the middle one of three rows: what it began with and what came in."""
    k = len(kinds)
    n = LANES
    here = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    after = 2 * here
    for s in range(k):
        for w in range(lanes):
            at = (k * FREE_NEW + s) * n + w
            gate = (k * GATE + s) * n + w
            c = rows[here + at]
            rows[here + (k * TOTAL_TRY + s) * n + w] = (
                rows[here + (k * TOTAL_BASE + s) * n + w]
                + rows[here + gate] * (rows[at] - c)
                + rows[after + gate] * (rows[after + at] - c)
            )


@njit
def to_second_stage(
    kinds: Kinds, row: np.ndarray, slab: np.ndarray, vat: np.ndarray, ratio: float, lanes: int
) -> None:
    """Bases of the second stage from the result of the first, and a guess of its solution."""
    k = len(kinds)
    n = LANES
    one = k * SLAB_RUNS * n
    bad = (k * VAT_RUNS + k * k * VAT_PAIRS + BAD) * n
    for s in range(k):
        for w in range(lanes):
            pore, hide = slab[one + PORE * n + w], slab[one + HIDE * n + w]
            limit = -NEGATIVE * slab[one + SCALE * n + w]
            total = row[(k * TOTAL_TRY + s) * n + w]
            c = max(min(row[(k * FREE_NEW + s) * n + w], total / pore), 0.0)
            bound = row[(k * BOUND_BASE + s) * n + w]
            bound += ratio * ((total - pore * c) / hide - bound)
            base = row[(k * TOTAL + s) * n + w]
            base += ratio * (total - base)
            if base < limit or hide * bound < limit:
                vat[bad + w] = 1.0
            row[(k * BOUND_BASE + s) * n + w] = bound
            row[(k * TOTAL_BASE + s) * n + w] = base
            # The line through the state before and the first stage, at the end of the step.
            row[(k * FREE_NEW + s) * n + w] = max(
                c + ratio * (c - row[(k * FREE + s) * n + w]), 0.0
            )


@njit
def judge(kinds: Kinds, row: np.ndarray, slab: np.ndarray, vat: np.ndarray, lanes: int) -> None:
    """FREE_TRY from the solution, so that neither free nor bound is negative; else BAD."""
    k = len(kinds)
    n = LANES
    one = k * SLAB_RUNS * n
    bad = (k * VAT_RUNS + k * k * VAT_PAIRS + BAD) * n
    for s in range(k):
        for w in range(lanes):
            scale = slab[one + SCALE * n + w]
            pore = slab[one + PORE * n + w]
            total = row[(k * TOTAL_TRY + s) * n + w]
            c = row[(k * FREE_NEW + s) * n + w]
            if total < -NEGATIVE * scale or total < pore * c - MISFIT * scale:
                vat[bad + w] = 1.0
            row[(k * FREE_TRY + s) * n + w] = max(min(c, total / pore), 0.0)


@njit
def begin(kinds: Kinds, row: np.ndarray, slab: np.ndarray, lanes: int) -> None:
    """Bases and guess of a first stage from FREE and TOTAL."""
    k = len(kinds)
    n = LANES
    one = k * SLAB_RUNS * n
    for s in range(k):
        for w in range(lanes):
            total = row[(k * TOTAL + s) * n + w]
            c = row[(k * FREE + s) * n + w]
            row[(k * FREE_NEW + s) * n + w] = c
            row[(k * TOTAL_BASE + s) * n + w] = total
            row[(k * BOUND_BASE + s) * n + w] = max(
                (total - slab[one + PORE * n + w] * c) / slab[one + HIDE * n + w], 0.0
            )

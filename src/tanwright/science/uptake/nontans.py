"""Non-tans: they diffuse and do not bind, so each stage is one linear solve."""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.compiled import njit
from tanwright.science.uptake.lanes import CELL_L, LANES, PORE, SLAB_RUNS

# Runs of a row.
NEW = 0  # being solved for [g per L pore liquid]
BASE = 1  # pore share times what the stage begins with [g per L pelt]
DOOR = 2  # h * conductance / cell width of the face towards the flesh
RIGHT = 3
TO_VAT = 4
TO_NEXT = 5
OLD = 6  # at the beginning of the time step
RUNS = 7


@njit
def solve_nontans(
    cells: int,
    lying: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    kinds: int,
    vat_base: np.ndarray,
    volume: float,
    vat: np.ndarray,
    work: np.ndarray,
    lanes: int,
) -> None:
    """NEW and ``vat`` (lanes,) from BASE and ``vat_base``; ``pelt`` (b, rows), ``work`` 3 runs."""
    n = LANES
    size = RUNS * n
    end = (cells + 1) * size
    one = kinds * SLAB_RUNS * n
    pore = slab[0, one + PORE * n : one + (PORE + 1) * n]
    for w in range(lanes):
        work[w] = volume * vat_base[w]
        work[n + w] = volume
    for b in range(pelt.shape[0]):
        if not lying[b]:
            continue
        x = pelt[b]
        litres = slab[b, one + CELL_L * n : one + (CELL_L + 1) * n]
        for w in range(lanes):
            x[RIGHT * n + w] = 0.0
            x[TO_VAT * n + w] = 1.0
            x[TO_NEXT * n + w] = 0.0
            flesh = litres[w] * x[size + DOOR * n + w]
            work[2 * n + w] = flesh
            work[n + w] += flesh + litres[w] * x[end + DOOR * n + w]
        for i in range(1, cells + 1):
            rows = x[(i - 1) * size : (i + 2) * size]
            if i == cells:
                for w in range(lanes):
                    work[2 * n + w] += litres[w] * rows[2 * size + DOOR * n + w]
            for w in range(lanes):
                left = rows[size + DOOR * n + w]
                right = rows[2 * size + DOOR * n + w]
                pivot = 1.0 / (pore[w] + left * (1.0 - rows[TO_NEXT * n + w]) + right)
                y = (rows[size + BASE * n + w] + left * rows[RIGHT * n + w]) * pivot
                z = left * rows[TO_VAT * n + w] * pivot
                e = right * pivot
                rows[size + RIGHT * n + w] = y
                rows[size + TO_VAT * n + w] = z
                rows[size + TO_NEXT * n + w] = e
                reach = work[2 * n + w]
                work[w] += reach * y
                work[n + w] -= reach * z
                work[2 * n + w] = reach * e
        for w in range(lanes):
            work[n + w] -= work[2 * n + w]
    for w in range(lanes):
        vat[w] = work[w] / work[n + w]
    for b in range(pelt.shape[0]):
        if not lying[b]:
            continue
        x = pelt[b]
        for w in range(lanes):
            x[end + NEW * n + w] = vat[w]
        for i in range(cells, 0, -1):
            rows = x[i * size : (i + 2) * size]
            for w in range(lanes):
                rows[NEW * n + w] = (
                    rows[RIGHT * n + w]
                    + rows[TO_NEXT * n + w] * rows[size + NEW * n + w]
                    + rows[TO_VAT * n + w] * vat[w]
                )


@njit
def step_nontans(
    cells: int,
    lying: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    kinds: int,
    volume: float,
    strength: np.ndarray,
    gamma: float,
    work: np.ndarray,
    lanes: int,
) -> None:
    """One time step in place: OLD and ``strength`` (lanes,) of the vat. ``work`` (7 runs).

    The doors are those of a stage of ``gamma`` times the step. A world whose second stage turns
    negative is redone by implicit Euler, which cannot.
    """
    n = LANES
    size = RUNS * n
    ratio = (1.0 - gamma) / gamma
    one = kinds * SLAB_RUNS * n
    pore = slab[0, one + PORE * n : one + (PORE + 1) * n]
    vat, vat_base, negative = work[3 * n : 4 * n], work[4 * n : 5 * n], work[5 * n : 6 * n]
    kept = work[6 * n : 7 * n]
    for b in range(pelt.shape[0]):
        for i in range(1, cells + 1):
            row = pelt[b, i * size : (i + 1) * size]
            for w in range(lanes):
                row[BASE * n + w] = pore[w] * row[OLD * n + w]
    solve_nontans(cells, lying, pelt, slab, kinds, strength, volume, vat, work, lanes)
    for w in range(lanes):
        vat_base[w] = strength[w] + ratio * (vat[w] - strength[w])
        negative[w] = 0.0
    for b in range(pelt.shape[0]):
        for i in range(1, cells + 1):
            row = pelt[b, i * size : (i + 1) * size]
            for w in range(lanes):
                old = row[OLD * n + w]
                row[BASE * n + w] = pore[w] * (old + ratio * (row[NEW * n + w] - old))
    solve_nontans(cells, lying, pelt, slab, kinds, vat_base, volume, vat, work, lanes)
    any_negative = 0.0
    for w in range(lanes):
        negative[w] = 1.0 if vat[w] < 0.0 else 0.0
    for b in range(pelt.shape[0]):
        if lying[b]:
            for i in range(1, cells + 1):
                row = pelt[b, i * size : (i + 1) * size]
                for w in range(lanes):
                    negative[w] = 1.0 if row[NEW * n + w] < 0.0 else negative[w]
    for w in range(lanes):
        any_negative += negative[w]
        kept[w] = vat[w]
    if any_negative > 0.0:
        # OLD keeps the second stage's result meanwhile; the doors are widened to the whole step.
        for b in range(pelt.shape[0]):
            if not lying[b]:
                continue
            for i in range(1, cells + 2):
                row = pelt[b, i * size : (i + 1) * size]
                for w in range(lanes):
                    row[DOOR * n + w] /= gamma
                    good = row[NEW * n + w]
                    row[NEW * n + w] = row[OLD * n + w]
                    row[BASE * n + w] = pore[w] * row[OLD * n + w]
                    row[OLD * n + w] = good
        solve_nontans(cells, lying, pelt, slab, kinds, strength, volume, vat, work, lanes)
        for b in range(pelt.shape[0]):
            for i in range(1, cells + 1):
                row = pelt[b, i * size : (i + 1) * size]
                for w in range(lanes):
                    if lying[b] and negative[w] == 0.0:
                        row[NEW * n + w] = row[OLD * n + w]
        for w in range(lanes):
            if negative[w] > 0.0:
                kept[w] = vat[w]
    for w in range(lanes):
        strength[w] = kept[w]
    for b in range(pelt.shape[0]):
        if lying[b]:
            for i in range(1, cells + 1):
                row = pelt[b, i * size : (i + 1) * size]
                for w in range(lanes):
                    row[OLD * n + w] = row[NEW * n + w]

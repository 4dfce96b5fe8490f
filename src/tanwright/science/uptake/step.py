"""One time step of the tannin: two stages, the judgement on their signs, acceptance."""

from __future__ import annotations

import math

import numpy as np

from tanwright.science.uptake.compiled import njit
from tanwright.science.uptake.lanes import (
    ACTIVE,
    BAD,
    FREE,
    FREE_TRY,
    LANES,
    ROW_PAIRS,
    ROW_RUNS,
    TOTAL,
    TOTAL_TRY,
    VAT,
    VAT_BASE,
    VAT_PAIRS,
    VAT_RUNS,
    VAT_START,
    VAT_TRY,
    Kinds,
)
from tanwright.science.uptake.stage import (
    begin,
    judge,
    set_ghosts,
    solve_stage,
    to_second_stage,
    total_from_fluxes,
    vat_from_fluxes,
)

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
"""Length of a stage over that of the step (Alexander 1977): L-stable, order two."""


@njit
def advance(
    kinds: Kinds,
    cells: int,
    lying: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    vat: np.ndarray,
    volume: float,
    lanes: int,
) -> int:
    """Both stages: from FREE, TOTAL and VAT_START to FREE_TRY, TOTAL_TRY, VAT_TRY, LOST and BAD.

    Returns the number of Newton steps.
    """
    k = len(kinds)
    n = LANES
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    single = (k * VAT_RUNS + k * k * VAT_PAIRS) * n
    ratio = (1.0 - GAMMA) / GAMMA
    for w in range(lanes):
        vat[single + ACTIVE * n + w] = 1.0
        vat[single + BAD * n + w] = 0.0
    for s in range(k):
        for w in range(lanes):
            start = vat[(k * VAT_START + s) * n + w]
            vat[(k * VAT + s) * n + w] = start
            vat[(k * VAT_BASE + s) * n + w] = start
    count: int = solve_stage(kinds, cells, lying, pelt, slab, vat, volume, lanes)
    vat_from_fluxes(kinds, cells, lying, pelt, slab, vat, volume, 0.0, lanes)
    for b in range(pelt.shape[0]):
        if lying[b]:
            set_ghosts(kinds, cells, pelt[b], vat, lanes)
            for i in range(1, cells + 1):
                total_from_fluxes(kinds, pelt[b, (i - 1) * size : (i + 2) * size], lanes)
            for i in range(1, cells + 1):
                row = pelt[b, i * size : (i + 1) * size]
                to_second_stage(kinds, row, slab[b], vat, ratio, lanes)
    for s in range(k):
        for w in range(lanes):
            start = vat[(k * VAT_START + s) * n + w]
            base = start + ratio * (vat[(k * VAT_TRY + s) * n + w] - start)
            vat[(k * VAT_BASE + s) * n + w] = base
            vat[(k * VAT + s) * n + w] = max(base, 0.0)
            if base < 0.0:
                vat[single + BAD * n + w] = 1.0
    for w in range(lanes):
        vat[single + ACTIVE * n + w] = 1.0 - vat[single + BAD * n + w]
    count += solve_stage(kinds, cells, lying, pelt, slab, vat, volume, lanes)
    finish(kinds, cells, lying, pelt, slab, vat, volume, ratio, lanes)
    return count


@njit
def finish(
    kinds: Kinds,
    cells: int,
    lying: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    vat: np.ndarray,
    volume: float,
    ratio: float,
    lanes: int,
) -> None:
    """The last stage's fluxes into TOTAL_TRY and VAT_TRY, its free tannin into FREE_TRY."""
    k = len(kinds)
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * LANES
    vat_from_fluxes(kinds, cells, lying, pelt, slab, vat, volume, ratio, lanes)
    for b in range(pelt.shape[0]):
        if lying[b]:
            set_ghosts(kinds, cells, pelt[b], vat, lanes)
            for i in range(1, cells + 1):
                total_from_fluxes(kinds, pelt[b, (i - 1) * size : (i + 2) * size], lanes)
                judge(kinds, pelt[b, i * size : (i + 1) * size], slab[b], vat, lanes)


@njit
def accept(
    kinds: Kinds,
    cells: int,
    lying: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    vat: np.ndarray,
    only: np.ndarray,
    lanes: int,
) -> None:
    """The tried step becomes the present state in the lanes where ``only`` is 1."""
    k = len(kinds)
    n = LANES
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    for s in range(k):
        for w in range(lanes):
            if only[w] > 0.0:
                vat[(k * VAT_START + s) * n + w] = vat[(k * VAT_TRY + s) * n + w]
    for b in range(pelt.shape[0]):
        if lying[b]:
            for i in range(1, cells + 1):
                row = pelt[b, i * size : (i + 1) * size]
                for s in range(k):
                    for w in range(lanes):
                        free, total = (k * FREE + s) * n + w, (k * TOTAL + s) * n + w
                        done = only[w] > 0.0
                        row[free] = row[(k * FREE_TRY + s) * n + w] if done else row[free]
                        row[total] = row[(k * TOTAL_TRY + s) * n + w] if done else row[total]
                begin(kinds, row, slab[b], lanes)

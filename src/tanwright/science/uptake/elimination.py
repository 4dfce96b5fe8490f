"""Block elimination of one cell in all lanes, by number of kinds of tannin.

The Newton matrix of a stage is block tridiagonal per slab (blocks of kinds x kinds), bordered by
the vat.  Going from flesh to grain, each cell is expressed by its neighbour and the vat,

    dc_i = step_i + to_vat_i dC + to_next_i dc_{i+1},

and put into the vat's own equation at once, so that one way back finishes the solve.  The blocks
are diagonally dominant M-matrices: no pivoting.
"""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.compiled import njit
from tanwright.science.uptake.elimination_three import eliminate_three
from tanwright.science.uptake.lanes import (
    AFFINITY,
    BLOCK,
    BORDER,
    BOUND_BASE,
    CHANGE,
    FREE_NEW,
    GATE,
    GRIP,
    KEEP,
    LANES,
    PORE,
    REACH,
    ROW_PAIRS,
    ROW_RUNS,
    SLAB_RUNS,
    STEP,
    TOTAL_BASE,
    VAT_RUNS,
    Kinds,
)


@njit
def eliminate(
    kinds: Kinds, rows: np.ndarray, slab: np.ndarray, vat: np.ndarray, lanes: int
) -> None:
    """Cell in the middle one of three ``rows``; ``slab`` its parameters, ``vat`` the vat's runs."""
    if len(kinds) == 1:
        eliminate_one(rows, slab, vat, lanes)
    elif len(kinds) == 2:
        eliminate_two(rows, slab, vat, lanes)
    elif len(kinds) == 3:
        eliminate_three(rows, slab, vat, lanes)
    else:
        eliminate_many(kinds, rows, slab, vat, lanes)


@njit
def eliminate_one(rows: np.ndarray, slab: np.ndarray, vat: np.ndarray, lanes: int) -> None:
    n = LANES
    here = (ROW_RUNS + ROW_PAIRS) * n
    after = 2 * here
    to_vat = ROW_RUNS * n
    to_next = to_vat + n
    one = SLAB_RUNS * n
    pair = VAT_RUNS * n
    for w in range(lanes):
        c = rows[here + FREE_NEW * n + w]
        affinity = slab[AFFINITY * n + w]
        share = 1.0 / (1.0 + affinity * c)
        hold = slab[GRIP * n + w] * affinity * share
        pore = slab[one + PORE * n + w]
        left = rows[here + GATE * n + w]
        right = rows[after + GATE * n + w]
        y = (
            rows[here + TOTAL_BASE * n + w]
            - slab[one + KEEP * n + w] * rows[here + BOUND_BASE * n + w]
            - (pore + hold) * c
            + left * (rows[FREE_NEW * n + w] - c + rows[STEP * n + w])
            + right * (rows[after + FREE_NEW * n + w] - c)
        )
        pivot = 1.0 / (pore + hold * share + left * (1.0 - rows[to_next + w]) + right)
        y *= pivot
        z = left * rows[to_vat + w] * pivot
        e = right * pivot
        rows[here + STEP * n + w] = y
        rows[here + to_vat + w] = z
        rows[here + to_next + w] = e
        reach = vat[pair + REACH * n + w]
        vat[CHANGE * n + w] += reach * y
        vat[pair + BORDER * n + w] -= reach * z
        vat[pair + REACH * n + w] = reach * e


@njit
def eliminate_two(rows: np.ndarray, slab: np.ndarray, vat: np.ndarray, lanes: int) -> None:
    n = LANES
    here = (2 * ROW_RUNS + 4 * ROW_PAIRS) * n
    after = 2 * here
    to_vat = 2 * ROW_RUNS * n
    to_next = to_vat + 4 * n
    one = 2 * SLAB_RUNS * n
    border = 2 * VAT_RUNS * n
    reach = border + 4 * n
    for w in range(lanes):
        c0 = rows[here + 2 * FREE_NEW * n + w]
        c1 = rows[here + (2 * FREE_NEW + 1) * n + w]
        k0 = slab[2 * AFFINITY * n + w]
        k1 = slab[(2 * AFFINITY + 1) * n + w]
        share = 1.0 / (1.0 + k0 * c0 + k1 * c1)
        hold0 = slab[2 * GRIP * n + w] * k0 * share
        hold1 = slab[(2 * GRIP + 1) * n + w] * k1 * share
        pore = slab[one + PORE * n + w]
        keep = slab[one + KEEP * n + w]
        left0 = rows[here + 2 * GATE * n + w]
        left1 = rows[here + (2 * GATE + 1) * n + w]
        right0 = rows[after + 2 * GATE * n + w]
        right1 = rows[after + (2 * GATE + 1) * n + w]
        y0 = (
            rows[here + 2 * TOTAL_BASE * n + w]
            - keep * rows[here + 2 * BOUND_BASE * n + w]
            - (pore + hold0) * c0
            + left0 * (rows[2 * FREE_NEW * n + w] - c0 + rows[2 * STEP * n + w])
            + right0 * (rows[after + 2 * FREE_NEW * n + w] - c0)
        )
        y1 = (
            rows[here + (2 * TOTAL_BASE + 1) * n + w]
            - keep * rows[here + (2 * BOUND_BASE + 1) * n + w]
            - (pore + hold1) * c1
            + left1 * (rows[(2 * FREE_NEW + 1) * n + w] - c1 + rows[(2 * STEP + 1) * n + w])
            + right1 * (rows[after + (2 * FREE_NEW + 1) * n + w] - c1)
        )
        # The block, and its inverse by Cramer's rule.
        crowd0 = hold0 * c0 * share
        crowd1 = hold1 * c1 * share
        a = pore + hold0 - crowd0 * k0 + left0 * (1.0 - rows[to_next + w]) + right0
        b = -crowd0 * k1 - left0 * rows[to_next + n + w]
        c = -crowd1 * k0 - left1 * rows[to_next + 2 * n + w]
        d = pore + hold1 - crowd1 * k1 + left1 * (1.0 - rows[to_next + 3 * n + w]) + right1
        over = 1.0 / (a * d - b * c)
        i00 = d * over
        i01 = -b * over
        i10 = -c * over
        i11 = a * over
        s0 = i00 * y0 + i01 * y1
        s1 = i10 * y0 + i11 * y1
        v00 = left0 * rows[to_vat + w]
        v01 = left0 * rows[to_vat + n + w]
        v10 = left1 * rows[to_vat + 2 * n + w]
        v11 = left1 * rows[to_vat + 3 * n + w]
        z00 = i00 * v00 + i01 * v10
        z01 = i00 * v01 + i01 * v11
        z10 = i10 * v00 + i11 * v10
        z11 = i10 * v01 + i11 * v11
        e00 = i00 * right0
        e01 = i01 * right1
        e10 = i10 * right0
        e11 = i11 * right1
        rows[here + 2 * STEP * n + w] = s0
        rows[here + (2 * STEP + 1) * n + w] = s1
        rows[here + to_vat + w] = z00
        rows[here + to_vat + n + w] = z01
        rows[here + to_vat + 2 * n + w] = z10
        rows[here + to_vat + 3 * n + w] = z11
        rows[here + to_next + w] = e00
        rows[here + to_next + n + w] = e01
        rows[here + to_next + 2 * n + w] = e10
        rows[here + to_next + 3 * n + w] = e11
        p00 = vat[reach + w]
        p01 = vat[reach + n + w]
        p10 = vat[reach + 2 * n + w]
        p11 = vat[reach + 3 * n + w]
        vat[2 * CHANGE * n + w] += p00 * s0 + p01 * s1
        vat[(2 * CHANGE + 1) * n + w] += p10 * s0 + p11 * s1
        vat[border + w] -= p00 * z00 + p01 * z10
        vat[border + n + w] -= p00 * z01 + p01 * z11
        vat[border + 2 * n + w] -= p10 * z00 + p11 * z10
        vat[border + 3 * n + w] -= p10 * z01 + p11 * z11
        vat[reach + w] = p00 * e00 + p01 * e10
        vat[reach + n + w] = p00 * e01 + p01 * e11
        vat[reach + 2 * n + w] = p10 * e00 + p11 * e10
        vat[reach + 3 * n + w] = p10 * e01 + p11 * e11


@njit
def eliminate_many(
    kinds: Kinds, rows: np.ndarray, slab: np.ndarray, vat: np.ndarray, lanes: int
) -> None:
    k = len(kinds)
    n = LANES
    here = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    after = 2 * here
    to_vat = k * ROW_RUNS * n
    to_next = to_vat + k * k * n
    one = k * SLAB_RUNS * n
    pair = k * VAT_RUNS * n
    border = pair + k * k * BORDER * n
    reach = pair + k * k * REACH * n
    block = pair + k * k * BLOCK * n
    for w in range(lanes):
        crowd = 1.0
        for s in range(k):
            crowd += slab[(k * AFFINITY + s) * n + w] * rows[here + (k * FREE_NEW + s) * n + w]
        share = 1.0 / crowd
        pore = slab[one + PORE * n + w]
        for s in range(k):
            c = rows[here + (k * FREE_NEW + s) * n + w]
            hold = slab[(k * GRIP + s) * n + w] * slab[(k * AFFINITY + s) * n + w] * share
            left = rows[here + (k * GATE + s) * n + w]
            right = rows[after + (k * GATE + s) * n + w]
            rows[here + (k * STEP + s) * n + w] = (
                rows[here + (k * TOTAL_BASE + s) * n + w]
                - slab[one + KEEP * n + w] * rows[here + (k * BOUND_BASE + s) * n + w]
                - (pore + hold) * c
                + left * (rows[(k * FREE_NEW + s) * n + w] - c + rows[(k * STEP + s) * n + w])
                + right * (rows[after + (k * FREE_NEW + s) * n + w] - c)
            )
            for r in range(k):
                at = (s * k + r) * n + w
                affinity = slab[(k * AFFINITY + r) * n + w]
                vat[block + at] = -hold * c * share * affinity - left * rows[to_next + at]
                rows[here + to_vat + at] = left * rows[to_vat + at]
                rows[here + to_next + at] = 0.0
            vat[block + (s * k + s) * n + w] += pore + hold + left + right
            rows[here + to_next + (s * k + s) * n + w] = right
        # Gauss-Jordan on the block and its three right sides.
        for p in range(k):
            pivot = 1.0 / vat[block + (p * k + p) * n + w]
            rows[here + (k * STEP + p) * n + w] *= pivot
            for r in range(k):
                at = (p * k + r) * n + w
                vat[block + at] *= pivot
                rows[here + to_vat + at] *= pivot
                rows[here + to_next + at] *= pivot
            for s in range(k):
                if s != p:
                    f = vat[block + (s * k + p) * n + w]
                    rows[here + (k * STEP + s) * n + w] -= f * rows[here + (k * STEP + p) * n + w]
                    for r in range(k):
                        to = (s * k + r) * n + w
                        at = (p * k + r) * n + w
                        vat[block + to] -= f * vat[block + at]
                        rows[here + to_vat + to] -= f * rows[here + to_vat + at]
                        rows[here + to_next + to] -= f * rows[here + to_next + at]
        for s in range(k):
            for r in range(k):
                f = vat[reach + (s * k + r) * n + w]
                vat[(k * CHANGE + s) * n + w] += f * rows[here + (k * STEP + r) * n + w]
                vat[block + r * n + w] = f
                for t in range(k):
                    vat[border + (s * k + t) * n + w] -= (
                        f * rows[here + to_vat + (r * k + t) * n + w]
                    )
            for t in range(k):
                total = 0.0
                for r in range(k):
                    total += vat[block + r * n + w] * rows[here + to_next + (r * k + t) * n + w]
                vat[reach + (s * k + t) * n + w] = total


@njit
def solve_vat(kinds: Kinds, vat: np.ndarray, lanes: int) -> None:
    """Solves what is left of the vat's equation: CHANGE becomes the change of the vat."""
    k = len(kinds)
    n = LANES
    border = k * VAT_RUNS * n
    for p in range(k):
        for w in range(lanes):
            pivot = 1.0 / vat[border + (p * k + p) * n + w]
            vat[(k * CHANGE + p) * n + w] *= pivot
            for r in range(k):
                vat[border + (p * k + r) * n + w] *= pivot
            for s in range(k):
                if s != p:
                    f = vat[border + (s * k + p) * n + w]
                    vat[(k * CHANGE + s) * n + w] -= f * vat[(k * CHANGE + p) * n + w]
                    for r in range(k):
                        vat[border + (s * k + r) * n + w] -= f * vat[border + (p * k + r) * n + w]

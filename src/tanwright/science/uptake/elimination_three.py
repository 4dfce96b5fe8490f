"""Elimination of a cell with three kinds of tannin, written out for the vector units.

The same algebra as :func:`.elimination.eliminate_many`. Small tuples stand for vectors and matrices
(row by row); the compiler keeps them in registers.
"""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.compiled import njit
from tanwright.science.uptake.lanes import (
    AFFINITY,
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
)

Three = tuple[float, float, float]
Nine = tuple[Three, Three, Three]


@njit
def dot(a: Three, b: Three) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@njit
def column(m: Nine, j: int) -> Three:
    return m[0][j], m[1][j], m[2][j]


@njit
def times(m: Nine, v: Three) -> Three:
    return dot(m[0], v), dot(m[1], v), dot(m[2], v)


@njit
def product(a: Nine, b: Nine) -> Nine:
    x, y, z = column(b, 0), column(b, 1), column(b, 2)
    return (
        (dot(a[0], x), dot(a[0], y), dot(a[0], z)),
        (dot(a[1], x), dot(a[1], y), dot(a[1], z)),
        (dot(a[2], x), dot(a[2], y), dot(a[2], z)),
    )


@njit
def scaled(f: float, v: Three) -> Three:
    return f * v[0], f * v[1], f * v[2]


@njit
def inverse(m: Nine) -> Nine:
    """By cofactors; the blocks are well conditioned M-matrices."""
    (a, b, c), (d, e, f), (g, h, i) = m
    first = e * i - f * h
    second = f * g - d * i
    third = d * h - e * g
    over = 1.0 / (a * first + b * second + c * third)
    return (
        (over * first, over * (c * h - b * i), over * (b * f - c * e)),
        (over * second, over * (a * i - c * g), over * (c * d - a * f)),
        (over * third, over * (b * g - a * h), over * (a * e - b * d)),
    )


@njit
def read(runs: np.ndarray, at: int) -> Three:
    return runs[at], runs[at + LANES], runs[at + 2 * LANES]


@njit
def read_nine(runs: np.ndarray, at: int) -> Nine:
    return read(runs, at), read(runs, at + 3 * LANES), read(runs, at + 6 * LANES)


@njit
def write(runs: np.ndarray, at: int, v: Three) -> None:
    runs[at], runs[at + LANES], runs[at + 2 * LANES] = v


@njit
def write_nine(runs: np.ndarray, at: int, m: Nine) -> None:
    write(runs, at, m[0])
    write(runs, at + 3 * LANES, m[1])
    write(runs, at + 6 * LANES, m[2])


@njit
def add(runs: np.ndarray, at: int, v: Three) -> None:
    runs[at] += v[0]
    runs[at + LANES] += v[1]
    runs[at + 2 * LANES] += v[2]


@njit
def eliminate_three(rows: np.ndarray, slab: np.ndarray, vat: np.ndarray, lanes: int) -> None:
    """As :func:`.elimination.eliminate`."""
    n = LANES
    here = (3 * ROW_RUNS + 9 * ROW_PAIRS) * n
    after = 2 * here
    free, step, gate = 3 * FREE_NEW * n, 3 * STEP * n, 3 * GATE * n
    total, bound = 3 * TOTAL_BASE * n, 3 * BOUND_BASE * n
    grip, affinity = 3 * GRIP * n, 3 * AFFINITY * n
    to_vat = 3 * ROW_RUNS * n
    to_next = to_vat + 9 * n
    one = 3 * SLAB_RUNS * n
    change = 3 * CHANGE * n
    border = (3 * VAT_RUNS + 9 * BORDER) * n
    reach = (3 * VAT_RUNS + 9 * REACH) * n
    for w in range(lanes):
        c = read(rows, here + free + w)
        k = read(slab, affinity + w)
        share = 1.0 / (1.0 + dot(k, c))
        g = read(slab, grip + w)
        hold = (g[0] * k[0] * share, g[1] * k[1] * share, g[2] * k[2] * share)
        pore = slab[one + PORE * n + w]
        keep = slab[one + KEEP * n + w]
        left = read(rows, here + gate + w)
        right = read(rows, after + gate + w)
        base = read(rows, here + total + w)
        old = read(rows, here + bound + w)
        before = read(rows, free + w)
        beyond = read(rows, after + free + w)
        carried = read(rows, step + w)
        e = read_nine(rows, to_next + w)
        z = read_nine(rows, to_vat + w)
        y = (
            base[0] - keep * old[0] - (pore + hold[0]) * c[0]
            + left[0] * (before[0] - c[0] + carried[0]) + right[0] * (beyond[0] - c[0]),
            base[1] - keep * old[1] - (pore + hold[1]) * c[1]
            + left[1] * (before[1] - c[1] + carried[1]) + right[1] * (beyond[1] - c[1]),
            base[2] - keep * old[2] - (pore + hold[2]) * c[2]
            + left[2] * (before[2] - c[2] + carried[2]) + right[2] * (beyond[2] - c[2]),
        )  # fmt: skip
        d0 = pore + hold[0] + left[0] + right[0]
        d1 = pore + hold[1] + left[1] + right[1]
        d2 = pore + hold[2] + left[2] + right[2]
        # What each kind loses of its hold to the others, by the crowding of the sites.
        x0, x1, x2 = hold[0] * c[0] * share, hold[1] * c[1] * share, hold[2] * c[2] * share
        inv = inverse(
            (
                (
                    d0 - x0 * k[0] - left[0] * e[0][0],
                    -x0 * k[1] - left[0] * e[0][1],
                    -x0 * k[2] - left[0] * e[0][2],
                ),
                (
                    -x1 * k[0] - left[1] * e[1][0],
                    d1 - x1 * k[1] - left[1] * e[1][1],
                    -x1 * k[2] - left[1] * e[1][2],
                ),
                (
                    -x2 * k[0] - left[2] * e[2][0],
                    -x2 * k[1] - left[2] * e[2][1],
                    d2 - x2 * k[2] - left[2] * e[2][2],
                ),
            )
        )
        y = times(inv, y)
        z = product(inv, (scaled(left[0], z[0]), scaled(left[1], z[1]), scaled(left[2], z[2])))
        e = (
            (inv[0][0] * right[0], inv[0][1] * right[1], inv[0][2] * right[2]),
            (inv[1][0] * right[0], inv[1][1] * right[1], inv[1][2] * right[2]),
            (inv[2][0] * right[0], inv[2][1] * right[1], inv[2][2] * right[2]),
        )
        write(rows, here + step + w, y)
        write_nine(rows, here + to_vat + w, z)
        write_nine(rows, here + to_next + w, e)
        p = read_nine(vat, reach + w)
        add(vat, change + w, times(p, y))
        drop = product(p, z)
        for_border = (scaled(-1.0, drop[0]), scaled(-1.0, drop[1]), scaled(-1.0, drop[2]))
        add(vat, border + w, for_border[0])
        add(vat, border + 3 * n + w, for_border[1])
        add(vat, border + 6 * n + w, for_border[2])
        write_nine(vat, reach + w, product(p, e))

"""What is kept of a group of worlds at one moment: vat, fronts, degrees of tannage."""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.compiled import njit
from tanwright.science.uptake.lanes import (
    BOUND_BASE,
    CELL_L,
    FREE,
    LANES,
    PORE,
    ROW_PAIRS,
    ROW_RUNS,
    SLAB_RUNS,
    Kinds,
)
from tanwright.science.uptake.settings import W_COLOUR

# Columns of the record of a world, per slab.
SLAB_COLUMNS = (
    "flesh_front",
    "grain_front",
    "flesh_leather",
    "grain_leather",
    "mean_degree",
    "least_degree",
    "face_degree",
    "free_g",
)

EVEN = 1e-6
"""Degrees that differ by less than this share are even."""


@njit
def front(
    degree: np.ndarray, lane: int, cells: int, threshold: float, closed: bool
) -> tuple[float, float]:
    """Shares of the thickness at or above ``threshold`` from either face, cells interpolated.

    ``degree`` holds runs of lanes per cell. Where all is above, the fronts part at the rawest
    place; at the grain if that is ``closed``; in the middle once the pelt is evenly full.
    """
    n = LANES
    flesh = 0
    while flesh < cells and degree[flesh * n + lane] >= threshold:
        flesh += 1
    if flesh == cells:
        if closed:
            return 1.0, 0.0
        low = 0
        for i in range(1, cells):
            if degree[i * n + lane] < degree[low * n + lane]:
                low = i
        here = degree[low * n + lane]
        before = degree[max(low - 1, 0) * n + lane] - here
        after = degree[min(low + 1, cells - 1) * n + lane] - here
        if max(degree[lane], degree[(cells - 1) * n + lane]) - here <= EVEN * here:
            return 0.5, 0.5
        place = low + 0.5
        if before + after > 0.0:
            place += 0.5 * (before - after) / (before + after)
        return place / cells, 1.0 - place / cells
    grain = cells - 1
    while degree[grain * n + lane] >= threshold:
        grain -= 1
    inner = degree[flesh * n + lane]
    if flesh > 0:
        outer = degree[(flesh - 1) * n + lane]
        from_flesh = flesh - 0.5 + (outer - threshold) / (outer - inner)
    else:
        face = inner + 0.5 * (inner - degree[min(1, cells - 1) * n + lane])
        from_flesh = 0.5 * (face - threshold) / (face - inner) if face > threshold else 0.0
    inner = degree[grain * n + lane]
    if grain < cells - 1:
        outer = degree[(grain + 1) * n + lane]
        from_grain = cells - 1.5 - grain + (outer - threshold) / (outer - inner)
    else:
        face = inner + 0.5 * (inner - degree[max(grain - 1, 0) * n + lane])
        from_grain = 0.5 * (face - threshold) / (face - inner) if face > threshold else 0.0
    return from_flesh / cells, from_grain / cells


@njit
def record_slab(
    kinds: Kinds,
    cells: int,
    x: np.ndarray,
    slab: np.ndarray,
    worlds: np.ndarray,
    openness: np.ndarray,
    first: int,
    degree: np.ndarray,
    sums: np.ndarray,
    out: np.ndarray,
    profile: np.ndarray,
    lanes: int,
    live: int,
) -> None:
    """Columns of one slab into ``out`` (live, columns), its profile into (live, cells) or (0, 0).

    ``worlds`` and ``openness`` begin with world 0, the group with world ``first``.
    ``degree`` (cells * LANES) and ``sums`` (3 * LANES) are scratch.
    """
    k = len(kinds)
    n = LANES
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    one = k * SLAB_RUNS * n
    for w in range(lanes):
        sums[w] = 0.0
        sums[n + w] = np.inf
        sums[2 * n + w] = 0.0
    for i in range(cells):
        row = x[(i + 1) * size : (i + 2) * size]
        here = degree[i * n : (i + 1) * n]
        for w in range(lanes):
            here[w] = row[k * BOUND_BASE * n + w]
            sums[2 * n + w] += row[k * FREE * n + w]
        for s in range(1, k):
            for w in range(lanes):
                here[w] += row[(k * BOUND_BASE + s) * n + w]
                sums[2 * n + w] += row[(k * FREE + s) * n + w]
        for w in range(lanes):
            sums[w] += here[w]
            sums[n + w] = min(sums[n + w], here[w])
    for w in range(live):
        closed = openness[first + w] <= 0.0
        for j in range(2):
            out[w, 2 * j], out[w, 2 * j + 1] = front(
                degree, w, cells, worlds[first + w, W_COLOUR + j], closed
            )
        out[w, 4] = sums[w] / cells
        out[w, 5] = sums[n + w]
        out[w, 6] = max(degree[w], degree[(cells - 1) * n + w])
        out[w, 7] = sums[2 * n + w] * slab[one + PORE * n + w] * slab[one + CELL_L * n + w]
    if profile.shape[0] > 0:
        for w in range(live):
            for i in range(cells):
                profile[w, i] = degree[i * n + w]

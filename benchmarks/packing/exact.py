"""The most patches on a grid of places, exactly, by an integer program: the best that is known.

Patches lie alike and their corners on a grid of an eighth of their side; no two may share a place
of the grid.  HiGHS (through SciPy) proves that no more fit on that grid in that direction.
"""

from __future__ import annotations

import numpy as np
import shapely
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix
from shapely import affinity
from shapely.geometry import Polygon

STEPS = 8


def most_on_grid(region: Polygon, side: float, turn: float, *, seconds: float = 30.0) -> int | None:
    """Most squares at the angle ``turn`` degrees on the grid; None when time ran out."""
    turned = affinity.rotate(region, -turn, origin=(0.0, 0.0))
    shapely.prepare(turned)
    left, low, right, high = turned.bounds
    step = side / STEPS
    x, y = np.meshgrid(np.arange(left, right - side, step), np.arange(low, high - side, step))
    inside = shapely.contains(turned, shapely.box(x, y, x + side, y + side))
    spots = np.full((inside.shape[0] + 2 * STEPS, inside.shape[1] + 2 * STEPS), -1)
    places = np.full(inside.shape, -1)
    places[inside] = np.arange(inside.sum())
    spots[STEPS:-STEPS, STEPS:-STEPS] = places
    windows = np.lib.stride_tricks.sliding_window_view(spots, (STEPS, STEPS))
    flat = np.unique(windows.reshape(-1, STEPS * STEPS), axis=0)
    rows, columns = np.nonzero(flat >= 0)
    count = int(inside.sum())
    if count == 0:
        return 0
    cells = (np.ones(len(rows)), (rows, flat[rows, columns]))
    one_each = csr_matrix(cells, shape=(len(flat), count))
    found = milp(
        -np.ones(count),
        constraints=LinearConstraint(one_each, -np.inf, 1.0),
        integrality=np.ones(count),
        bounds=Bounds(0.0, 1.0),
        options={"time_limit": seconds},
    )
    return round(-found.fun) if found.status == 0 else None

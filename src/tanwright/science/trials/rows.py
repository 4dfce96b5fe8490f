"""Rows of patches: the most rectangles that lie in straight rows in a region, by one sweep.

A row is a strip as high as a patch.  What of the strip is free is found from the edges of the
region alone; every free stretch takes as many patches as its length allows; and the heights of the
rows are chosen by dynamic programming, so that among the heights tried no other choice of rows
holds more.  All in the turned frame in which patches lie along x; lengths in cm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from tanwright.science.trials.outlines import polygons_of
from tanwright.science.values import Floats

TOLERANCE_CM = 1e-7
"""How far a patch may stand over an edge or its neighbour by rounding: a millionth of a mm."""

_FAR = 1e9
_FEW = 400


@dataclass(frozen=True)
class Laid:
    """Lower left corners of the patches, shape (patches, 2), in the turned frame."""

    corners: Floats
    count: int


def edges_of(region: BaseGeometry, turn: float = 0.0) -> Floats:
    """Edges (edges, 4) as x1, y1, x2, y2 with y1 <= y2, after turning by ``-turn`` radians."""
    starts, ends = [], []
    for part in polygons_of(region):
        for ring in (part.exterior, *part.interiors):
            points = shapely.get_coordinates(ring)
            starts.append(points[:-1])
            ends.append(points[1:])
    if not starts:
        return np.empty((0, 4))
    cos, sin = np.cos(turn), np.sin(turn)
    frame = np.array(((cos, -sin), (sin, cos)))
    first, last = np.vstack(starts) @ frame, np.vstack(ends) @ frame
    swap = first[:, 1] > last[:, 1]
    first[swap], last[swap] = last[swap], first[swap].copy()
    return np.hstack((first, last))


def free_stretches(
    edges: Floats, low: Floats, height: float
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Stretches of each strip ``low`` to ``low + height`` that lie inside, wholly.

    Returns
    -------
    starts, ends, free:
        Arrays (strips, edges); entries count where ``free`` is true, in the order of x.
    """
    x1, y1, x2, y2 = (edges[:, k][None, :] for k in range(4))
    bottom, top = low[:, None] + TOLERANCE_CM, low[:, None] + height - TOLERANCE_CM
    met = (y2 > bottom) & (y1 < top)
    rise = y2 - y1
    flat = rise < 1e-12
    slope = np.where(flat, 0.0, (x2 - x1) / np.where(flat, 1.0, rise))
    at_low = x1 + slope * (np.maximum(y1, bottom) - y1)
    at_high = np.where(flat, x2, x1 + slope * (np.minimum(y2, top) - y1))
    left = np.where(met, np.minimum(at_low, at_high), _FAR)
    right = np.where(met, np.maximum(at_low, at_high), -_FAR)
    middle = low[:, None] + height / 2.0
    crossing = (y1 <= middle) & (y2 > middle)
    order = np.argsort(left, axis=1, kind="stable")
    left = np.take_along_axis(left, order, axis=1)
    right = np.maximum.accumulate(np.take_along_axis(right, order, axis=1), axis=1)
    inside = np.cumsum(np.take_along_axis(crossing, order, axis=1), axis=1) % 2 == 1
    following = np.concatenate((left[:, 1:], np.full((len(low), 1), _FAR)), axis=1)
    free = inside & (following > right) & (following < _FAR)
    return right, following, free


def heights_to_try(edges: Floats, height: float, pitch: float, steps: int) -> Floats:
    """Heights at which a row may begin: an even grid, and what rests on a corner of the region."""
    lowest, highest = edges[:, 1].min(), edges[:, 3].max() - height
    if highest < lowest - TOLERANCE_CM:
        return np.empty(0)
    even = np.arange(lowest, highest, pitch / steps)
    corners = np.unique(np.round(edges[:, (1, 3)], 6))
    if corners.size > 40:
        corners = corners[:: corners.size // 40 + 1]
    rows = np.arange(np.ceil((highest - lowest) / pitch) + 1.0)
    most = max(1, _FEW // max(rows.size, 1))
    resting = corners[: most // 2 + 1][:, None] + pitch * rows
    hanging = corners[::-1][: most // 2 + 1][:, None] - height - pitch * rows
    found = np.concatenate((even, resting.ravel(), hanging.ravel(), (lowest, max(highest, lowest))))
    found = found[(found >= lowest - TOLERANCE_CM) & (found <= highest + TOLERANCE_CM)]
    return np.unique(np.round(found, 9))


def count_of(
    starts: Floats, ends: Floats, free: NDArray[np.bool_], pitch: float, gap: float
) -> Floats:
    """Patches in each stretch, zero where it is not free."""
    fits = np.floor((ends - starts + gap + TOLERANCE_CM) / pitch)
    return np.where(free, np.maximum(fits, 0.0), 0.0)


def lay_rows(edges: Floats, size: tuple[float, float], gap: float, steps: int = 24) -> Laid:
    """The most patches of ``size`` (along x, along y) in rows within the region of ``edges``.

    ``gap`` is kept between neighbours along and across.  ``steps`` heights are tried for each
    height of a row, besides those at which a row rests on a corner of the region.
    """
    along, across = size
    nothing = Laid(np.empty((0, 2)), 0)
    if not len(edges):
        return nothing
    low = heights_to_try(edges, across, across + gap, steps)
    if not low.size:
        return nothing
    starts, ends, free = free_stretches(edges, low, across)
    fits = count_of(starts, ends, free, along + gap, gap)
    rows = _best_rows(low, fits.sum(axis=1), across + gap)
    corners = [
        (starts[row, at] + k * (along + gap), low[row])
        for row in rows
        for at in np.flatnonzero(fits[row])
        for k in range(int(fits[row, at]))
    ]
    if not corners:
        return nothing
    return Laid(np.asarray(corners, dtype=float), len(corners))


def _best_rows(low: Floats, worth: Floats, pitch: float) -> list[int]:
    """Rows at least ``pitch`` apart whose worth together is greatest; heights sorted."""
    before = np.searchsorted(low, low - pitch + 2.0 * TOLERANCE_CM, side="right").tolist()
    values = worth.tolist()
    best = [0.0] * (len(values) + 1)
    taken = [False] * len(values)
    for at, value in enumerate(values):
        with_it = value + best[before[at]]
        taken[at] = with_it > best[at]
        best[at + 1] = max(with_it, best[at])
    rows, at = [], len(values)
    while at > 0:
        if taken[at - 1]:
            rows.append(at - 1)
            at = before[at - 1]
        else:
            at -= 1
    return rows[::-1]

"""How many patches could lie in a region at most, proved.

The area bound: patches do not overlap, so no more fit than the area holds.

The strip bound, for patches that lie alike.  Take lines as far apart as a patch is high: each patch
meets exactly one of them, in a stretch as long as the patch, inside the region.  So no more fit
than the whole patches that go into the stretches of the lines, for every place of the first line,
and the smallest sum is a bound; likewise across.  Only what some patch at this turning can cover
counts (the opening of the region by the patch).  A patch turned by a little holds an unturned one
that is a little smaller, so the bound for that smaller one covers a whole range of turnings; the
ranges are halved where the bound is greatest, until it is tight or the budget is spent.  The
argument is ours; lengths in cm, angles in degrees.
"""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from tanwright.science.trials.outlines import eased, parts_of
from tanwright.science.trials.rows import edges_of
from tanwright.science.values import Floats

_SHIFTS = 48
_ROUNDING = 1e-6


@dataclass(frozen=True)
class Bounds:
    """Most patches that could lie in a region: ``area`` any way, ``alike`` all in one direction."""

    area: int
    alike: int


def bounds_of(
    region: BaseGeometry, size: tuple[float, float], gap: float = 0.0, *, budget: int = 150
) -> Bounds:
    """Both bounds; a region in several parts may lie another way in each.

    ``budget`` is the number of ranges of turnings looked at for each part.
    """
    parts = parts_of(region).geoms
    areas = [area_bound(part, size, gap) for part in parts]
    alike = [
        min(room, alike_bound(part, size, gap, budget=budget)) if room else 0
        for part, room in zip(parts, areas, strict=True)
    ]
    return Bounds(sum(areas), sum(alike))


def area_bound(region: BaseGeometry, size: tuple[float, float], gap: float = 0.0) -> int:
    """Most patches by area alone: each takes its own area and half the gap around it."""
    around = region.buffer(gap / 2.0, quad_segs=32) if gap else region
    # A rounded buffer lies inside the true one by less than this share of its growth.
    spare = 1.0 + (2e-3 if gap else 1e-9)
    each = size[0] * size[1] + (size[0] + size[1]) * gap + math.pi * gap * gap / 4.0
    return int(region.area * 1e-9 + (around.area * spare) // each)


def alike_bound(
    part: Polygon, size: tuple[float, float], gap: float = 0.0, *, budget: int = 150
) -> int:
    """Most patches that lie in one direction, whichever it is."""
    part = eased(part, outwards=True)
    whole = 90.0 if abs(size[0] - size[1]) < 1e-9 else 180.0
    ranges = 30 if whole == 90.0 else 60
    half = whole / ranges / 2.0
    heap: list[tuple[float, int, float, float]] = []
    for at in range(ranges):
        middle = (2 * at + 1) * half
        heap.append((-_bound_over(part, size, gap, middle, half, opened=False), at, middle, half))
    heapq.heapify(heap)
    spent, tag = 0, ranges
    opened: set[tuple[float, float]] = set()
    while spent < budget:
        worst, _, middle, half = heap[0]
        spent += 1
        if (middle, half) not in opened:
            opened.add((middle, half))
            sharper = _bound_over(part, size, gap, middle, half, opened=True)
            heapq.heapreplace(heap, (max(worst, -sharper), tag, middle, half))
            tag += 1
            continue
        if half < 0.02:
            break
        heapq.heappop(heap)
        for side in (-0.5, 0.5):
            turn, narrow = middle + side * half, half / 2.0
            bound = min(-worst, _bound_over(part, size, gap, turn, narrow, opened=False))
            heapq.heappush(heap, (-bound, tag, turn, narrow))
            tag += 1
    return int(-heap[0][0])


def turned_bound(part: Polygon, size: tuple[float, float], turn: float, gap: float = 0.0) -> int:
    """Most patches that lie at the angle ``turn``, degrees."""
    return _bound_over(part, size, gap, turn, 0.0, opened=True)


def _bound_over(
    part: Polygon,
    size: tuple[float, float],
    gap: float,
    turn: float,
    half: float,
    *,
    opened: bool,
) -> int:
    """Bound for all turnings within ``half`` degrees of ``turn``."""
    small = _held(size, half)
    if min(small) <= 2.0 * math.tan(math.radians(half)) * max(small):
        return area_bound(part, size, gap)
    small = (small[0] * (1.0 - _ROUNDING), small[1] * (1.0 - _ROUNDING))
    # Half the gap around a turned patch holds this unturned square around each of its points.
    gap /= math.cos(math.radians(half)) + math.sin(math.radians(half))
    region: BaseGeometry = affinity.rotate(part, -turn, origin=(0.0, 0.0))
    if opened:
        region = opening(region, small)
        if region.is_empty:
            return 0
    if gap:
        region = _widened(region, gap / 2.0)
    pitch = (small[0] + gap, small[1] + gap)
    pieces = parts_of(region).geoms if opened else [region]
    return sum(
        min(_by_lines(edges, pitch), _by_lines(edges[:, (1, 0, 3, 2)], pitch[::-1]))
        for edges in (edges_of(piece) for piece in pieces)
    )


def _held(size: tuple[float, float], half: float) -> tuple[float, float]:
    """The largest patch of like make that a patch turned by up to ``half`` degrees holds."""
    angle = math.radians(half)
    one, other = size
    double = math.cos(2.0 * angle)
    return (
        (one * math.cos(angle) - other * math.sin(angle)) / double,
        (other * math.cos(angle) - one * math.sin(angle)) / double,
    )


def _by_lines(edges: Floats, pitch: tuple[float, float]) -> int:
    """Smallest sum of whole patches over lines ``pitch[1]`` apart."""
    swap = edges[:, 1] > edges[:, 3]
    edges = np.where(swap[:, None], edges[:, (2, 3, 0, 1)], edges)
    low, high = edges[:, 1].min(), edges[:, 3].max()
    rows = int((high - low) // pitch[1]) + 2
    shifts = (np.arange(_SHIFTS) + 0.5) / _SHIFTS * pitch[1]
    heights = (low + shifts[:, None] + pitch[1] * np.arange(-1, rows)).ravel()
    x1, y1, x2, y2 = (edges[:, k][None, :] for k in range(4))
    at = heights[:, None]
    met = (y1 <= at) & (y2 > at)
    rise = np.where(y2 > y1, y2 - y1, 1.0)
    cross = np.where(met, x1 + (x2 - x1) * (at - y1) / rise, np.inf)
    cross.sort(axis=1)
    most = int(met.sum(axis=1).max(initial=0))
    most += most % 2
    if most == 0:
        return 0
    cross = np.where(np.isinf(cross[:, :most]), 1e9, cross[:, :most])
    lengths = cross[:, 1::2] - cross[:, 0::2]
    fits = np.floor(lengths / pitch[0] + 1e-9).sum(axis=1)
    return int(fits.reshape(_SHIFTS, -1).sum(axis=1).min())


def opening(region: BaseGeometry, size: tuple[float, float]) -> MultiPolygon:
    """What of ``region`` some patch of ``size`` along x and y can cover while it lies inside."""
    room = _eroded(_eroded(region, (size[0], 0.0)), (0.0, size[1]))
    if room.is_empty:
        return MultiPolygon()
    return parts_of(_swept(_swept(room, (size[0], 0.0)), (0.0, size[1])))


def _eroded(region: BaseGeometry, step: tuple[float, float]) -> BaseGeometry:
    """Places from which going by ``step`` stays inside."""
    back = (-step[0], -step[1])
    blocked = _trails(region, back)
    return parts_of(region.difference(blocked))


def _swept(region: BaseGeometry, step: tuple[float, float]) -> BaseGeometry:
    """All that is met when ``region`` goes by ``step``."""
    moved = affinity.translate(region, *step)
    return shapely.union_all([region, moved, _trails(region, step)])


def _trails(region: BaseGeometry, step: tuple[float, float]) -> BaseGeometry:
    """What the edges of ``region`` sweep over when they go by ``step``."""
    edges = edges_of(region)
    if not len(edges):
        return Polygon()
    first, last = edges[:, :2], edges[:, 2:]
    move = np.asarray(step)
    rings = np.stack((first, last, last + move, first + move, first), axis=1)
    along = last - first
    areas = np.abs(along[:, 0] * move[1] - along[:, 1] * move[0])
    return shapely.union_all(shapely.polygons(rings[areas > 1e-12]))


def _widened(region: BaseGeometry, half: float) -> BaseGeometry:
    """``region`` grown by a square of side ``2 half`` around each point."""
    moved = affinity.translate(region, -half, -half)
    return _swept(_swept(moved, (2.0 * half, 0.0)), (0.0, 2.0 * half))

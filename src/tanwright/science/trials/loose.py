"""Patches at any turning in what rows leave over.

A packing in rows has room to spare between its patches.  That room is gathered in one place, by
pushing the rows apart in every way that shifting whole columns and rows allows, and what is free
then is tried for one more patch at every turning.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from tanwright.science.trials.layout import Packing
from tanwright.science.trials.outlines import parts_of
from tanwright.science.trials.packing import Found, lay
from tanwright.science.values import Floats

_TURN_STEP_DEG = 7.5
_MOST_TURNS = 4


def loosened(
    part: Polygon,
    best: Found,
    turns: Sequence[float],
    size: tuple[float, float],
    gap: float,
    goal: int,
    rng: np.random.Generator,
) -> Found:
    """``best`` or a packing with more patches, some of which lie another way."""
    tried = dict.fromkeys(round(turn % 90.0, 3) for turn in (*best[1][:1].tolist(), *turns))
    for turn in list(tried)[:_MOST_TURNS]:
        region = affinity.rotate(part, -turn, origin=(0.0, 0.0))
        for corners in _pushed(region, size, gap, rng):
            if len(corners) + 1 < len(best[1]):
                continue
            found = _filled(part, _back(corners, turn, size), size, gap, goal)
            if len(found[1]) > len(best[1]):
                best = found
            if len(best[1]) >= goal:
                return best
    return best


def _pushed(
    region: Polygon, size: tuple[float, float], gap: float, rng: np.random.Generator
) -> Iterator[Floats]:
    """Corners of rows, pushed away from a cross at many places towards the sides."""
    left, low, right, high = region.bounds
    spots = [(0.5, 0.5), (0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)]
    spots += [(float(u), float(v)) for u, v in rng.uniform(0.2, 0.8, (5, 2))]
    for u, v in spots:
        x, y = left + u * (right - left), low + v * (high - low)
        quarters = []
        for flip_x, flip_y in ((False, False), (True, False), (False, True), (True, True)):
            corner = shapely.box(
                x if flip_x else left - 1.0,
                y if flip_y else low - 1.0,
                right + 1.0 if flip_x else x,
                high + 1.0 if flip_y else y,
            )
            quarters.append((shapely.intersection(region, corner), (flip_x, flip_y)))
        taken: list[Floats] = []
        for piece, flips in quarters:
            taken.append(lay(piece, size, gap, flips=flips))
        yield _spaced(np.vstack(taken), size, gap)


def _spaced(corners: Floats, size: tuple[float, float], gap: float) -> Floats:
    """``corners`` without those that come closer than ``gap`` to an earlier one."""
    kept: list[Floats] = []
    reach = np.asarray(size) + gap - 1e-7
    for corner in corners:
        if all((np.abs(corner - other) >= reach).any() for other in kept):
            kept.append(corner)
    return np.asarray(kept, dtype=float).reshape(-1, 2)


def _filled(part: Polygon, found: Found, size: tuple[float, float], gap: float, goal: int) -> Found:
    """``found`` with more patches at any turning where there is room."""
    middles, turns = found
    while len(turns) < goal:
        taken = [
            _patch(middle, turn, size).buffer(gap, join_style="mitre")
            if gap
            else _patch(middle, turn, size)
            for middle, turn in zip(middles, turns, strict=True)
        ]
        free = parts_of(part.difference(shapely.union_all(taken)))
        more = _one_more(list(free.geoms), size, gap, float(turns[0]) if len(turns) else 0.0)
        if more is None:
            break
        middles, turns = np.vstack((middles, more[0])), np.concatenate((turns, more[1]))
    return middles, turns


def _one_more(
    pieces: Sequence[Polygon], size: tuple[float, float], gap: float, base: float
) -> Found | None:
    best: Found | None = None
    for piece in pieces:
        if piece.area * (1 + 1e-9) < size[0] * size[1]:
            continue
        for turn in (base + np.arange(0.0, 180.0, _TURN_STEP_DEG)).tolist():
            turned = affinity.rotate(piece, -turn, origin=(0.0, 0.0))
            corners = lay(turned, size, gap, steps=24)
            if len(corners) > (0 if best is None else len(best[1])):
                best = _back(corners, turn, size)
    return best


def _back(corners: Floats, turn: float, size: tuple[float, float]) -> Found:
    angle = np.radians(turn)
    frame = np.array(((np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))))
    return (corners + np.asarray(size) / 2.0) @ frame, np.full(len(corners), turn)


def _patch(middle: Floats, turn: float, size: tuple[float, float]) -> Polygon:
    return Packing(middle[None, :], np.array((turn,)), size).polygons()[0]

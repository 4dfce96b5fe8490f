"""Packing: the most patches of one size that can be cut from a region.

Approach of our own over shapely.  (1) At many turnings of the sheet, rows of patches whose heights
are chosen by dynamic programming (:mod:`tanwright.science.trials.rows`).  (2) From the best of them
small neighbourhoods are taken out and laid anew, as rows or as columns and pushed to any side,
and kept when no fewer fit.  (3) Where patches need not lie alike, what is left over is tried for
patches at any turning.  No patch stands over the edge or over another by more than
:data:`tanwright.science.trials.layout.OVERLAP_CM`.  The same seed gives the same packing.
Lengths in cm, angles in degrees.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from tanwright.errors import InputError
from tanwright.science.trials.layout import Packing, sound
from tanwright.science.trials.outlines import eased, parts_of
from tanwright.science.trials.rows import edges_of, lay_rows
from tanwright.science.values import Floats

LEAST_PATCH_CM, MOST_PATCH_CM = 0.5, 100.0
MOST_PATCHES = 400
_COARSE_STEP_DEG = 3.0
_ROUNDS = 90
_DIRECTIONS = 12


def pack(
    region: BaseGeometry,
    size: tuple[float, float],
    *,
    gap: float = 0.0,
    most: int | None = None,
    alike: bool = True,
    seed: int = 0,
    rounds: int = _ROUNDS,
    directions: int = _DIRECTIONS,
    step_deg: float = _COARSE_STEP_DEG,
) -> Packing:
    """As many patches as can be found in ``region``, or ``most`` of them that lie close together.

    Parameters
    ----------
    region:
        Polygon or several, cm; what keeps off edges and flaws is cut away before.
    size:
        Sides of a patch, cm; a square when alike.
    gap:
        Breadth of the cut or more, kept between patches along and across them, cm.
    most:
        No more than this number.
    alike:
        All patches of one part of the region lie in one direction, as skin stretches differently
        along and across.  Otherwise a patch may lie any way where that gains room.
    seed:
        Of the search; the same seed gives the same packing.
    rounds:
        Neighbourhoods laid anew for each of the best directions.
    directions:
        How many of the best directions are looked at so closely.
    step_deg:
        Between the directions that are tried at first.

    Raises
    ------
    InputError
        For a size, gap or number that cannot be cut.
    """
    size = _checked(size, gap, most)
    rng = np.random.default_rng(seed)
    limit = MOST_PATCHES if most is None else min(most, MOST_PATCHES)
    centres, turns = np.empty((0, 2)), np.empty(0)
    for part in parts_of(region).geoms:
        if part.area * (1.0 + 1e-9) < size[0] * size[1]:
            continue
        laid = _pack_part(
            eased(part), size, gap, limit, alike, rng, _Effort(directions, rounds, step_deg)
        )
        centres, turns = np.vstack((centres, laid[0])), np.concatenate((turns, laid[1]))
    found = sound(Packing(centres, np.mod(turns, 180.0), size, gap), region)
    return found.closest(limit)


Found = tuple[Floats, Floats]
"""Middles and turnings of patches."""


class _Effort(NamedTuple):
    """How long to look."""

    directions: int
    rounds: int
    step_deg: float


def _checked(size: tuple[float, float], gap: float, most: int | None) -> tuple[float, float]:
    sides = (float(size[0]), float(size[1]))
    if not all(LEAST_PATCH_CM <= side <= MOST_PATCH_CM for side in sides):
        raise InputError(
            "a patch of this size cannot be cut",
            remedy=f"write sides of {LEAST_PATCH_CM:g} to {MOST_PATCH_CM:g} cm",
        )
    if not 0.0 <= gap <= 10.0:
        raise InputError("the gap between patches is absurd", remedy="write 0 to 10 cm")
    if most is not None and most < 1:
        raise InputError("the number of patches is below one", remedy="write 1 or more")
    return sides


def _pack_part(
    part: Polygon,
    size: tuple[float, float],
    gap: float,
    limit: int,
    alike: bool,
    rng: np.random.Generator,
    effort: _Effort,
) -> Found:
    room = int((part.buffer(gap).area * (1 + 1e-9)) // ((size[0] + gap) * (size[1] + gap)))
    goal = min(limit, room)
    best: Found = (np.empty((0, 2)), np.empty(0))
    ranked = _directions(part, size, gap, effort.step_deg)
    for turn, count in ranked[: effort.directions]:
        if count == 0 or len(best[1]) >= goal:
            break
        frame = _Frame(part, turn, size, gap)
        corners = frame.improved(frame.rows(), rng, effort.rounds, goal)
        if len(corners) > len(best[1]):
            best = frame.back(corners)
    if not alike and len(best[1]) < goal:
        from tanwright.science.trials.loose import loosened

        turns = [*_edge_turns(part), *(turn for turn, _ in ranked)]
        best = loosened(part, best, turns, size, gap, goal, rng)
    return best


def _directions(
    part: Polygon, size: tuple[float, float], gap: float, step_deg: float
) -> list[tuple[float, int]]:
    """Turnings in degrees, the most promising first, with what rows give there."""
    tried: dict[float, tuple[int, int]] = {}

    def worth(turn: float) -> None:
        key = round(turn % 180.0, 4)
        if key not in tried:
            edges = edges_of(part, np.radians(key))
            count = lay_rows(edges, size, gap, steps=16).count
            tried[key] = (count, 0)

    for turn in (*_edge_turns(part), *np.arange(0.0, 180.0, step_deg).tolist()):
        worth(turn)
    for step in (step_deg / 3.0, step_deg / 8.0):
        for turn in sorted(tried, key=lambda key: (-tried[key][0], key))[:6]:
            worth(turn - step)
            worth(turn + step)
    leading = sorted(tried, key=lambda key: (-tried[key][0], key))[:16]
    for turn in leading:
        # Among equals the one in which slightly smaller patches gain most has the most room left.
        smaller = (size[0] * 0.96, size[1] * 0.96)
        near = lay_rows(edges_of(part, np.radians(turn)), smaller, gap, steps=16).count
        tried[turn] = (tried[turn][0], near)
    leading.sort(key=lambda key: (-tried[key][0], -tried[key][1]))
    return [(turn, tried[turn][0]) for turn in leading]


def _edge_turns(part: Polygon) -> list[float]:
    """Directions of the longest edges and of the narrowest box, and those at right angles."""
    points = shapely.get_coordinates(part.exterior)
    steps = np.diff(points, axis=0)
    longest = np.argsort(-np.hypot(steps[:, 0], steps[:, 1]), kind="stable")[:8]
    around = np.diff(shapely.get_coordinates(shapely.minimum_rotated_rectangle(part))[:2], axis=0)
    chosen = np.vstack((around, steps[longest]))
    turns = np.degrees(np.arctan2(chosen[:, 1], chosen[:, 0]))
    return [float(t) for turn in turns for t in (turn % 180.0, (turn + 90.0) % 180.0)]


class _Frame:
    """One part of the region turned so that patches lie along x."""

    def __init__(self, part: Polygon, turn: float, size: tuple[float, float], gap: float) -> None:
        self.turn, self.size, self.gap = turn, size, gap
        self.region = affinity.rotate(part, -turn, origin=(0.0, 0.0))
        shapely.prepare(self.region)

    def rows(self) -> Floats:
        """Corners from rows alone, and from columns when these give more."""
        by_rows = lay(self.region, self.size, self.gap, steps=48)
        by_columns = lay(self.region, self.size, self.gap, columns=True, steps=48)
        return by_columns if len(by_columns) > len(by_rows) else by_rows

    def back(self, corners: Floats) -> Found:
        """Middles and turnings on the sheet."""
        turn = np.radians(self.turn)
        frame = np.array(((np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))))
        middles = (corners + np.asarray(self.size) / 2.0) @ frame
        return middles, np.full(len(corners), self.turn)

    def improved(self, corners: Floats, rng: np.random.Generator, rounds: int, goal: int) -> Floats:
        """Neighbourhoods taken out and laid anew; never fewer patches than before."""
        held = corners
        along, across = self.size
        left, low, right, high = self.region.bounds
        for _ in range(rounds):
            if len(held) >= goal:
                break
            spot = np.array((rng.uniform(left, right), rng.uniform(low, high)))
            away = np.abs(held + np.asarray(self.size) / 2.0 - spot) / (along, across)
            reach = rng.uniform(1.2, 3.2)
            gone = (away < reach).all(axis=1)
            window = box(
                spot[0] - (reach + 0.5) * along,
                spot[1] - (reach + 0.5) * across,
                spot[0] + (reach + 0.5) * along,
                spot[1] + (reach + 0.5) * across,
            )
            free = self._free(held[~gone], window)
            flips = (bool(rng.integers(2)), bool(rng.integers(2)))
            columns = bool(rng.integers(2))
            better = lay(free, self.size, self.gap, columns=columns, flips=flips, steps=12)
            if len(better) >= gone.sum():
                held = np.vstack((held[~gone], better))
        return held

    def _free(self, others: Floats, window: Polygon) -> BaseGeometry:
        along, across = self.size
        gap = self.gap
        taken = shapely.box(
            others[:, 0] - gap,
            others[:, 1] - gap,
            others[:, 0] + along + gap,
            others[:, 1] + across + gap,
        )
        near = taken[shapely.intersects(taken, window)]
        inside = shapely.intersection(self.region, window)
        return shapely.difference(inside, shapely.union_all(near)) if len(near) else inside


def lay(
    region: BaseGeometry,
    size: tuple[float, float],
    gap: float,
    *,
    columns: bool = False,
    flips: tuple[bool, bool] = (False, False),
    steps: int = 16,
) -> Floats:
    """Lower left corners of patches along x, laid as rows or columns and pushed to a side."""
    signs = np.where(np.asarray(flips), -1.0, 1.0)
    corners = []
    for part in parts_of(region).geoms:
        if part.area * (1.0 + 1e-9) < size[0] * size[1]:
            continue
        edges = edges_of(part) * np.tile(signs, 2)
        if columns:
            edges = edges[:, (1, 0, 3, 2)]
        swap = edges[:, 1] > edges[:, 3]
        edges[swap] = edges[swap][:, (2, 3, 0, 1)]
        laid = lay_rows(edges, size[::-1] if columns else size, gap, steps).corners
        corners.append(laid[:, ::-1] if columns else laid)
    found = np.vstack(corners) if corners else np.empty((0, 2))
    shift = np.where(np.asarray(flips), -np.asarray(size), 0.0)
    return found * signs + shift

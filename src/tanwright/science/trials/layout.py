"""A layout of patches: where they lie, and whether it is sound. Lengths in cm, degrees."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from tanwright.science.values import Floats

OVERLAP_CM = 1e-4
"""How far a patch may stand over an edge or into another patch: a thousandth of a mm, rounding."""


@dataclass(frozen=True, eq=False)
class Packing:
    """Patches laid in a region.

    Attributes
    ----------
    centres:
        Middle of each patch, shape (patches, 2), cm.
    turns:
        Angle of the first side of each against x, degrees counter-clockwise, 0 to 180.
    size:
        Length of the first and of the second side, cm.
    gap:
        Kept between patches, along and across them, cm.
    """

    centres: Floats
    turns: Floats
    size: tuple[float, float]
    gap: float = 0.0

    @property
    def count(self) -> int:
        """How many patches there are."""
        return len(self.centres)

    def corners(self) -> Floats:
        """Corners of each patch counter-clockwise, shape (patches, 4, 2), cm."""
        half = np.asarray(self.size) / 2.0
        signs = np.array(((-1, -1), (1, -1), (1, 1), (-1, 1))) * half
        turn = np.radians(self.turns)
        frame = np.stack(
            (
                np.stack((np.cos(turn), np.sin(turn)), axis=-1),
                np.stack((-np.sin(turn), np.cos(turn)), axis=-1),
            ),
            axis=1,
        )
        return np.asarray(self.centres[:, None, :] + signs @ frame)

    def closest(self, count: int) -> Packing:
        """The same with only the ``count`` patches that lie closest together, in rows."""
        kept = _closest(self.centres, count)
        kept = kept[_in_rows(self.centres[kept], self.turns[kept], min(self.size))]
        return Packing(self.centres[kept], self.turns[kept], self.size, self.gap)

    def polygons(self) -> list[Polygon]:
        """The patches as polygons."""
        return [Polygon(ring) for ring in self.corners()]


def trouble_of(packing: Packing, region: BaseGeometry) -> float:
    """How far, in cm, a patch stands over the region's edge or into another patch at worst."""
    if packing.count == 0:
        return 0.0
    depth = _depths(packing.corners())
    return float(max(depth.max(initial=0.0), _over_edge(packing, region).max(initial=0.0)))


def _depths(corners: Floats) -> Floats:
    """How deep each pair of patches stands into each other, shape (patches, patches), cm.

    By separating lines along the sides of either: exact for rectangles, and free of the slips that
    general clipping makes where edges coincide.
    """
    sides = corners[:, (1, 3)] - corners[:, (0,)]
    axes = sides / np.linalg.norm(sides, axis=-1, keepdims=True)
    along = np.einsum("iad,jcd->iajc", axes, corners)
    low, high = along.min(axis=-1), along.max(axis=-1)
    own = np.arange(len(corners))
    mine_low, mine_high = low[own, :, own], high[own, :, own]
    shared = np.minimum(high, mine_high[:, :, None]) - np.maximum(low, mine_low[:, :, None])
    one_way = shared.min(axis=1)
    depth = np.maximum(np.minimum(one_way, one_way.T), 0.0)
    np.fill_diagonal(depth, 0.0)
    return np.asarray(depth)


def _over_edge(packing: Packing, region: BaseGeometry) -> Floats:
    """How far each patch stands over the edge, cm: the root of the area outside."""
    middles = packing.centres[:, None, :]
    corners = middles + (packing.corners() - middles) * (1.0 - OVERLAP_CM / max(packing.size))
    patches = [Polygon(ring) for ring in corners]
    outside = np.zeros(len(patches))
    for at in np.flatnonzero(~shapely.covers(region, patches)):
        outside[at] = math.sqrt(patches[at].difference(region).area)
    return outside


def sound(packing: Packing, region: BaseGeometry) -> Packing:
    """``packing`` without any patch that stands over the edge or too near to an earlier one."""
    if packing.count == 0:
        return packing
    good = _over_edge(packing, region) < OVERLAP_CM
    wrong = np.tril(_too_near(packing))
    for at in range(packing.count):
        good[at] = good[at] and not (wrong[at] & good).any()
    return Packing(packing.centres[good], packing.turns[good], packing.size, packing.gap)


def _too_near(packing: Packing) -> NDArray[np.bool_]:
    """Pairs of patches that stand into each other or nearer than the gap (patches, patches)."""
    near = _depths(packing.corners()) > OVERLAP_CM
    if packing.gap <= 0.0 or packing.count < 2:
        return near
    one, other = packing.size
    grown = Packing(packing.centres, packing.turns, (one + packing.gap, other + packing.gap))
    # Corner to corner the grown ones meet a little too soon, so that these are measured.
    doubtful = np.argwhere(np.triu(_depths(grown.corners()) > OVERLAP_CM) & ~near)
    patches = packing.polygons()
    for a, b in doubtful.tolist():
        near[a, b] = near[b, a] = patches[a].distance(patches[b]) < packing.gap - OVERLAP_CM
    return near


def _closest(centres: Floats, limit: int) -> NDArray[np.intp]:
    """The ``limit`` patches that lie closest together."""
    if len(centres) <= limit:
        return np.arange(len(centres))
    if limit == 0:
        return np.empty(0, dtype=np.intp)
    apart = np.hypot(*(centres[:, None, :] - centres[None, :, :]).transpose(2, 0, 1))
    seed = int(np.argmin(np.sort(apart, axis=1)[:, :limit].sum(axis=1)))
    return np.argsort(apart[seed], kind="stable")[:limit]


def _in_rows(centres: Floats, turns: Floats, height: float) -> NDArray[np.intp]:
    """An order as one reads: along rows that lie as the patches do, the top one first."""
    if not len(centres):
        return np.empty(0, dtype=np.intp)
    turn = np.radians((np.median(turns) + 45.0) % 90.0 - 45.0)
    along = centres @ np.array((np.cos(turn), np.sin(turn)))
    across = centres @ np.array((-np.sin(turn), np.cos(turn)))
    downwards = np.argsort(-across, kind="stable")
    rows = np.zeros(len(centres))
    row, top = 0, across[downwards[0]]
    for at in downwards:
        if across[at] < top - 0.6 * height:
            row, top = row + 1, across[at]
        rows[at] = row
    return np.lexsort((along, rows))

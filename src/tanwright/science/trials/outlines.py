"""Outlines of offcuts: rings of points in cm, checked once, and the part of them that may be cut.

Lengths in cm, areas in cm2.  ``x`` runs to the right and ``y`` upwards.  Geometry by shapely.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from tanwright.errors import InputError
from tanwright.science.values import Floats

MOST_POINTS = 5000
LEAST_SIDE_CM, MOST_SIDE_CM = 1.0, 500.0
LEAST_AREA_CM2 = 1.0
_SLIP = 0.02
"""Share of the area that a repair may change: more and the outline is not what was meant."""

_MANY = 150
_SLACKS_CM = (0.02, 0.05, 0.1, 0.2)

Ring = Sequence[Sequence[float]] | Floats


@dataclass(frozen=True, eq=False)
class Outline:
    """A checked outline.

    Attributes
    ----------
    outer:
        Ring around the piece, shape (points, 2), not closed, counter-clockwise, cm.
    flaws:
        Rings around holes, scars and cuts, clockwise, as the outer one; none crosses another.
    """

    outer: Floats
    flaws: tuple[Floats, ...] = ()

    @property
    def area_cm2(self) -> float:
        """Area without the flaws."""
        return float(self.region().area)

    @property
    def size_cm(self) -> tuple[float, float]:
        """Breadth and height of the box around it."""
        breadth, height = np.ptp(self.outer, axis=0)
        return float(breadth), float(height)

    def region(self) -> Polygon:
        """The piece without its flaws."""
        return Polygon(self.outer, self.flaws)

    def usable(self, from_edge_cm: float = 0.0, from_flaws_cm: float | None = None) -> MultiPolygon:
        """Where patches may lie: what keeps off the edge and the flaws by these distances, cm.

        ``from_flaws_cm`` is as the edge when not given.  May be empty or in several parts.
        """
        edge, flaw = from_edge_cm, from_edge_cm if from_flaws_cm is None else from_flaws_cm
        if min(edge, flaw) < 0.0 or not np.isfinite([edge, flaw]).all():
            raise InputError("the distance to keep off is below nought", remedy="write 0 or more")
        kept: BaseGeometry = Polygon(self.outer)
        if edge > 0.0:
            kept = kept.buffer(-edge, quad_segs=16)
        for ring in self.flaws:
            hole: BaseGeometry = Polygon(ring)
            kept = kept.difference(hole.buffer(flaw, quad_segs=16) if flaw > 0.0 else hole)
        return parts_of(kept)

    def rings(self) -> list[list[list[float]]]:
        """Outer ring first, then the flaws, rounded to 0.01 mm: plain lists to keep."""
        return [
            [[round(float(x), 3), round(float(y), 3)] for x, y in ring]
            for ring in (self.outer, *self.flaws)
        ]


def outline_of(outer: Ring, flaws: Iterable[Ring] = ()) -> Outline:
    """The outline around ``outer`` without ``flaws``, both rings of (x, y) in cm.

    Doubled points, spikes without breadth and slips of the pen are put right.  A flaw is cut off
    where it leaves the piece, and flaws that meet become one.

    Raises
    ------
    InputError
        If a ring has fewer than three or more than 5000 points, crosses itself, is absurdly small
        or large, a flaw lies outside, or the flaws leave nothing or cut the piece apart.
    """
    whole = checked_ring(outer, "the outline")
    breadth, height = _size(whole)
    if max(breadth, height) > MOST_SIDE_CM:
        raise InputError(
            f"the outline is {max(breadth, height):.0f} cm long, more than any skin",
            remedy=f"write points in cm, at most {MOST_SIDE_CM:.0f} cm apart",
        )
    if min(breadth, height) < LEAST_SIDE_CM or whole.area < LEAST_AREA_CM2:
        raise InputError(
            f"the outline holds {whole.area:.2g} cm², too little to cut from",
            remedy="write points in cm, around a piece at least 1 cm wide",
        )
    holes = [checked_ring(ring, f"flaw {at}") for at, ring in enumerate(flaws, 1)]
    left: BaseGeometry = whole
    for at, hole in enumerate(holes, 1):
        if whole.intersection(hole).area < 1e-6:
            raise InputError(
                f"flaw {at} lies outside the piece",
                remedy="check its points, or leave it out if it is no part of this offcut",
            )
        left = left.difference(hole)
    pieces = parts_of(left).geoms
    if not pieces:
        raise InputError("the flaws cover the whole piece", remedy="draw the flaws smaller")
    biggest = max(pieces, key=lambda piece: piece.area)
    if sum(piece.area for piece in pieces) - biggest.area >= LEAST_AREA_CM2:
        raise InputError(
            "a flaw cuts the piece in two",
            remedy="enter each part as an offcut of its own",
        )
    return _outline(biggest)


def outline_of_rings(rings: Sequence[Ring]) -> Outline:
    """The outline of kept rings, outer one first. Raises InputError as :func:`outline_of`."""
    if not rings:
        raise InputError("the outline has no points", remedy="write at least three points")
    return outline_of(rings[0], rings[1:])


def rectangle(length_cm: float, width_cm: float) -> Outline:
    """A rectangle lying along x. Raises InputError for absurd sizes."""
    return trapezium(length_cm, width_cm, width_cm)


def trapezium(length_cm: float, first_cm: float, last_cm: float) -> Outline:
    """A piece ``length_cm`` long that is ``first_cm`` wide at one end, ``last_cm`` at the other."""
    return from_widths(length_cm, (first_cm, last_cm))


def from_widths(length_cm: float, widths_cm: Sequence[float]) -> Outline:
    """A piece measured across at evenly spaced places along its length, the ends among them.

    The piece is taken as alike on both sides of its middle line; a width of 0 at an end makes a
    point.

    Raises
    ------
    InputError
        For fewer than two widths, a width below nought or absurd sizes.
    """
    widths = np.asarray(widths_cm, dtype=float)
    if widths.ndim != 1 or not 2 <= widths.size <= 50:
        raise InputError(
            "a piece is measured across at 2 to 50 places", remedy="write the width at both ends"
        )
    if not (np.isfinite(widths).all() and np.isfinite(length_cm)):
        raise InputError("a measure is not a number", remedy="write measures in cm")
    inner_gone = (widths[1:-1] <= 0.0).any()
    if length_cm <= 0.0 or (widths < 0.0).any() or inner_gone or not widths.any():
        raise InputError(
            "a measure of the piece is not above nought",
            remedy="write the length and the widths in cm; only an end may be 0 wide",
        )
    places = np.linspace(0.0, length_cm, widths.size)
    lower = np.column_stack((places, -widths / 2.0))
    upper = np.column_stack((places, widths / 2.0))[::-1]
    ring = np.vstack((lower, upper)) + np.array((0.0, widths.max() / 2.0))
    return outline_of(ring)


def parts_of(shape: BaseGeometry) -> MultiPolygon:
    """The parts of ``shape`` that have an area, the largest first."""
    found = [part for part in polygons_of(shape) if part.area > 1e-9]
    found.sort(key=lambda part: (-part.area, part.bounds))
    return MultiPolygon(found)


def eased(region: Polygon, *, outwards: bool = False) -> Polygon:
    """``region`` with no more than some 150 points, by a line that strays as little as that needs.

    It strays 0.2 mm at first and 2 mm at most, inwards, so that the result is never larger; or
    ``outwards``, so that it is never smaller.  A region of few points is given back as it is.
    """
    found = region
    for slack in _SLACKS_CM:
        if _points_in(found) <= _MANY:
            break
        half = slack / 2.0
        parts = polygons_of(region.buffer(half if outwards else -half, quad_segs=4))
        if len(parts) != 1:
            break
        for stray in (0.9, 0.6, 0.3):
            simpler = parts[0].simplify(half * stray)
            # Rounded corners of the buffer fall a little short, so that this has to be looked at.
            if isinstance(simpler, Polygon) and (
                simpler.covers(region) if outwards else region.covers(simpler)
            ):
                found = simpler
                break
    return found


def _points_in(shape: BaseGeometry) -> int:
    return int(shapely.get_num_coordinates(shape))


def polygons_of(shape: BaseGeometry) -> list[Polygon]:
    """The polygons that ``shape`` is made of, lines and points left out."""
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    return [part for one in getattr(shape, "geoms", ()) for part in polygons_of(one)]


def checked_ring(ring: Ring, what: str) -> Polygon:
    """One ring of (x, y) in cm as a polygon, slips put right; ``what`` names it in a refusal.

    Raises
    ------
    InputError
        If it is not a ring around an area.
    """
    try:
        points = np.asarray(ring, dtype=float)
    except (TypeError, ValueError):
        points = np.empty(0)
    if points.ndim != 2 or points.shape[1:] != (2,) or not np.isfinite(points).all():
        raise InputError(f"{what} is not a row of points", remedy="write x and y in cm for each")
    if len(points) > MOST_POINTS:
        raise InputError(
            f"{what} has {len(points)} points, more than {MOST_POINTS}",
            remedy="draw it with fewer points, one for each bend",
        )
    if np.abs(points).max(initial=0.0) > 1e5:
        raise InputError(f"{what} lies far from the sheet", remedy="write points in cm")
    if len(_distinct(points)) < 3:
        raise InputError(f"{what} has fewer than three points", remedy="write at least three")
    drawn = Polygon(points)
    if drawn.is_valid:
        good = drawn
    else:
        repaired = parts_of(shapely.make_valid(drawn)).geoms
        whole = sum(part.area for part in repaired)
        if whole < 1e-9:
            raise InputError(f"{what} has no area", remedy="write points that go round the piece")
        if repaired[0].area < (1.0 - _SLIP) * whole:
            raise InputError(
                f"{what} crosses itself",
                remedy="write its points in the order in which you meet them going round",
            )
        good = Polygon(repaired[0].exterior)
    if good.area <= 0.0:
        raise InputError(f"{what} has no area", remedy="write points that go round the piece")
    return good


def _outline(region: Polygon) -> Outline:
    oriented = shapely.geometry.polygon.orient(region)
    flaws = [Polygon(ring) for ring in oriented.interiors]
    kept = tuple(_open(ring.exterior.coords)[::-1] for ring in flaws if ring.area > 1e-4)
    return Outline(_open(oriented.exterior.coords), kept)


def _open(coords: Iterable[Sequence[float]]) -> Floats:
    points: NDArray[np.float64] = np.asarray(list(coords), dtype=float)[:-1]
    return points


def _distinct(points: Floats) -> Floats:
    return np.unique(np.round(points, 9), axis=0)


def _size(shape: Polygon) -> tuple[float, float]:
    left, low, right, high = shape.bounds
    return right - left, high - low

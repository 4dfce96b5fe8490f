"""Outlines of offcuts: checked, put right, or refused with one plain line."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from tanwright.errors import InputError
from tanwright.science.trials.outlines import (
    MOST_POINTS,
    eased,
    from_widths,
    outline_of,
    outline_of_rings,
    rectangle,
    trapezium,
)

SQUARE = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]


def test_area_and_size_without_a_flaw_and_with_one() -> None:
    hole = [(2.0, 2.0), (4.0, 2.0), (4.0, 4.0), (2.0, 4.0)]
    assert outline_of(SQUARE).area_cm2 == pytest.approx(100.0)
    whole = outline_of(SQUARE, [hole])
    assert whole.area_cm2 == pytest.approx(96.0)
    assert whole.size_cm == pytest.approx((10.0, 10.0))


def test_a_closing_point_doubled_points_and_a_spike_are_put_right() -> None:
    ring = [(0, 0), (0, 0), (10, 0), (10, 5), (14, 5), (10, 5), (10, 10), (0, 10), (0, 0)]
    assert outline_of(ring).area_cm2 == pytest.approx(100.0)


def test_a_flaw_over_the_edge_is_cut_off_and_flaws_that_meet_become_one() -> None:
    over = [(8.0, 4.0), (14.0, 4.0), (14.0, 6.0), (8.0, 6.0)]
    assert outline_of(SQUARE, [over]).area_cm2 == pytest.approx(96.0)
    first = [(2.0, 2.0), (5.0, 2.0), (5.0, 5.0), (2.0, 5.0)]
    second = [(4.0, 4.0), (6.0, 4.0), (6.0, 6.0), (4.0, 6.0)]
    joined = outline_of(SQUARE, [first, second])
    assert joined.area_cm2 == pytest.approx(100.0 - 12.0)
    assert len(joined.flaws) == 1


@pytest.mark.parametrize(
    ("ring", "says"),
    [
        ([(0, 0), (10, 10), (10, 0), (0, 10)], "crosses itself"),
        ([(0, 0), (10, 0)], "fewer than three points"),
        ([(0, 0), (5, 0), (10, 0)], "no area"),
        ([(0, 0), (0.5, 0), (0.5, 0.5), (0, 0.5)], "too little to cut"),
        ([(0, 0), (900, 0), (900, 50), (0, 50)], "more than any skin"),
        ([(0, 0), (float("nan"), 0), (3, 3)], "not a row of points"),
        ([(0, 0, 1), (5, 0, 1), (3, 3, 1)], "not a row of points"),
        ([("a", "b"), (5, 0), (3, 3)], "not a row of points"),
        ([(0, 0), (1e9, 0), (3, 3)], "far from the sheet"),
        ([(k, k % 2) for k in range(MOST_POINTS + 1)], "more than 5000"),
        ([], "not a row of points"),
    ],
)
def test_what_cannot_be_cut_is_refused_in_one_line(ring: list, says: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(InputError, match=says) as caught:
        outline_of(ring)
    assert caught.value.remedy
    assert "\n" not in str(caught.value)


def test_flaws_that_leave_nothing_or_part_the_piece_are_refused() -> None:
    with pytest.raises(InputError, match="cover the whole"):
        outline_of(SQUARE, [[(-1, -1), (11, -1), (11, 11), (-1, 11)]])
    with pytest.raises(InputError, match="in two"):
        outline_of(SQUARE, [[(4, -1), (6, -1), (6, 11), (4, 11)]])


@pytest.mark.parametrize("at", [20.0, 10.0])
def test_a_flaw_that_lies_outside_is_told(at: float) -> None:
    inside = [(2.0, 2.0), (3.0, 2.0), (3.0, 3.0), (2.0, 3.0)]
    outside = [(at, 4.0), (at + 2.0, 4.0), (at + 2.0, 6.0), (at, 6.0)]
    with pytest.raises(InputError, match="flaw 2 lies outside the piece"):
        outline_of(SQUARE, [inside, outside])


@pytest.mark.parametrize("widths", [(0.0, 0.0), (0.0, 0.0, 0.0)])
def test_no_width_at_all_is_called_that(widths: tuple[float, ...]) -> None:
    with pytest.raises(InputError, match="a measure of the piece is not above nought"):
        from_widths(10.0, widths)


def test_pieces_from_measures() -> None:
    assert rectangle(12.0, 5.0).area_cm2 == pytest.approx(60.0)
    assert trapezium(10.0, 6.0, 2.0).area_cm2 == pytest.approx(40.0)
    assert from_widths(10.0, (0.0, 4.0, 0.0)).area_cm2 == pytest.approx(20.0)
    for wrong in ((10.0, (5.0,)), (0.0, (5.0, 5.0)), (9.0, (5.0, 0.0, 5.0)), (9.0, (5.0, -1.0))):
        with pytest.raises(InputError):
            from_widths(*wrong)


def test_keeping_off_edges_and_flaws() -> None:
    hole = [(4.0, 4.0), (6.0, 4.0), (6.0, 6.0), (4.0, 6.0)]
    kept = outline_of(SQUARE, [hole]).usable(1.0, 0.5)
    # 8 x 8 without the hole, grown by half a cm with round corners.
    grown = 4.0 + 4 * 2.0 * 0.5 + math.pi * 0.25
    assert kept.area == pytest.approx(64.0 - grown, abs=2e-3)
    assert outline_of(SQUARE).usable(6.0).is_empty
    with pytest.raises(InputError):
        outline_of(SQUARE).usable(-1.0)


def test_rings_come_back_as_they_were_kept() -> None:
    hole = [(4.0, 4.0), (6.0, 4.0), (6.0, 6.0)]
    first = outline_of(SQUARE, [hole])
    again = outline_of_rings(first.rings())
    assert again.region().equals(first.region())


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(60, 300))
def test_easing_never_enlarges_and_loses_little(seed: int, points: int) -> None:
    rng = np.random.default_rng(seed)
    angle = np.sort(rng.uniform(0, 2 * np.pi, points))
    radius = 15.0 + np.cos(3 * angle) + rng.normal(0, 0.01, points)
    region = Polygon(np.column_stack((radius * np.cos(angle), radius * np.sin(angle))))
    if not region.is_valid:
        return
    inner, outer = eased(region), eased(region, outwards=True)
    assert region.difference(outer).area < 1e-9
    assert len(inner.exterior.coords) <= len(region.exterior.coords)
    assert inner.difference(region).area < 1e-9
    assert inner.area > region.area - 0.25 * region.length
    assert Point(0, 0).within(inner) == Point(0, 0).within(region)

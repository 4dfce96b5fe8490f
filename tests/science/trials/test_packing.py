"""Packing: known optima, never an overlap, the proved bounds, the bars of time and ratio."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon, box

from benchmarks.packing.outlines import benchmark_outlines
from tanwright.errors import InputError
from tanwright.science.trials.bounds import (
    alike_bound,
    area_bound,
    bounds_of,
    opening,
    turned_bound,
)
from tanwright.science.trials.layout import OVERLAP_CM, Packing, trouble_of
from tanwright.science.trials.packing import pack

# Erich Friedman, "Packing unit squares in squares: a survey and new results", Electronic Journal
# of Combinatorics, Dynamic Survey DS7: s(n) is the side of the smallest square that holds n unit
# squares. The author's page of pictures prints: s(5) = 2 + 1/sqrt(2), proved by Göbel in
# 1979; s(10) = 3 + 1/sqrt(2), proved by Stromquist in 2003; squares are trivial.
SIDES = {4: 2.0, 5: 2.0 + math.sqrt(0.5), 9: 3.0, 10: 3.0 + math.sqrt(0.5), 16: 4.0, 36: 6.0}


@pytest.mark.parametrize(("count", "side"), SIDES.items())
def test_unit_squares_in_the_smallest_square_that_holds_them(count: int, side: float) -> None:
    region = affinity.rotate(box(0.0, 0.0, side + 1e-4, side + 1e-4), 17.0)
    found = pack(region, (1.0, 1.0), alike=False)
    assert found.count == count
    assert trouble_of(found, region) < OVERLAP_CM
    assert count <= area_bound(region, (1.0, 1.0))


@pytest.mark.parametrize("count", [5, 10])
def test_lying_alike_one_fewer_fits_and_the_bound_allows_no_cheating(count: int) -> None:
    region = box(0.0, 0.0, SIDES[count] + 1e-4, SIDES[count] + 1e-4)
    found = pack(region, (1.0, 1.0))
    assert found.count == count - 1
    assert alike_bound(region, (1.0, 1.0)) >= found.count


@pytest.mark.parametrize(
    ("region", "size", "count"),
    [
        (box(0, 0, 10, 6), (2.0, 2.0), 15),
        (box(0, 0, 10.9, 6.9), (2.0, 2.0), 15),
        (box(0, 0, 12, 8), (4.0, 2.0), 12),
        (box(0, 0, 7, 5), (5.0, 3.5), 2),
        # 5 x 5 holds six 4 x 1 strips (a pinwheel): the rows and columns of one direction of the
        # sheet give 5 when every patch lies the same way; worked by hand.
        (box(0, 0, 5, 5), (4.0, 1.0), 5),
        # An L of arms two broad, and a U: cut into rectangles by hand.
        (Polygon([(0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)]), (1.0, 1.0), 20),
        (Polygon([(0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)]), (2.0, 2.0), 5),
        (
            Polygon([(0, 0), (7, 0), (7, 6), (5, 6), (5, 2), (2, 2), (2, 6), (0, 6)]),
            (2.0, 2.0),
            7,
        ),
        # Two strips at heights that share no row.
        (box(0, 0, 10, 2).union(box(4, 1.5, 6, 5.5)), (2.0, 2.0), 6),
        (box(0, 0, 6, 6).difference(box(2, 2, 4, 4)), (2.0, 2.0), 8),
        (box(0, 0, 1, 1), (2.0, 2.0), 0),
    ],
)
def test_simple_shapes_are_filled_as_worked_by_hand(
    region: Polygon, size: tuple[float, float], count: int
) -> None:
    for turn in (0.0, 31.3):
        turned = affinity.rotate(region, turn)
        found = pack(turned, size)
        assert found.count == count
        assert trouble_of(found, turned) < OVERLAP_CM
        bounds = bounds_of(turned, size)
        assert found.count <= bounds.alike <= bounds.area


def test_a_gap_is_kept_and_counted() -> None:
    region = box(0.0, 0.0, 10.4, 6.2)
    found = pack(region, (2.0, 2.0), gap=0.1)
    assert found.count == 15
    wider = pack(region, (2.0, 2.0), gap=0.15)
    assert wider.count < 15
    assert bounds_of(region, (2.0, 2.0), 0.1).alike == 15
    patches = found.polygons()
    apart = [a.distance(b) for k, a in enumerate(patches) for b in patches[:k]]
    assert min(apart) == pytest.approx(0.1, abs=1e-6)


def test_no_more_than_asked_and_those_lie_close_together() -> None:
    region = box(0.0, 0.0, 40.0, 4.0)
    found = pack(region, (2.0, 2.0), most=6)
    assert found.count == 6
    assert np.ptp(found.centres[:, 0]) <= 6.0 + 1e-9
    assert pack(region, (2.0, 2.0)).closest(4).count == 4


def test_several_parts_are_packed_each_on_its_own() -> None:
    region = MultiPolygon([box(0, 0, 4, 4), affinity.rotate(box(10, 0, 16, 4), 40.0)])
    found = pack(region, (2.0, 2.0))
    assert found.count == 4 + 6
    assert trouble_of(found, region) < OVERLAP_CM


def blob(seed: int, points: int = 40, holes: int = 1) -> Polygon:
    """A random star-shaped outline with a random flaw."""
    rng = np.random.default_rng(seed)
    angle = np.linspace(0.0, 2.0 * np.pi, points, endpoint=False)
    radius = 10.0 * (1.0 + sum(
        rng.normal(0.0, 0.15 / k) * np.cos(k * angle + rng.uniform(0.0, 6.3)) for k in range(1, 6)
    ))  # fmt: skip
    radius = np.maximum(radius, 2.0)
    ring = np.column_stack((1.5 * radius * np.cos(angle), radius * np.sin(angle)))
    region = Polygon(ring).buffer(0.0)
    for _ in range(holes):
        middle = rng.uniform(-5.0, 5.0, 2)
        region = region.difference(affinity.translate(box(-1, -0.5, 1, 0.5), *middle))
    return region


@settings(max_examples=8, deadline=None)
@given(
    seed=st.integers(0, 100_000),
    width=st.floats(2.0, 6.0),
    height=st.floats(2.0, 6.0),
    gap=st.sampled_from((0.0, 0.2)),
    alike=st.booleans(),
)
def test_patches_never_overlap_nor_leave_the_region_nor_pass_the_bounds(
    seed: int, width: float, height: float, gap: float, alike: bool
) -> None:
    region = blob(seed)
    found = pack(region, (width, height), gap=gap, alike=alike, rounds=15, directions=4)
    assert trouble_of(found, region) < OVERLAP_CM
    # The check of overlaps is held to shapely's on patches a hundredth of a mm smaller.
    patches = [patch.buffer(-1e-3, join_style="mitre") for patch in found.polygons()]
    for k, patch in enumerate(patches):
        assert all(patch.distance(other) > gap for other in patches[:k])
    bounds = bounds_of(region, (width, height), gap, budget=20)
    assert found.count <= bounds.area
    if alike:
        assert found.count <= bounds.alike


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 100_000), st.floats(0.0, 180.0))
def test_the_bound_of_one_direction_holds_for_rows_in_it(seed: int, turn: float) -> None:
    from tanwright.science.trials.rows import edges_of, lay_rows

    region = blob(seed)
    laid = lay_rows(edges_of(region, math.radians(turn)), (3.0, 2.5), 0.0)
    parts = getattr(region, "geoms", (region,))
    assert laid.count <= sum(turned_bound(part, (3.0, 2.5), turn) for part in parts)


def test_the_opening_is_what_patches_can_cover() -> None:
    plus = box(0, 4, 12, 8).union(box(4, 0, 8, 12)).union(box(11, 5, 13, 6))
    opened = opening(plus, (3.0, 3.0))
    assert opened.area == pytest.approx(box(0, 4, 12, 8).union(box(4, 0, 8, 12)).area)
    assert opening(plus, (5.0, 5.0)).is_empty


def test_the_same_seed_gives_the_same_packing() -> None:
    region = blob(3)
    first, again = (pack(region, (3.0, 3.0), seed=5, rounds=20) for _ in range(2))
    assert np.array_equal(first.centres, again.centres)
    assert np.array_equal(first.turns, again.turns)


@pytest.mark.parametrize("name", sorted(benchmark_outlines()))
def test_forty_patches_in_an_irregular_outline(name: str) -> None:
    region, side, best = benchmark_outlines()[name]
    began = time.process_time()
    found = pack(region, (side, side))
    spent = time.process_time() - began
    assert 34 <= found.count <= 46
    assert trouble_of(found, region) < OVERLAP_CM
    assert found.count >= 0.97 * best
    assert found.count >= 0.85 * alike_bound(region, (side, side), budget=100)
    assert spent < 2.0


def test_trouble_is_found_where_there_is_some() -> None:
    region = box(0.0, 0.0, 10.0, 10.0)
    size = (2.0, 2.0)
    good = Packing(np.array(((1.0, 1.0), (3.0, 1.0))), np.zeros(2), size)
    assert trouble_of(good, region) == 0.0
    into = Packing(np.array(((1.0, 1.0), (2.9, 1.0))), np.zeros(2), size)
    assert trouble_of(into, region) == pytest.approx(0.1)
    over = Packing(np.array(((0.5, 1.0),)), np.zeros(1), size)
    assert trouble_of(over, region) > 0.5
    corner = Packing(np.array(((1.0, 5.0), (3.3, 5.0))), np.array((0.0, 45.0)), size)
    assert trouble_of(corner, region) == pytest.approx(1.0 + math.sqrt(2.0) - 2.3)


@pytest.mark.parametrize(
    "wrong", [{"size": (0.1, 5.0)}, {"size": (5.0, 500.0)}, {"gap": -1.0}, {"most": 0}]
)
def test_sizes_that_cannot_be_cut_are_refused(wrong: dict[str, object]) -> None:
    asked = {"size": (5.0, 5.0)} | wrong
    with pytest.raises(InputError):
        pack(box(0, 0, 20, 20), **asked)  # type: ignore[arg-type]


def test_the_gap_is_kept_between_parts_too() -> None:
    """Two rooms that a thin flaw keeps apart by less than the gap."""
    region = MultiPolygon([box(0.0, 0.0, 2.0, 2.0), box(2.2, 2.2, 4.2, 4.2)])
    assert pack(region, (2.0, 2.0), gap=0.1).count == 2
    assert pack(region, (2.0, 2.0), gap=0.28).count == 2
    assert pack(region, (2.0, 2.0), gap=0.3).count == 1

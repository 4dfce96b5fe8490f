"""Blends: several kinds of tannin that share the sites of one pelt."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tanwright.science.uptake.solver import Resolution, solve
from tests.science.uptake.worlds import plain_schedule, plain_world, pour

RESOLUTION = Resolution(16, 6.0, 6)


@pytest.mark.parametrize("kinds", [2, 3])
def test_a_blend_of_one_tannin_with_itself_is_that_tannin(kinds: int):
    def run(s: int):
        world = plain_world(kinds=s, thickness=(2.0, 3.5), area=(0.4, 0.2), openness=(0.4, 0.0))
        schedule = plain_schedule(kinds=s, pours=(pour(3.0, 6.0, 9.0, 35.0, kinds=s),))
        return solve(world, schedule, resolution=RESOLUTION)

    alone, blend = run(1), run(kinds)
    np.testing.assert_allclose(
        blend.vat_tannin_g_per_l.sum(axis=2), alone.vat_tannin_g_per_l.sum(axis=2), rtol=1e-6
    )
    for name in ("mean_degree", "least_degree", "flesh_front", "grain_front", "free_g"):
        np.testing.assert_allclose(getattr(blend, name), getattr(alone, name), rtol=1e-5, atol=1e-7)


def test_an_absent_kind_changes_nothing():
    alone = solve(plain_world(), plain_schedule(), resolution=RESOLUTION)
    two = plain_world(kinds=2)
    two = replace(two, diffusivity_mm2_per_day=np.array([[0.5, 3.0]]))
    schedule = replace(plain_schedule(kinds=2), tannin_g_per_l=np.array([[20.0, 0.0]]))
    both = solve(two, schedule, resolution=RESOLUTION)
    np.testing.assert_allclose(both.mean_degree, alone.mean_degree, rtol=1e-7, atol=1e-12)
    assert np.all(both.vat_tannin_g_per_l[:, :, 1] == 0.0)


def test_the_order_of_kinds_is_irrelevant():
    world = plain_world(kinds=2)
    world = replace(
        world,
        diffusivity_mm2_per_day=np.array([[0.3, 1.2]]),
        affinity_l_per_g=np.array([[0.3, 0.1]]),
        capacity_g_per_g=np.array([[0.5, 0.8]]),
    )
    swapped = replace(
        world,
        **{
            name: getattr(world, name)[:, ::-1].copy()
            for name in ("diffusivity_mm2_per_day", "affinity_l_per_g", "capacity_g_per_g")
        },
    )
    schedule = replace(plain_schedule(kinds=2), tannin_g_per_l=np.array([[15.0, 5.0]]))
    other = replace(plain_schedule(kinds=2), tannin_g_per_l=np.array([[5.0, 15.0]]))
    one = solve(world, schedule, resolution=RESOLUTION)
    two = solve(swapped, other, resolution=RESOLUTION)
    np.testing.assert_allclose(
        one.vat_tannin_g_per_l, two.vat_tannin_g_per_l[:, :, ::-1], rtol=1e-6
    )
    np.testing.assert_allclose(one.mean_degree, two.mean_degree, rtol=1e-6, atol=1e-9)


def test_kinds_that_bind_compete_for_the_same_sites():
    """With a rival in the liquor, less of the first tannin binds than it would alone."""

    def first_kind_bound(rival: float) -> float:
        world = plain_world(kinds=2)
        schedule = replace(
            plain_schedule(kinds=2, vat_l=500.0), tannin_g_per_l=np.array([[15.0, rival]])
        )
        end = solve(world, schedule, resolution=RESOLUTION).end
        return float((end.total_g_per_l - 0.6 * end.free_g_per_l)[0, 0, :, 0].mean())

    assert first_kind_bound(30.0) < 0.8 * first_kind_bound(0.0)

"""Limits towards simpler models, and the directions in which things must go."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.uptake.model import equilibrium, heat_factor
from tanwright.science.uptake.schedule import Conditions
from tanwright.science.uptake.solver import Resolution, solve
from tests.science.uptake.worlds import plain_schedule, plain_world

RESOLUTION = Resolution(24, 10.0, 10)


def test_fast_binding_tends_to_local_equilibrium():
    """The gap closes with the inverse of the rate."""

    def run(rate: float):
        return solve(plain_world(rate=rate, openness=0.0), plain_schedule(), resolution=RESOLUTION)

    limit = run(1e9)
    bound = (limit.end.total_g_per_l - 0.6 * limit.end.free_g_per_l) / 235.0
    target = equilibrium(limit.end.free_g_per_l, np.array([0.6]), np.array([0.2]))
    np.testing.assert_allclose(bound, target, atol=1e-6)
    gaps = [np.abs(run(rate).mean_degree - limit.mean_degree).max() for rate in (1e2, 1e3, 1e4)]
    assert gaps[0] / gaps[1] == pytest.approx(10.0, rel=0.3)
    assert gaps[1] / gaps[2] == pytest.approx(10.0, rel=0.3)


def test_slow_binding_tends_to_no_binding():
    slow = solve(plain_world(rate=1e-7), plain_schedule(), resolution=RESOLUTION)
    none = solve(plain_world(capacity=0.0), plain_schedule(), resolution=RESOLUTION)
    np.testing.assert_allclose(slow.free_g, none.free_g, rtol=1e-4, atol=1e-6)


def test_a_nearly_closed_grain_tends_to_a_closed_one():
    shut = solve(plain_world(openness=0.0), plain_schedule(), resolution=RESOLUTION)
    nearly = solve(plain_world(openness=1e-6), plain_schedule(), resolution=RESOLUTION)
    np.testing.assert_allclose(nearly.mean_degree, shut.mean_degree, atol=1e-5)
    assert np.all(shut.grain_front == 0.0)


def test_two_equal_faces_are_two_half_sheets_with_a_closed_middle():
    whole = solve(plain_world(openness=1.0), plain_schedule(), resolution=Resolution(48, 10.0, 10))
    half = plain_world(thickness=(1.0,), area=(0.8,), openness=0.0)
    halves = solve(half, plain_schedule(), resolution=RESOLUTION)
    np.testing.assert_allclose(whole.mean_degree, halves.mean_degree, rtol=1e-6, atol=1e-9)
    np.testing.assert_allclose(whole.flesh_front, whole.grain_front, atol=1e-6)
    np.testing.assert_allclose(2.0 * whole.flesh_front, halves.flesh_front, atol=0.03)


def test_one_slab_is_two_of_half_the_area():
    one = solve(plain_world(), plain_schedule(), resolution=RESOLUTION)
    two = plain_world(thickness=(2.0, 2.0), area=(0.1, 0.3))
    both = solve(two, plain_schedule(), resolution=RESOLUTION)
    np.testing.assert_allclose(both.vat_tannin_g_per_l, one.vat_tannin_g_per_l, rtol=1e-7)
    np.testing.assert_allclose(both.mean_degree[:, :, :1], one.mean_degree, rtol=1e-6, atol=1e-10)


def test_in_the_end_pelt_and_vat_are_in_equilibrium():
    result = solve(plain_world(), plain_schedule(days=2000.0), resolution=RESOLUTION)
    vat = result.vat_tannin_g_per_l[0, -1]
    assert result.mean_degree[0, -1, 0] == pytest.approx(
        float(equilibrium(vat, np.array([0.6]), np.array([0.2]))[0]), rel=1e-4
    )
    assert result.free_g[0, -1, 0] == pytest.approx(0.6 * vat[0] * 0.8, rel=1e-4)


def strike_day(result) -> float:
    return float(result.first_day(result.struck_through[:, :, 0] - 0.9)[0])


def test_warmer_is_faster():
    days = [
        strike_day(
            solve(
                plain_world(),
                plain_schedule(
                    days=60.0, conditions=(Conditions(0.0, heat=float(heat_factor(temperature))),)
                ),
                resolution=RESOLUTION,
            )
        )
        for temperature in (2.0, 10.0, 20.0, 30.0)
    ]
    assert np.all(np.diff(days) < 0.0)


def test_thicker_is_slower():
    days = [
        strike_day(
            solve(
                plain_world(thickness=(mm,)),
                plain_schedule(days=90.0, vat_l=80.0),
                resolution=RESOLUTION,
            )
        )
        for mm in (1.0, 1.5, 2.5, 4.0)
    ]
    assert np.all(np.diff(days) > 0.0)


def test_stronger_is_faster():
    days = [
        strike_day(
            solve(plain_world(), plain_schedule(days=200.0, tannin=g), resolution=RESOLUTION)
        )
        for g in (10.0, 15.0, 25.0, 50.0)
    ]
    assert np.all(np.isfinite(days))
    assert np.all(np.diff(days) < 0.0)


def test_case_hardening_shows_as_a_rich_face_and_a_raw_middle():
    mild = solve(plain_world(thickness=(4.0,)), plain_schedule(days=4.0, tannin=6.0))
    harsh = solve(plain_world(thickness=(4.0,)), plain_schedule(days=4.0, tannin=60.0))
    gap_mild = (mild.face_degree - mild.least_degree)[0, -1, 0]
    gap_harsh = (harsh.face_degree - harsh.least_degree)[0, -1, 0]
    assert gap_harsh > 1.3 * gap_mild


def test_fronts_that_have_met_part_at_the_rawest_place():
    def meeting(openness: float, days: float) -> np.ndarray:
        result = solve(
            plain_world(openness=openness),
            plain_schedule(days=days, vat_l=100.0),
            resolution=RESOLUTION,
        )
        sides = np.array([result.flesh_front[0, -1, 0], result.grain_front[0, -1, 0]])
        assert sides.sum() == pytest.approx(1.0, abs=1e-12)
        return sides

    np.testing.assert_allclose(meeting(1.0, 9.0), 0.5, atol=1e-6)
    assert 0.55 < meeting(0.1, 14.0)[0] < 0.98
    np.testing.assert_array_equal(meeting(0.0, 20.0), [1.0, 0.0])
    # Evenly full at last: the sides can no longer be told apart, unless one was closed.
    np.testing.assert_array_equal(meeting(0.1, 3000.0), 0.5)
    np.testing.assert_array_equal(meeting(0.0, 3000.0), [1.0, 0.0])

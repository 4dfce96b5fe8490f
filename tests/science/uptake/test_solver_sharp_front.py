"""Strong, fast binding makes a sharp front that moves with the root of time."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.uptake.analytic import SharpFront
from tanwright.science.uptake.solver import Resolution, solve
from tests.science.uptake.worlds import OPEN_FILM, plain_schedule, plain_world

THICKNESS_MM = 3.0
CAPACITY, HIDE, STRENGTH, DIFFUSIVITY, PORE = 0.25, 220.0, 20.0, 0.5, 0.05
DEPTHS_MM = np.array([0.6, 1.0, 1.5, 2.0, 2.5])


def greedy_world(openness: float, strength_scale: float = 1.0):
    return plain_world(
        affinity=5e3 / strength_scale,
        capacity=CAPACITY,
        rate=1e5,
        pore=PORE,
        hide=HIDE,
        diffusivity=DIFFUSIVITY,
        film=OPEN_FILM,
        thickness=(THICKNESS_MM,),
        openness=openness,
    )


def front() -> SharpFront:
    # The pores behind the front fill as well: on average half of eps C with a linear profile.
    return SharpFront(
        bound_g_per_l=HIDE * CAPACITY + 0.5 * PORE * STRENGTH,
        tannin_g_per_l=STRENGTH,
        diffusivity_m2_per_s=DIFFUSIVITY * 1e-6 / 86400.0,
    )


def run(openness: float, days: np.ndarray, cells: int = 60):
    vast = plain_schedule(days=days[-1], vat_l=1e9, tannin=STRENGTH, stops=tuple(days))
    return solve(
        greedy_world(openness),
        vast,
        colour_degree=0.5 * CAPACITY,
        resolution=Resolution(cells, 20.0, 20),
    )


def test_front_from_one_face_keeps_to_the_square_root_of_time():
    days = front().days_to(DEPTHS_MM)
    result = run(0.0, days)
    depth = result.at(days, result.flesh_front)[0, :, 0] * THICKNESS_MM
    np.testing.assert_allclose(depth, DEPTHS_MM, rtol=0.03)
    from_mass = result.at(days, result.bound_g)[0, :, 0] / (HIDE * CAPACITY * 0.4)
    np.testing.assert_allclose(from_mass, DEPTHS_MM, rtol=0.01)


def test_fronts_from_both_faces_meet_in_the_middle():
    half = front().days_to(np.array([0.6, 1.0, 1.4]))
    result = run(1.0, np.append(half, front().days_to(1.7)))
    for side in (result.flesh_front, result.grain_front):
        np.testing.assert_allclose(
            result.at(half, side)[0, :, 0] * THICKNESS_MM, [0.6, 1.0, 1.4], rtol=0.03
        )
    assert result.struck_through[0, -1, 0] == pytest.approx(1.0, abs=1e-12)


def test_the_front_is_sharp_and_the_core_is_raw():
    days = front().days_to(np.array([1.5]))
    end = run(0.0, days).end
    bound = (end.total_g_per_l - PORE * end.free_g_per_l)[0, 0, :, 0] / HIDE
    assert np.all(bound[:28] > 0.98 * CAPACITY)
    assert np.all(bound[33:] < 0.02 * CAPACITY)


def test_time_to_strike_through_goes_with_thickness_squared_and_inversely_with_strength():
    def strike_day(thickness: float, strength: float) -> float:
        world = plain_world(
            affinity=5e3,
            capacity=CAPACITY,
            rate=1e5,
            pore=PORE,
            hide=HIDE,
            diffusivity=DIFFUSIVITY,
            film=OPEN_FILM,
            thickness=(thickness,),
            openness=1.0,
        )
        vast = plain_schedule(days=30.0, vat_l=1e9, tannin=strength)
        result = solve(
            world, vast, colour_degree=0.5 * CAPACITY, resolution=Resolution(48, 24.0, 24)
        )
        return float(result.first_day(result.struck_through[:, :, 0] - 0.95)[0])

    base = strike_day(2.0, 15.0)
    assert strike_day(4.0, 15.0) / base == pytest.approx(4.0, rel=0.02)
    assert strike_day(2.0, 30.0) / base == pytest.approx(0.5, rel=0.02)

"""Observed order of convergence in time and in space."""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.solver import Resolution, solve
from tests.science.uptake.worlds import plain_schedule, plain_world, pour


def smooth_case():
    world = plain_world(thickness=(2.0, 3.0), area=(0.3, 0.3), openness=(0.5, 0.0), spoilage=0.01)
    return world, plain_schedule(days=16.0, pours=(pour(4.0, 8.0, 8.0, 35.0),))


def readings(world, schedule, resolution: Resolution) -> np.ndarray:
    """Vat strength and mean degree at events, when every resolution stops exactly."""
    result = solve(world, schedule, resolution=resolution)
    days = np.array([4.0, 16.0])
    vat = result.at(days, result.vat_tannin_g_per_l)[0, :, 0]
    degree = result.at(days, result.mean_degree)[0]
    return np.concatenate([vat / 20.0, degree.ravel() / 0.6])


def orders(errors: list[float]) -> np.ndarray:
    return np.log2(np.array(errors[:-1]) / np.array(errors[1:]))


def test_second_order_in_time():
    world, schedule = smooth_case()
    finest = readings(world, schedule, Resolution(16, 400.0, 400))
    errors = [
        np.abs(readings(world, schedule, Resolution(16, float(k), k)) - finest).max()
        for k in (5, 10, 20, 40)
    ]
    assert np.all(orders(errors) > 1.7)
    assert abs(orders(errors)[-1] - 2.0) < 0.2


def test_second_order_in_space_while_profiles_are_smooth():
    world, schedule = smooth_case()
    finest = readings(world, schedule, Resolution(320, 30.0, 30))
    errors = [
        np.abs(readings(world, schedule, Resolution(n, 30.0, 30)) - finest).max()
        for n in (10, 20, 40)
    ]
    assert np.all(np.abs(orders(errors) - 2.0) < 0.25)


def test_at_least_first_order_in_space_at_a_sharp_front():
    """A front smeared over one cell: the amount bound still converges, at order one or better."""
    world = plain_world(affinity=1e3, capacity=0.25, rate=1e4, pore=0.05, openness=0.0, film=1e7)
    schedule = plain_schedule(days=8.0, vat_l=1e9)

    def bound(cells: int) -> float:
        result = solve(world, schedule, resolution=Resolution(cells, 60.0, 60))
        return float(result.mean_degree[0, -1, 0])

    exact = bound(320)
    errors = [abs(bound(n) / exact - 1.0) for n in (10, 20, 40, 80)]
    assert np.all(np.diff(errors) < 0.0)
    assert np.mean(orders(errors)) > 0.9
    assert errors[-1] < 0.005

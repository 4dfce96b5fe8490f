"""Without binding the pelt is Crank's plane sheet: infinite bath, limited bath, one face closed."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.uptake.analytic import bath_uptake, sheet_profile, sheet_uptake
from tanwright.science.uptake.solver import Resolution, solve
from tests.science.uptake.worlds import OPEN_FILM, plain_schedule, plain_world

FOURIER = np.array([0.03, 0.1, 0.1964, 0.5, 1.0])
"""Five times, as D t / (pore share x half thickness squared)."""
SMOOTH = Resolution(cells=64, steps_per_root_day=40.0, fewest_steps=40)


def unbound_sheet(thickness_mm: float = 2.0, openness: float = 1.0):
    return plain_world(
        capacity=0.0, film=OPEN_FILM, thickness=(thickness_mm,), openness=openness, diffusivity=0.4
    )


def days_of(fourier: np.ndarray, half_mm: float, diffusivity: float = 0.4, pore: float = 0.6):
    return fourier * half_mm**2 * pore / diffusivity


def held_after(world, schedule, days: np.ndarray) -> np.ndarray:
    result = solve(world, schedule, resolution=SMOOTH)
    return result.at(days, result.free_g)[0, :, 0]


@pytest.mark.parametrize(
    ("openness", "half_mm"), [(1.0, 1.0), (0.0, 2.0)], ids=["both faces", "grain closed"]
)
def test_infinite_bath_follows_the_plane_sheet_series(openness: float, half_mm: float):
    days = days_of(FOURIER, half_mm)
    vast = plain_schedule(days=days[-1], vat_l=1e9, tannin=20.0, stops=tuple(days))
    held = held_after(unbound_sheet(openness=openness), vast, days)
    final = 0.6 * 20.0 * 2.0 * 0.4  # pore share, strength, thickness, area
    np.testing.assert_allclose(held / final, sheet_uptake(FOURIER), rtol=0.005)


@pytest.mark.parametrize("volume_ratio", [0.1, 0.5, 0.9, 3.0])
def test_limited_bath_follows_the_well_stirred_series(volume_ratio: float):
    days = days_of(FOURIER, 1.0)
    pores_l = 0.6 * 2.0 * 0.4
    vat_l = volume_ratio * pores_l
    small = plain_schedule(days=days[-1], vat_l=vat_l, tannin=20.0, stops=tuple(days))
    held = held_after(unbound_sheet(), small, days)
    final = 20.0 * vat_l * pores_l / (vat_l + pores_l)
    np.testing.assert_allclose(held / final, bath_uptake(FOURIER, volume_ratio), rtol=0.005)


def test_reversible_instant_binding_slows_the_sheet_by_its_retardation():
    """Binding proportional to c (far below half saturation) only changes the time scale."""
    affinity, capacity, strength = 1e-4, 0.5, 1.0
    storage = 0.6 + 235.0 * capacity * affinity
    world = plain_world(
        affinity=affinity,
        capacity=capacity,
        rate=1e7,
        film=OPEN_FILM,
        openness=1.0,
        diffusivity=0.4,
    )
    days = days_of(FOURIER, 1.0, pore=storage)
    vast = plain_schedule(days=days[-1], vat_l=1e9, tannin=strength, stops=tuple(days))
    result = solve(world, vast, resolution=SMOOTH)
    held = result.at(days, result.free_g + result.bound_g)[0, :, 0]
    final = storage * strength * 2.0 * 0.4
    np.testing.assert_allclose(held / final, sheet_uptake(FOURIER), rtol=0.005)


def test_the_non_tans_follow_the_plane_sheet_profile():
    days = days_of(FOURIER[1:], 1.0, diffusivity=2.5)
    vast = plain_schedule(days=days[-1], vat_l=1e9, tannin=25.0, stops=tuple(days))
    position = np.abs((np.arange(64) + 0.5) / 32.0 - 1.0)
    for day, fourier in zip(days, FOURIER[1:], strict=True):
        short = plain_schedule(days=day, vat_l=vast.vat_l, tannin=25.0)
        profile = solve(unbound_sheet(), short, resolution=SMOOTH).end.nontan_g_per_l[0, 0]
        np.testing.assert_allclose(
            profile / 20.0, sheet_profile(np.full(64, fourier), position), atol=0.005
        )


def test_film_and_grain_layer_are_resistances_in_series():
    """A steady flux through a thin film alone: uptake grows as 1 - exp(-2 film t / (pore L))."""
    world = plain_world(capacity=0.0, film=0.5, openness=1.0, diffusivity=1e4)
    days = np.array([0.2, 0.5, 1.0, 2.0, 4.0])
    vast = plain_schedule(days=4.0, vat_l=1e9, tannin=20.0, stops=tuple(days))
    held = held_after(world, vast, days) / (0.6 * 20.0 * 2.0 * 0.4)
    np.testing.assert_allclose(held, 1.0 - np.exp(-2.0 * 0.5 * days / (0.6 * 2.0)), rtol=0.005)

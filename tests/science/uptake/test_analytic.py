"""Closed forms of diffusion obey the laws they come from."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science.uptake import analytic

fourier = st.floats(1e-3, 3.0)


@given(fourier, fourier)
def test_uptake_rises_from_nothing_to_all(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert 0.0 < analytic.sheet_uptake(low) <= analytic.sheet_uptake(high) <= 1.0


def test_short_time_form_joins_the_series() -> None:
    f = np.array([5e-5, 2e-4, 1e-3, 1e-2])
    assert np.allclose(analytic.sheet_uptake(f), analytic.sheet_uptake_early(f), rtol=1e-7)


@given(st.floats(0.01, 2.0))
def test_uptake_is_the_mean_of_the_profile(f: float) -> None:
    nodes, weights = np.polynomial.legendre.leggauss(60)
    x = 0.5 * (nodes + 1.0)
    mean = 0.5 * np.sum(weights * analytic.sheet_profile(f, x))
    assert float(mean) == pytest.approx(float(analytic.sheet_uptake(f)), abs=1e-7)


@given(st.floats(0.02, 1.0), st.floats(-0.9, 0.9))
def test_profile_obeys_the_diffusion_equation(f: float, x: float) -> None:
    step = 1e-3
    in_time = (analytic.sheet_profile(f + step, x) - analytic.sheet_profile(f - step, x)) / (
        2 * step
    )
    near = analytic.sheet_profile(f, np.array([x - step, x, x + step]))
    in_space = (near[0] - 2.0 * near[1] + near[2]) / step**2
    assert float(in_time) == pytest.approx(float(in_space), rel=0.02, abs=0.02)


@given(st.floats(0.05, 20.0))
def test_roots_solve_their_equation(ratio: float) -> None:
    q = analytic.bath_roots(ratio, 6)
    assert np.allclose(np.tan(q), -ratio * q, rtol=1e-6)
    assert np.all(np.diff(q) > 0.0)


def test_a_large_bath_is_an_endless_bath() -> None:
    f = np.array([0.05, 0.2, 0.8])
    large = analytic.bath_uptake(f, 1e4)
    assert np.allclose(large, analytic.sheet_uptake(f), atol=3e-4)


@given(st.floats(0.05, 10.0), fourier, fourier)
def test_bath_uptake_rises_to_one(ratio: float, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert -1e-6 < analytic.bath_uptake(low, ratio) <= analytic.bath_uptake(high, ratio) + 1e-12
    assert float(analytic.bath_uptake(50.0, ratio)) == pytest.approx(1.0)


@given(st.floats(0.01, 0.99))
def test_final_share_inverts(part: float) -> None:
    ratio = analytic.volume_ratio_of_final_share(part)
    assert float(analytic.bath_final_share(ratio)) == pytest.approx(part)


@given(st.floats(5.0, 120.0), st.floats(2.0, 80.0), st.floats(1e-12, 3e-11), st.floats(0.1, 5.0))
def test_front_inverts_both_ways(bound: float, tannin: float, de: float, depth: float) -> None:
    front = analytic.SharpFront(bound, tannin, de)
    days = front.days_to(depth)
    assert float(front.depth_mm(days)) == pytest.approx(depth)
    implied = analytic.front_diffusivity_m2_per_s(depth, days, tannin, bound)
    assert float(implied) == pytest.approx(de)


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputError):
        analytic.sheet_uptake(-1.0)
    with pytest.raises(InputError):
        analytic.sheet_profile(0.1, 2.0)
    with pytest.raises(InputError):
        analytic.bath_roots(0.0)

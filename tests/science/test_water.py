"""Water: density and viscosity against printed tables elsewhere; here their shape and limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import water

warm = st.floats(5.0, 100.0)


def test_water_is_densest_near_four_degrees() -> None:
    t = np.linspace(0.0, 10.0, 1001)
    assert abs(t[np.argmax(water.density_kg_per_l(t))] - 3.98) < 0.05


@given(warm, warm)
def test_warmer_water_is_lighter_and_thinner(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert water.density_kg_per_l(high) <= water.density_kg_per_l(low)
    assert water.viscosity_mpa_s(high) <= water.viscosity_mpa_s(low)


@given(warm, warm, warm)
def test_diffusion_ratios_chain(a: float, b: float, c: float) -> None:
    through = water.diffusion_ratio(c, b) * water.diffusion_ratio(b, a)
    assert through == pytest.approx(float(water.diffusion_ratio(c, a)), rel=1e-12)


def test_shapes_broadcast() -> None:
    ratio = water.diffusion_ratio(np.array([[10.0], [20.0]]), np.array([10.0, 20.0, 30.0]))
    assert ratio.shape == (2, 3)
    assert ratio[1, 1] == 1.0


@pytest.mark.parametrize("bad", [-20.0, 140.0, float("nan")])
def test_steam_and_ice_are_refused(bad: float) -> None:
    with pytest.raises(InputError, match="temperature"):
        water.density_kg_per_l(bad)

"""Weights, thickness and regions of a skin."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import hide

mass = st.floats(0.05, 50.0)
ratio = st.floats(0.3, 1.3)


@given(mass, ratio, ratio)
def test_stages_go_through_green_and_back(kg: float, stage: float, pelt: float) -> None:
    green = hide.green_mass_kg(kg, stage)
    assert float(hide.mass_at_stage_kg(green, stage)) == pytest.approx(kg)
    assert float(hide.pelt_mass_kg(kg, stage, pelt)) == pytest.approx(kg / stage * pelt)


@given(mass, st.floats(0.1, 0.4))
def test_hide_substance_inverts(kg: float, part: float) -> None:
    dry = hide.hide_substance_kg(kg, part)
    assert float(hide.pelt_from_hide_substance_kg(dry, part)) == pytest.approx(kg)


@given(mass, st.floats(0.5, 8.0), st.floats(1.0, 1.2))
def test_mass_area_thickness_invert(kg: float, mm: float, density: float) -> None:
    area = hide.area_m2(kg, mm, density)
    assert float(hide.mean_thickness_mm(kg, area, density)) == pytest.approx(mm)
    assert float(hide.mass_kg(area, mm, density)) == pytest.approx(kg)


@given(mass, st.floats(0.1, 0.35))
def test_volume_is_collagen_and_pores(kg: float, part: float) -> None:
    collagen = kg * part / hide.COLLAGEN_DENSITY_KG_PER_L
    whole = float(hide.volume_l(kg))
    assert float(hide.pore_volume_l(kg, part)) + collagen == pytest.approx(whole)
    assert 0.0 < float(hide.porosity(part)) < 1.0


def test_more_collagen_leaves_fewer_pores() -> None:
    assert np.all(np.diff(hide.porosity(np.linspace(0.1, 0.4, 7))) < 0.0)


def test_densities_that_leave_no_room_are_refused() -> None:
    with pytest.raises(InputError, match="pore volume"):
        hide.pore_volume_l(1.0, 1.0, 1.2, 1.0)


SHARES = np.array([0.48, 0.23, 0.23, 0.06])
RELATIVE = np.array([1.0, 1.1, 0.65, 0.85])


@given(st.floats(0.5, 8.0))
def test_regions_keep_the_mean(mean: float) -> None:
    each = hide.region_thickness_mm(mean, SHARES, RELATIVE)
    assert float(hide.region_mean_mm(each, SHARES)) == pytest.approx(mean)
    assert np.allclose(each / each[0], RELATIVE)


def test_region_masses_sum_to_the_skin_and_follow_thickness() -> None:
    parts = hide.region_mass_shares(SHARES, RELATIVE)
    assert np.sum(parts) == pytest.approx(1.0)
    assert parts[0] / parts[2] == pytest.approx(0.48 / (0.23 * 0.65))


def test_regions_take_an_ensemble() -> None:
    each = hide.region_thickness_mm(np.array([2.0, 4.0]), SHARES, RELATIVE)
    assert each.shape == (2, 4)
    assert np.allclose(each[1], 2.0 * each[0])


def test_unlike_numbers_of_regions_are_refused() -> None:
    with pytest.raises(InputError, match="unlike numbers"):
        hide.region_mean_mm(np.ones(3), SHARES)


@pytest.mark.parametrize("animal", sorted(hide.NITROGEN_PCT))
def test_own_factor_recovers_pure_hide(animal: str) -> None:
    nitrogen = hide.NITROGEN_PCT[animal]
    own = hide.hide_substance_pct(nitrogen, hide.nitrogen_factor(nitrogen))
    assert float(own) == pytest.approx(100.0)


def test_the_common_factor_reads_sheep_low() -> None:
    assert float(hide.hide_substance_pct(17.0)) == pytest.approx(95.5, abs=0.1)


def test_weights_must_be_above_zero() -> None:
    with pytest.raises(InputError, match="above zero"):
        hide.green_mass_kg(0.0, 1.0)

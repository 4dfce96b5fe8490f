"""Lime, deliming, drench, soaking."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import beamhouse


def test_lime_dissolves_less_in_warm_water() -> None:
    assert np.all(np.diff(beamhouse.saturated_lime_g_per_l(np.linspace(5.0, 100.0, 40))) < 0.0)


@given(st.floats(0.0, 500.0), st.floats(0.2, 1.0))
def test_weaker_acid_needs_more_of_it(lime: float, strength: float) -> None:
    lactic = beamhouse.DELIMING_AGENTS["lactic"]
    pure = float(beamhouse.deliming_agent_g(lime, lactic))
    assert float(beamhouse.deliming_agent_g(lime, lactic, strength)) == pytest.approx(
        pure / strength
    )


def test_an_agent_neutralises_by_its_equivalents() -> None:
    for agent in beamhouse.DELIMING_AGENTS.values():
        grams = float(beamhouse.agent_g_per_g_cao(agent.g_per_mol, agent.equivalents))
        moles_of_acid = grams / agent.g_per_mol * agent.equivalents
        assert moles_of_acid == pytest.approx(2.0 / beamhouse.CAO_G_PER_MOL)


def test_vinegar_volume_falls_with_its_strength() -> None:
    acetic = beamhouse.DELIMING_AGENTS["acetic"]
    volumes = beamhouse.acid_ml_per_g_cao(acetic, np.array([40.0, 50.0, 100.0]))
    assert volumes[0] > volumes[1] == pytest.approx(2.0 * volumes[2])


def test_lime_for_a_hide() -> None:
    # 3 % quicklime on 20 kg is 600 g CaO, 793 g slaked; in 100 L it is far above saturation
    slaked = float(beamhouse.slaked_lime_kg(20.0, 3.0))
    assert slaked == pytest.approx(0.793, abs=0.001)
    assert float(beamhouse.bath_g_per_l(slaked, 100.0)) == pytest.approx(7.93, abs=0.01)


@given(st.floats(0.1, 50.0), st.floats(1.0, 500.0))
def test_a_liming_has_both_what_is_used_and_what_keeps_the_bath(hide: float, water: float) -> None:
    lime = float(beamhouse.quicklime_kg(hide, water))
    assert lime >= 0.03 * hide - 1e-12
    assert float(beamhouse.bath_g_per_l(lime, water)) >= 6.0 - 1e-9
    assert lime == pytest.approx(max(0.03 * hide, 0.006 * water))


def test_titration_rounds_as_the_handbook_does() -> None:
    exact = float(beamhouse.tenth_normal_acid_ml(1.32))
    rounded = float(beamhouse.tenth_normal_acid_ml(1.32, 1.0, 2.8))
    assert rounded == pytest.approx(471.4, abs=0.05)
    assert 0.0 < rounded - exact < 1.0


def test_drench() -> None:
    bran = beamhouse.bran_kg(2.0, 8.0)
    assert float(bran) == pytest.approx(0.16)
    assert float(beamhouse.drench_water_l(bran)) == pytest.approx(40.0)


@given(st.floats(0.0, 59.0), st.floats(0.0, 59.0))
def test_hotter_drying_softens_later(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert beamhouse.softening_days(low) <= beamhouse.softening_days(high)


def test_cooked_skin_never_softens() -> None:
    assert np.isinf(beamhouse.softening_days(np.array([60.0, 80.0]))).all()


def test_brine_rises_with_salt() -> None:
    assert np.all(np.diff(beamhouse.brine_salt_pct(np.linspace(1.0, 1.14, 20))) > 0.0)


def test_impossible_doses_are_refused() -> None:
    with pytest.raises(InputError, match="lime dose"):
        beamhouse.slaked_lime_kg(20.0, 300.0)
    with pytest.raises(InputError, match="acid"):
        beamhouse.sum_of_acids_g_per_l(0.5, -0.1)

"""The equations, by themselves."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.uptake import model


def test_binding_is_langmuir_for_one_kind():
    bound = model.equilibrium(np.array([5.0]), np.array([0.6]), np.array([0.2]))
    assert bound[0] == pytest.approx(0.3)


def test_kinds_share_the_sites():
    capacity, affinity = np.array([0.6, 0.6]), np.array([0.2, 0.2])
    split = model.equilibrium(np.array([4.0, 6.0]), capacity, affinity)
    alone = model.equilibrium(np.array([10.0]), capacity[:1], affinity[:1])
    assert split.sum() == pytest.approx(alone[0])
    assert split[0] / split[1] == pytest.approx(4.0 / 6.0)
    assert model.equilibrium(np.array([1e9, 0.0]), capacity, affinity).sum() <= 0.6


def test_a_face_is_film_grain_layer_and_half_a_cell_in_series():
    open_face = model.face_conductance_mm_per_day(0.5, 20.0, 0.05)
    assert float(open_face) == pytest.approx(1.0 / (1.0 / 20.0 + 0.05 / 0.5))
    layer = model.GRAIN_LAYER_SHARE * 2.0 * (1.0 / 0.25 - 1.0)
    grain = model.face_conductance_mm_per_day(0.5, 20.0, 0.05, 0.25, 2.0)
    assert float(grain) == pytest.approx(1.0 / (1.0 / 20.0 + (0.05 + layer) / 0.5))
    assert float(model.face_conductance_mm_per_day(0.5, 20.0, 0.05, 0.0, 2.0)) == 0.0


def test_warmth_speeds_and_frost_stops():
    factors = model.heat_factor(np.array([-5.0, 0.0, 10.0, 20.0, 30.0]))
    assert factors[0] == model.FROZEN_FACTOR
    assert factors[3] == pytest.approx(1.0)
    assert np.all(np.diff(factors) > 0.0)
    # Stokes-Einstein, by hand from the viscosity of water: x 1.35 from 10 to 20 °C.
    assert factors[3] / factors[2] == pytest.approx(1.35, abs=0.02)


def test_spoilage_grows_by_its_factor_per_ten_degrees():
    factors = model.spoilage_factor(np.array([-3.0, 15.0, 25.0]))
    assert factors[0] == model.FROZEN_FACTOR
    assert factors[1:] == pytest.approx([1.0, model.SPOILAGE_Q10])


def test_a_sour_liquor_enters_more_slowly():
    factors = model.acidity_factor(np.array([2.5, 3.3, 4.0, 4.6, 6.0]))
    assert factors[0] == factors[1] == model.PLUMPED_FACTOR
    assert factors[3] == factors[4] == 1.0
    assert np.all(np.diff(factors) >= 0.0)

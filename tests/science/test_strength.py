"""Strength scales: round trips, order, temperature, kitchen gear."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import strength

sgs = st.floats(0.98, 1.40)
scales = st.sampled_from(sorted(strength.SCALES))


@given(sgs, scales, scales)
def test_every_scale_round_trips(sg: float, first: str, second: str) -> None:
    there = strength.convert(sg, "sg", first)
    across = strength.convert(there, first, second)
    assert float(strength.convert(across, second, "sg")) == pytest.approx(sg, abs=1e-9)


@given(sgs, sgs, scales)
def test_a_denser_liquor_reads_higher_on_every_scale(a: float, b: float, scale: str) -> None:
    low, high = sorted((a, b))
    assert strength.convert(low, "sg", scale) <= strength.convert(high, "sg", scale)


@given(sgs, st.sampled_from([145.0, 144.3]))
def test_baume_modulus_is_kept_apart(sg: float, modulus: float) -> None:
    be = strength.convert(sg, "sg", "be", to_constant=modulus)
    assert float(strength.convert(be, "be", "sg", from_constant=modulus)) == pytest.approx(sg)


@given(st.floats(1.0, 1.1), st.floats(0.0, 60.0), st.floats(10.0, 25.0))
def test_hydrometer_correction_inverts(sg: float, at: float, reference: float) -> None:
    reading = strength.hydrometer_reading(sg, at, reference)
    assert float(strength.hydrometer_to_sg(reading, at, reference)) == pytest.approx(sg, abs=1e-12)


def test_warm_liquor_reads_weak_and_cold_reads_strong() -> None:
    reading = strength.hydrometer_reading(1.02, np.array([5.0, 15.5555555, 35.0]))
    assert reading[0] > reading[1] > reading[2]
    assert reading[1] == pytest.approx(1.02, abs=1e-6)


def test_the_two_calibrations_differ_by_what_the_method_page_says() -> None:
    tanner = strength.hydrometer_to_sg(1.02, 25.0)
    brewer = strength.hydrometer_to_sg(1.02, 25.0, 20.0)
    assert 1000.0 * float(tanner - brewer) == pytest.approx(0.72, abs=0.05)


@given(st.floats(0.0, 60.0), st.floats(0.2, 0.95), st.floats(2.4, 2.7))
def test_tannin_and_degrees_invert(bk: float, purity: float, per_bk: float) -> None:
    tannin = strength.tannin_g_per_l(bk, purity, per_bk)
    back = strength.bk_from_solubles(tannin / purity, per_bk)
    assert float(back) == pytest.approx(bk, abs=1e-9)


def test_solubles_per_degree_agrees_with_sugar_inside_its_range() -> None:
    sg = np.array([1.01, 1.02, 1.03, 1.05])
    per_bk = strength.sugar_solids_g_per_l(sg) / strength.bk_from_sg(sg)
    low, high = strength.SOLUBLES_RANGE_G_PER_L_PER_BK
    assert np.all((per_bk > low) & (per_bk < high))


@given(st.floats(1.0, 1.1), st.floats(0.0, 0.25))
def test_refractometer_inverts(sg: float, bias: float) -> None:
    brix = strength.refractometer_reading(sg, bias)
    assert float(strength.refractometer_to_sg(brix, bias)) == pytest.approx(sg, abs=1e-10)


def test_a_weighed_litre() -> None:
    # 1018 g in a litre at 20 °C: water would weigh 998.2 g
    sg = float(strength.weighed_to_sg(1018.2, 1000.0, 20.0))
    assert strength.bk_from_sg(sg) == pytest.approx(20.0, abs=0.1)
    assert float(strength.sg_from_two_weights(1018.2, 998.2)) == pytest.approx(sg, abs=1e-4)
    assert strength.weighed_sd_bk(1.0, 3.0) == pytest.approx(3.2, abs=0.1)


def test_weighing_error_matches_simulation() -> None:
    rng = np.random.default_rng(5)
    mass = 1018.2 + 2.0 * rng.standard_normal(40_000)
    volume = 1000.0 + 3.0 * rng.standard_normal(40_000)
    seen = np.std(strength.bk_from_sg(strength.weighed_to_sg(mass, volume, 20.0)))
    assert seen == pytest.approx(float(strength.weighed_sd_bk(2.0, 3.0)), rel=0.03)


def test_arrays_keep_their_shape() -> None:
    grid = strength.convert(np.array([[5.0, 10.0], [20.0, 30.0]]), "bk", "brix")
    assert grid.shape == (2, 2)
    mixed = strength.convert(
        np.full((3, 1), 10.0), "bk", "sg", temperature_c=np.array([10.0, 20.0])
    )
    assert mixed.shape == (3, 2)


@pytest.mark.parametrize(
    ("value", "scale"),
    [(0.9, "sg"), (1.5, "sg"), (900.0, "bk"), (-40.0, "bk"), (95.0, "brix"), (float("nan"), "sg")],
)
def test_strengths_no_liquor_has_are_refused(value: float, scale: str) -> None:
    with pytest.raises(InputError):
        strength.convert(value, scale, "bk")


def test_unknown_scale_names_the_known_ones() -> None:
    with pytest.raises(InputError, match="use one of sg, bk, tw"):
        strength.convert(1.0, "oechsle", "sg")


def test_temperature_with_solubles_is_refused() -> None:
    with pytest.raises(InputError, match="means nothing"):
        strength.convert(50.0, "solubles", "bk", temperature_c=30.0)

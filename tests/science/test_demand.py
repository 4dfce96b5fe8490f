"""Need, supply and break-even hang together."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import demand

kg = st.floats(0.01, 20.0)
degrees = st.floats(10.0, 80.0)
parts = st.floats(0.01, 0.95)


@given(degrees, st.floats(0.85, 1.2), st.floats(1.0, 12.0))
def test_balance_inverts(degree: float, capacity: float, half: float) -> None:
    free = demand.balance_tannin_g_per_l(degree, capacity, half)
    assert float(demand.balance_degree_pct(free, capacity, half)) == pytest.approx(degree)


def test_a_degree_beyond_the_capacity_has_no_liquor() -> None:
    free = demand.balance_tannin_g_per_l(np.array([50.0, 70.0, 90.0]), 0.7, 5.0)
    assert np.isfinite(free[0])
    assert np.all(np.isinf(free[1:]))
    assert np.isinf(demand.tannin_need_g(1.0, 90.0, free[2], 10.0))


def test_the_floor_holds_for_light_tannages() -> None:
    end = demand.end_tannin_g_per_l(np.array([10.0, 60.0]), 0.8, 5.0)
    assert end[0] == demand.SPENT_FLOOR_G_PER_L
    assert end[1] == pytest.approx(15.0)


@given(kg, degrees, st.floats(2.0, 20.0), st.floats(0.0, 200.0), st.floats(0.0, 0.5))
def test_need_balances(h: float, degree: float, end: float, liquor: float, lost: float) -> None:
    need = float(demand.tannin_need_g(h, degree, end, liquor, 0.3 * liquor, lost))
    fixed = float(demand.fixed_tannin_g(h, degree))
    assert need * (1.0 - lost) == pytest.approx(fixed + 1.3 * liquor * end)
    assert need >= fixed


@given(kg, degrees, parts, parts)
def test_material_and_supply_invert(h: float, degree: float, tannin: float, drawn: float) -> None:
    need = demand.tannin_need_g(h, degree, 3.0, 5.0 * h)
    mass = demand.material_kg(need, tannin, drawn)
    assert float(demand.supply_g(mass, tannin, drawn)) == pytest.approx(float(need))
    assert float(demand.break_even_share(need, mass, drawn)) == pytest.approx(tannin)


@given(kg, degrees, st.floats(2.0, 15.0), st.floats(1.0, 40.0), st.floats(0.0, 0.4))
def test_need_grows_with_the_skins_and_their_liquor(
    h: float, degree: float, end: float, liquor: float, lost: float
) -> None:
    need = demand.tannin_need_g(h, degree, end, liquor * h, 0.0, lost)
    one = demand.tannin_need_g(1.0, degree, end, liquor, 0.0, lost)
    assert float(need) == pytest.approx(h * float(one))


def test_other_supply_lowers_the_break_even_to_nothing() -> None:
    got = demand.break_even_share(500.0, 5.0, 0.8, np.array([0.0, 250.0, 500.0, 900.0]))
    assert np.allclose(got, [0.125, 0.0625, 0.0, 0.0])


@given(kg, degrees, parts, parts, parts)
def test_exhaustion_form_is_the_balance_with_its_losses_folded_in(
    h: float, degree: float, tannin: float, drawn: float, used: float
) -> None:
    plain = float(demand.material_by_exhaustion_kg(h, degree, tannin, drawn, used))
    fixed = float(demand.fixed_tannin_g(h, degree))
    left = fixed / used - fixed
    full = demand.material_kg(demand.tannin_need_g(h, degree, left, 1.0), tannin, drawn)
    assert plain == pytest.approx(float(full))


def test_arrays_broadcast() -> None:
    need = demand.tannin_need_g(np.ones((3, 1)), np.array([30.0, 50.0]), 3.0, 10.0)
    assert need.shape == (3, 2)


def test_material_without_tannin_is_refused() -> None:
    with pytest.raises(InputError, match="above zero"):
        demand.material_kg(100.0, 0.0, 0.8)

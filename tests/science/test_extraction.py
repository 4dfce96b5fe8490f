"""Cooks conserve tannin and behave as a cook does."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import extraction

OAK = extraction.temperature_response(
    np.array([15.0, 22.5, 35.0, 45.0, 55.0, 65.0, 75.0, 85.0, 95.0, 100.0]),
    np.array([5.9, 6.8, 8.0, 8.2, 8.5, 9.1, 9.2, 9.6, 9.6, 9.1]),
)
LEAF = extraction.temperature_response(
    np.array([15.0, 35.0, 55.0, 75.0, 100.0]), np.array([14.2, 18.5, 20.3, 18.0, 15.2])
)


@given(
    mass=st.floats(0.1, 50.0),
    tannin=st.floats(0.0, 0.4),
    moisture=st.floats(0.0, 0.6),
    water=st.floats(3.0, 15.0),
    washes=st.integers(1, 6),
    warmth=st.floats(5.0, 100.0),
    hours=st.floats(0.0, 48.0),
    piece=st.floats(0.3, 20.0),
    response=st.sampled_from([OAK, LEAF, extraction.FLAT_RESPONSE]),
)
def test_drawn_left_and_destroyed_are_what_was_contained(
    mass: float,
    tannin: float,
    moisture: float,
    water: float,
    washes: int,
    warmth: float,
    hours: float,
    piece: float,
    response: extraction.TemperatureResponse,
) -> None:
    got = extraction.cooks(
        mass,
        tannin,
        moisture,
        0.6,
        water,
        washes,
        warmth,
        hours,
        response=response,
        piece_mm=piece,
    )
    whole = float(got.contained_g)
    accounted = float(got.drawn_g + got.left_g + got.destroyed_g)
    assert accounted == pytest.approx(whole, rel=1e-10, abs=1e-12)
    assert np.all(got.tannin_g >= -1e-12)
    assert float(got.left_g) >= -1e-9
    assert float(got.destroyed_g) >= -1e-9


def test_long_cooks_reach_the_closed_form() -> None:
    got = extraction.cooks(1.0, 0.1, 0.13, 0.6, 4.0, 3, 80.0, 500.0, held_l_per_kg=2.0)
    left = extraction.share_left_after_washes(4.0, 2.0, 3, 0.13)
    assert float(got.left_g / got.contained_g) == pytest.approx(float(left), rel=1e-9)


def test_small_waters_beat_one_large_water() -> None:
    one = extraction.cooks(1.0, 0.1, water_l_per_kg=12.0, washes=1, hours=200.0)
    three = extraction.cooks(1.0, 0.1, water_l_per_kg=4.0, washes=3, hours=200.0)
    assert float(three.drawn_g) > float(one.drawn_g)
    assert float(three.tannin_g_per_l[0]) > float(one.tannin_g_per_l[0])


def test_each_further_water_adds_less_after_long_cooks() -> None:
    got = extraction.cooks(1.0, 0.1, washes=5, hours=100.0)
    assert np.all(np.diff(got.tannin_g) < 0.0)


@given(st.floats(20.0, 80.0), st.floats(0.5, 20.0))
def test_more_time_and_finer_pieces_draw_more(warmth: float, hours: float) -> None:
    def drawn(time: float, piece: float) -> float:
        return float(
            extraction.cooks(1.0, 0.1, temperature_c=warmth, hours=time, piece_mm=piece).drawn_g
        )

    assert drawn(hours, 4.0) <= drawn(2.0 * hours, 4.0) + 1e-9
    assert drawn(hours, 8.0) <= drawn(hours, 4.0) + 1e-9


def test_a_cold_steep_never_draws_it_all_and_heat_then_finds_the_rest() -> None:
    cold = extraction.cooks(1.0, 0.1, washes=8, temperature_c=15.0, hours=500.0, response=OAK)
    assert float(cold.drawn_share) == pytest.approx(5.9 / 9.6, abs=0.002)
    then_hot = (15.0, 15.0, 85.0, 85.0, 85.0, 85.0, 85.0, 85.0)
    hot = extraction.cooks(1.0, 0.1, washes=8, temperature_c=then_hot, hours=500.0, response=OAK)
    assert float(hot.drawn_share) > 0.99


def test_leaves_lose_tannin_when_boiled_and_bark_hardly() -> None:
    leaf = extraction.cooks(1.0, 0.2, temperature_c=100.0, hours=6.0, piece_mm=0.5, response=LEAF)
    bark = extraction.cooks(1.0, 0.1, temperature_c=100.0, hours=6.0, piece_mm=0.5, response=OAK)
    assert float(leaf.destroyed_g / leaf.contained_g) > 0.2
    assert float(bark.destroyed_g / bark.contained_g) < 0.08
    gentle = extraction.cooks(1.0, 0.2, temperature_c=55.0, hours=6.0, piece_mm=0.5, response=LEAF)
    assert float(gentle.drawn_g) > float(leaf.drawn_g)


def test_boiling_to_exhaustion_for_the_tables_hours_returns_the_table() -> None:
    loss = LEAF.loss_per_hour(100.0)
    kept = np.exp(-loss * extraction.TABLE_HOURS) * LEAF.reached(100.0)
    assert float(kept) == pytest.approx(15.2 / 20.3)


def test_fresh_and_dry_bark_of_one_dry_mass_hold_the_same_tannin() -> None:
    fresh = 2.0 * (1.0 - extraction.AIR_DRY_MOISTURE) / (1.0 - 0.47)
    dry = extraction.cooks(2.0, 0.1)
    wet = extraction.cooks(fresh, 0.1, 0.47)
    assert float(wet.contained_g) == pytest.approx(float(dry.contained_g))
    assert float(wet.volume_l[0]) > float(dry.volume_l[0])
    assert float(extraction.air_dry_kg(fresh, 0.47)) == pytest.approx(2.0)


def test_purity_sets_the_solubles() -> None:
    got = extraction.cooks(1.0, 0.1, purity=0.5)
    assert np.allclose(got.solubles_g_per_l, 2.0 * got.tannin_g_per_l)


def test_an_ensemble_runs_at_once() -> None:
    shares = np.linspace(0.05, 0.2, 7)
    got = extraction.cooks(np.array([[1.0], [2.0]]), shares, washes=3, response=OAK)
    assert got.tannin_g.shape == (2, 7, 3)
    assert got.drawn_share.shape == (2, 7)
    alone = extraction.cooks(2.0, float(shares[3]), washes=3, response=OAK)
    assert np.allclose(got.tannin_g[1, 3], alone.tannin_g)


def test_a_row_against_the_stream_beats_washes_of_the_same_water() -> None:
    row = float(extraction.share_left_counter_current(4.0, 2.0, 3))
    apart = float(extraction.share_left_after_washes(4.0 / 3.0, 2.0, 3))
    assert row < apart


def test_row_of_one_is_one_wash_and_more_tubs_leave_less() -> None:
    one = float(extraction.share_left_counter_current(4.0, 2.0, 1))
    assert one == pytest.approx(float(extraction.share_left_after_washes(4.0, 2.0, 1)))
    rows = [float(extraction.share_left_counter_current(4.0, 2.0, n)) for n in range(1, 7)]
    assert np.all(np.diff(rows) < 0.0)


@pytest.mark.parametrize("stages", [1, 2, 5])
def test_row_agrees_with_the_balances_solved_as_a_matrix(stages: int) -> None:
    fresh, held, brought, solute = 4.0, 2.0, 0.3, 100.0
    flow, right = np.zeros((stages, stages)), np.zeros(stages)
    right[0] = solute
    for i in range(stages):
        inflow_from_solid = held if i else 0.0
        flow[i, i] = held + (fresh if i else fresh + brought - held)
        if i:
            flow[i, i - 1] = -inflow_from_solid
        if i + 1 < stages:
            flow[i, i + 1] = -fresh
    left = held * np.linalg.solve(flow, right)[-1] / solute
    ours = extraction.share_left_counter_current(fresh, held, stages, brought)
    assert float(ours) == pytest.approx(left)


def test_too_little_water_is_refused() -> None:
    with pytest.raises(InputError, match="soaks up"):
        extraction.cooks(1.0, 0.1, water_l_per_kg=1.0)


def test_temperatures_must_match_the_waters() -> None:
    with pytest.raises(InputError, match="3 waters"):
        extraction.cooks(1.0, 0.1, washes=3, temperature_c=(20.0, 80.0))


def test_a_table_must_rise() -> None:
    with pytest.raises(InputError, match="rising"):
        extraction.temperature_response(np.array([20.0, 15.0]), np.array([1.0, 2.0]))


def test_best_temperature_is_the_lowest_of_the_largest() -> None:
    assert OAK.best_c == 85.0
    assert LEAF.best_c == 55.0


def test_the_finished_liquor_of_a_row_carries_what_was_drawn() -> None:
    strength = float(extraction.counter_current_g_per_l(0.12, 4.0, 2.0, 6, 0.9, 0.13))
    left = float(extraction.share_left_counter_current(4.0, 2.0, 6, 0.13))
    litres = 4.0 + 0.13 - 2.0
    assert strength * litres == pytest.approx(1000.0 * 0.12 * 0.9 * (1.0 - left))
    small = float(extraction.counter_current_g_per_l(0.12, 3.0, 2.0, 6, 0.9, 0.13))
    assert small > strength


def test_rows_and_washes_refuse_water_that_is_soaked_up() -> None:
    with pytest.raises(InputError, match="soaks up"):
        extraction.share_left_after_washes(1.5, 2.0, 2, 0.1)
    with pytest.raises(InputError, match="soaks up"):
        extraction.share_left_counter_current(1.5, 2.0, 2, 0.1)
    with pytest.raises(InputError, match="at least one water"):
        extraction.cooks(1.0, 0.1, washes=0)


def test_hide_powder_figures() -> None:
    assert float(extraction.tannin_by_difference_pct(15.6, 6.0)) == pytest.approx(9.6)
    assert float(extraction.purity_of(9.6, 6.0)) == pytest.approx(9.6 / 15.6)
    with pytest.raises(InputError, match="tannin"):
        extraction.tannin_by_difference_pct(5.0, 6.0)
    with pytest.raises(InputError, match="share drawn"):
        extraction.drawn_share(4.0, 5.0)

"""The cooks of a plan: weak first, one rung at a time, never beyond the stock."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tanwright.planning.course import USUAL_COOK_L_PER_KG, Cook, spells_of
from tanwright.planning.policy import (
    FIRST_SHARE,
    POT_FILL,
    VatState,
    beat_days,
    liquor_to_spare_l,
    live_bk,
    plan_cooks,
    pot_counts,
    pot_kg,
    rungs_bk,
)
from tanwright.planning.setting import Setting
from tanwright.planning.worlds import WATER_L_PER_KG, WATERS, Worlds, middle_world
from tanwright.reference import parameters
from tests.planning.tannages import drawn


def cooks_of(stock: list[float], **changed: Any) -> tuple[Setting, Worlds, tuple[Cook, ...]]:
    setting, _, _ = drawn(5, **changed)
    world = middle_world(setting)
    cooks = plan_cooks(world, setting, np.array(stock), spells_of(setting, 1e4), horizon_days=120.0)
    return setting, world, cooks


def first_bk(setting: Setting, world: Worlds, cook: Cook) -> float:
    solids = (np.array(cook.kg) * world.drawn_g_per_kg[0] / world.purity[0]).sum()
    return float(solids / setting.vat_l / world.solubles_per_degree[0])


@settings(max_examples=15, deadline=None)
@given(
    kg=st.floats(0.05, 60.0),
    vat=st.floats(4.0, 120.0),
    pot=st.floats(2.0, 40.0),
    leather=st.sampled_from(["soft", "bag", "firm", "sole"]),
)
def test_never_beyond_the_stock_and_never_out_of_order(
    kg: float, vat: float, pot: float, leather: str
) -> None:
    setting, _, cooks = cooks_of(
        [kg], vat_volume=f"{vat:.3f} L", tools_pot=f"{pot:.3f} L", aim_leather=leather
    )
    assert sum(cook.kg[0] for cook in cooks) <= kg * (1.0 + 1e-9)
    assert all(cook.kg[0] > 0.0 for cook in cooks)
    days = [cook.day for cook in cooks]
    assert days == sorted(set(days))
    assert days[0] == 0.0
    assert all(cook.litres <= liquor_to_spare_l(setting) + 1e-9 for cook in cooks[1:])
    assert all(cook.below_bk is not None and cook.below_bk > 0.0 for cook in cooks[1:])


def test_the_first_liquor_is_no_stronger_than_the_first_rung() -> None:
    for leather in ("soft", "bag", "firm", "sole"):
        setting, world, cooks = cooks_of([40.0], aim_leather=leather)
        rungs = rungs_bk(setting)
        assert first_bk(setting, world, cooks[0]) == pytest.approx(rungs[0])
        assert rungs == sorted(rungs)
        assert rungs[-1] == setting.target.finish_bk


def test_a_small_stock_is_not_all_thrown_in_at_the_start() -> None:
    setting, _, cooks = cooks_of([4.0], vat_volume="60 L")
    assert cooks[0].kg[0] <= max(FIRST_SHARE * 4.0, 0.6 * pot_kg(setting, 0)) + 1e-9
    assert len(cooks) >= 2


def test_less_than_a_pot_is_cooked_at_once() -> None:
    _, _, cooks = cooks_of([0.3])
    assert len(cooks) == 1
    assert cooks[0].kg[0] == pytest.approx(0.3)


def test_each_strengthening_raises_the_tannin() -> None:
    setting, world, cooks = cooks_of([20.0])
    mix = np.ones(1)
    begin = first_bk(setting, world, cooks[0])
    assert len(cooks) >= 3
    liquor = np.array([[begin * float(world.solubles_per_degree[0] * world.purity[0, 0])]])
    state = VatState(0.0, liquor, np.zeros(1), None)
    assert live_bk(world, state, mix) == pytest.approx(begin)
    assert all(later.below_bk is not None for later in cooks[1:])
    marks = [cook.below_bk or 0.0 for cook in cooks[1:]]
    assert marks == sorted(marks)


def test_a_blend_keeps_its_proportion_in_every_cook() -> None:
    blend = [{"id": "quercus-robur-bark"}, {"id": "rhus-coriaria-leaf"}]
    _, _, cooks = cooks_of([6.0, 2.0], material=blend)
    for cook in cooks:
        assert cook.kg[0] == pytest.approx(3.0 * cook.kg[1])


def test_a_vat_that_goes_on_is_strengthened_after_a_fortnight_at_the_latest() -> None:
    setting, _, _ = drawn(5)
    world = middle_world(setting)
    liquor = np.array([[7.0]])
    begin = VatState(40.0, liquor, np.array([4.0]), None)
    cooks = plan_cooks(
        world, setting, np.array([3.0]), spells_of(setting, 1e4),
        begin=begin, horizon_days=100.0, last_cook_day=0.0,
    )  # fmt: skip
    assert cooks[0].day == 40.0
    fresh = plan_cooks(
        world, setting, np.array([3.0]), spells_of(setting, 1e4),
        begin=begin, horizon_days=100.0, last_cook_day=39.0,
    )  # fmt: skip
    assert 40.0 < fresh[0].day <= 53.0


def test_nothing_left_is_nothing_planned() -> None:
    setting, _, _ = drawn(5)
    begin = VatState(40.0, np.array([[2.0]]), np.array([2.0]), None)
    assert (
        plan_cooks(
            middle_world(setting), setting, np.array([0.0]), spells_of(setting, 1e4), begin=begin
        )
        == ()
    )


def test_a_pot_takes_its_litres_and_fresh_material_weighs_more_in_it() -> None:
    dry, _, _ = drawn(5)
    fresh, _, _ = drawn(5, material_state="fresh")
    large, _, _ = drawn(5, tools_pot="20 L")
    assert 0.05 < pot_kg(dry, 0) / (dry.pot_l * POT_FILL) < 0.25
    assert pot_kg(fresh, 0) > pot_kg(dry, 0)
    assert pot_kg(large, 0) == pytest.approx(2.0 * pot_kg(dry, 0))


def test_thin_skins_are_looked_at_daily_and_thick_ones_weekly() -> None:
    def beat(**changed: Any) -> float:
        setting, _, worlds = drawn(50, **changed)
        return beat_days(worlds, setting)

    assert beat(skin_thickness="0.5 mm") == 1.0
    assert beat(skin_thickness="7 mm") == 7.0
    assert beat(skin_hair="on") >= beat()


def test_a_pot_may_be_a_tenth_over() -> None:
    """2.3 kg is one pot of 2.1 kg and not two."""
    masses = np.array([0.0, 0.3, 2.1, 2.3, 2.4, 4.4])
    assert pot_counts(masses, 2.1).tolist() == [0.0, 1.0, 1.0, 1.0, 2.0, 2.0]


def test_the_two_waters_of_a_pot_fit_it_and_give_the_liquor_that_is_reckoned_with() -> None:
    setting, _, worlds = drawn(5)
    kg = pot_kg(setting, 0)
    held = parameters.parameter("liquor_held").median
    assert kg * (WATER_L_PER_KG + 1.0) <= setting.pot_l
    assert pytest.approx(WATERS * WATER_L_PER_KG - held) == USUAL_COOK_L_PER_KG
    share = worlds.drawn_g_per_kg / worlds.contained_g_per_kg
    assert np.all((share > 0.4) & (share < 0.95))
    _, _, cooks = cooks_of([20.0], vat_volume="40 L")
    for cook in cooks[1:]:
        assert cook.litres == pytest.approx(USUAL_COOK_L_PER_KG * cook.kg[0], rel=0.02)

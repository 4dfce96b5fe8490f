"""Laws of need, supply and break-even; the worlds only, no vat is run."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tanwright.planning.amounts import (
    MOST_FILLED,
    front_days,
    need,
    rest_strength_g_per_l,
    work_out,
)
from tanwright.science.demand import SPENT_FLOOR_G_PER_L
from tests.planning.tannages import amounts, drawn


def enough(**changed: Any) -> float:
    return float(amounts(**changed).enough.mean())


def kilos(**changed: Any) -> float:
    return float(np.median(amounts(**changed).need_kg.sum(axis=1)))


def test_need_is_fixed_and_left_and_lost() -> None:
    found = amounts()
    assert found.need_g == pytest.approx(found.fixed_g + found.left_g + found.lost_g)
    for part in (found.fixed_g, found.left_g, found.lost_g):
        assert np.all(part > 0.0)
    assert np.all(found.lost_g < found.left_g + found.fixed_g)


def test_fixed_is_the_degree_times_the_hide_substance() -> None:
    setting, _, worlds = drawn()
    fixed, _, _ = need(worlds, setting)
    capacity = worlds.uptake.capacity_g_per_g[:, 0]
    reached = np.minimum(setting.target.degree, MOST_FILLED * capacity)
    assert fixed == pytest.approx(1000.0 * worlds.hide_kg[:, 0] * reached)


def test_the_rest_in_the_liquor_holds_the_degree() -> None:
    _, _, worlds = drawn()
    rest = rest_strength_g_per_l(worlds, 0.35)
    affinity, capacity = worlds.uptake.affinity_l_per_g[:, 0], worlds.uptake.capacity_g_per_g[:, 0]
    bound = capacity * affinity * rest / (1.0 + affinity * rest)
    held = np.minimum(0.35, MOST_FILLED * capacity)
    above = rest > SPENT_FLOOR_G_PER_L * 1.0001
    assert bound[above] == pytest.approx(held[above], rel=1e-6)
    assert np.all(bound >= held * (1.0 - 1e-9))
    assert np.all(rest_strength_g_per_l(worlds, 0.45) >= rest)


def test_more_bark_never_lowers_the_chance() -> None:
    chances = [enough(material_have=f"{kg} kg") for kg in (0.5, 1, 2, 3, 4, 6, 9, 15)]
    assert chances == sorted(chances)
    assert chances[0] < 0.1 < 0.9 < chances[-1]


def test_a_larger_vat_a_heavier_skin_and_firmer_leather_need_more() -> None:
    assert kilos(vat_volume="8 L") < kilos(vat_volume="15 L") < kilos(vat_volume="60 L")
    assert kilos(skin_weight="1.6 kg") < kilos(skin_weight="3.2 kg")
    assert kilos(aim_leather="soft") < kilos(aim_leather="bag") < kilos(aim_leather="firm")
    assert kilos(skin_count=2) > 1.3 * kilos()


def test_stronger_and_drier_material_needs_less() -> None:
    assert kilos(material_tannin="15 %") < kilos(material_tannin="10 %")
    ratio = kilos(material_tannin="5 %") / kilos(material_tannin="15 %")
    assert ratio == pytest.approx(3.0, rel=0.1)
    assert kilos(material_state="fresh") > 1.3 * kilos()
    assert kilos(material_grind="coarse") > kilos(material_grind="fine")


def test_units_are_only_spelling() -> None:
    metric = amounts(skin_weight="2.2 kg", vat_volume="15 L", material_have="5 kg")
    us = amounts(
        skin_weight=f"{2.2 / 0.45359237:.9f} lb",
        skin_thickness=f"{1.6 / 25.4:.9f} in",
        vat_volume=f"{15 / 3.785411784:.9f} gal",
        vat_temperature="53.6 F",
        material_have=f"{5 / 0.45359237:.9f} lb",
    )
    for name in ("need_g", "supply_g", "need_kg", "break_even_share"):
        assert getattr(us, name) == pytest.approx(getattr(metric, name), rel=1e-6)


def test_the_lot_in_hand_at_its_break_even_is_just_enough_in_every_world() -> None:
    setting, _, worlds = drawn()
    found = work_out(worlds, setting)
    per_share = worlds.drawn_g_per_kg[:, 0] / worlds.tannin_share[:, 0]
    assert per_share * found.break_even_share * 5.0 == pytest.approx(found.need_g)
    more = found.enough == 1.0
    assert np.all(worlds.tannin_share[more, 0] >= found.break_even_share[more])


@pytest.mark.parametrize("state", ["dry", "fresh"])
def test_a_lot_that_holds_the_break_even_is_enough_in_half_the_worlds(state: str) -> None:
    setting, _, worlds = drawn(1500, material_state=state)
    even = 100.0 * work_out(worlds, setting).break_even_share * setting.lots[0].air_dry_part
    middle, sure = np.median(even), np.quantile(even, 0.9)
    half = enough(members=1500, material_state=state, material_tannin=f"{middle:.3f} %")
    assert half == pytest.approx(0.5, abs=0.08)
    safe = enough(members=1500, material_state=state, material_tannin=f"{sure:.3f} %")
    assert 0.8 < safe < 0.95


def test_a_wanted_material_covers_what_the_others_leave_open() -> None:
    blend = [{"id": "quercus-robur-bark", "have": "1 kg"}, {"id": "rhus-coriaria-leaf"}]
    setting, _, worlds = drawn(material=blend)
    found = work_out(worlds, setting)
    drawn_g = (worlds.drawn_g_per_kg * found.need_kg).sum(axis=1)
    assert drawn_g == pytest.approx(found.need_g, rel=1e-9)
    assert np.all(found.need_kg[:, 0] <= 1.0 + 1e-12)
    short = found.enough == 0.0
    assert np.all(found.need_kg[short, 0] == pytest.approx(1.0))
    assert np.all(found.need_kg[~short, 1] == 0.0)


def test_two_lots_in_hand_are_needed_in_their_own_proportion() -> None:
    blend = [
        {"id": "quercus-robur-bark", "have": "3 kg"},
        {"id": "rhus-coriaria-leaf", "have": "1 kg"},
    ]
    found = amounts(material=blend)
    assert found.need_kg[:, 0] == pytest.approx(3.0 * found.need_kg[:, 1])
    assert found.main == 0


def test_nothing_in_hand_is_never_enough_and_still_has_a_break_even() -> None:
    found = amounts(material_have=None)
    assert not found.enough.any()
    assert np.all(found.supply_g == 0.0)
    middle = float(np.median(found.need_kg[:, 0]))
    at_hand = amounts(material_have=f"{middle:.6f} kg")
    assert found.break_even_share == pytest.approx(at_hand.break_even_share, rel=1e-5)


def test_the_front_takes_longer_in_a_thick_cold_or_furred_skin() -> None:
    def days(**changed: Any) -> float:
        setting, _, worlds = drawn(**changed)
        return float(np.median(front_days(worlds, setting)))

    assert days(skin_thickness="1 mm") < days() < days(skin_thickness="3 mm")
    assert days(vat_temperature="20 C") < days(vat_temperature="5 C")
    assert days(skin_hair="on") > days()

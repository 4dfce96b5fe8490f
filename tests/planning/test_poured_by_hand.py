"""Liquor bought in, thrown away or thinned, and facts that bind each other, are reckoned with."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.planning.amounts import work_out
from tanwright.planning.readings import Strengthened
from tanwright.planning.worlds import make_worlds
from tests.planning.tannages import drawn, forecast, readings


def test_liquor_thrown_away_raises_the_need_and_liquor_bought_in_the_supply() -> None:
    nothing = forecast("2,look,tea,,,", day=5)
    thrown = forecast("2,look,tea,,,", "4,strengthened,12,L,swap,water", day=5)
    bought = forecast("2,look,tea,,,", "4,strengthened,10,L,swap,60 Bk", day=5)
    assert thrown.tannin_need_kg.p50 > 1.1 * nothing.tannin_need_kg.p50
    assert bought.tannin_supply_kg.p50 > 1.5 * nothing.tannin_supply_kg.p50
    assert thrown.enough.probability <= nothing.enough.probability
    need = {key: amount.p50 for key, amount in bought.still_needed_kg.items()}
    assert all(kg == pytest.approx(0.0, abs=1e-6) for kg in need.values())


def test_water_is_water() -> None:
    for note in ("clean water", "topped up with water.", "2 L of water"):
        row = readings(f"4,strengthened,2,L,top-up,{note}").rows[0].seen
        assert isinstance(row, Strengthened)
        assert row.liquor is not None
        assert row.liquor.value == 0.0


def test_lots_in_hand_beside_a_wanted_one_are_counted_once() -> None:
    lots = [
        {"id": "quercus-robur-bark", "have": "10 kg"},
        {"id": "picea-abies-bark", "have": "10 kg"},
        {"id": "rhus-coriaria-leaf"},
    ]
    setting, _, worlds = drawn(material=lots)
    found = work_out(worlds, setting)
    given = (found.need_kg * worlds.drawn_g_per_kg).sum(axis=1)
    assert given == pytest.approx(found.need_g)


def test_a_stated_area_stays_while_the_pelt_varies() -> None:
    setting, z, _ = drawn(skin=[{"animal": "goat", "weight": "2.2 kg", "area": "0.6 m2"}])
    worlds = make_worlds(setting, z)
    area = worlds.uptake.area_m2.sum(axis=1)
    assert float(np.quantile(area, 0.05)) > 0.53
    assert float(np.quantile(area, 0.95)) < 0.67
    assert (
        float(np.corrcoef(np.log(worlds.pelt_kg[:, 0]), np.log(worlds.thickness_mm[:, 0]))[0, 1])
        > 0.8
    )


def test_a_temperature_reading_holds_until_the_next_date_of_the_sheet() -> None:
    cold = [
        {"from": "2026-03-01", "temperature": "10 C"},
        {"from": "2026-03-12", "temperature": "2 C"},
    ]
    kept = forecast("2,temperature,11,C,,", "3,look,tea,,,", day=4, vat_temperature=cold)
    warm = forecast("2,temperature,11,C,,", "3,look,tea,,,", day=4, vat_temperature="10 C")
    assert kept.finish.p50 is not None
    assert warm.finish.p50 is not None
    assert kept.finish.p50 > warm.finish.p50


def test_unsaid_warmth_and_movement_widen_the_finish() -> None:
    said, _, _ = drawn(vat_move="daily")
    unsaid, _, _ = drawn(vat_temperature=None, vat_move=None)
    spread = {
        name: next(u.spread for u in setting.unknowns if u.name == "diffusivity")
        for name, setting in (("said", said), ("unsaid", unsaid))
    }
    assert spread["unsaid"] > spread["said"]


def test_hard_water_is_told() -> None:
    setting, _, _ = drawn(vat_water="hard")
    assert any("Hard water" in note for note in setting.notes)

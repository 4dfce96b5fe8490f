"""What is done to a vat becomes pours and spells, and nothing is made or lost on the way."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from tanwright.planning.course import (
    RETURNED,
    USUAL_COOK_L_PER_KG,
    Cook,
    Poured,
    Spell,
    liquor_of,
    schedule_of,
    spells_of,
    strength_bk,
)
from tests.planning.tannages import START, drawn

SPELLS = (Spell(0.0, 12.0),)


def test_a_liquor_holds_what_the_cook_drew() -> None:
    _, _, worlds = drawn(50)
    tannin, nontan = liquor_of(worlds, (3.0,), 15.0)
    assert 15.0 * tannin[:, 0] == pytest.approx(3.0 * worlds.drawn_g_per_kg[:, 0])
    assert tannin[:, 0] / (tannin[:, 0] + nontan) == pytest.approx(worlds.purity[:, 0])
    bk = strength_bk(worlds, tannin, nontan)
    assert bk * worlds.solubles_per_degree == pytest.approx(tannin[:, 0] + nontan)


def test_strengths_over_time_keep_their_shape() -> None:
    _, _, worlds = drawn(50)
    bk = strength_bk(worlds, np.ones((50, 7, 1)), np.ones((50, 7)))
    assert bk.shape == (50, 7)
    assert np.all(bk > 0.0)


def test_a_cook_returns_what_it_was_made_with_and_keeps_the_volume() -> None:
    setting, _, worlds = drawn(20)
    cook = Cook(5.0, (1.0,), 8.0, below_bk=10.0)
    schedule = schedule_of(worlds, setting, Cook(0.0, (1.0,), 15.0), (cook,), SPELLS, 20.0)
    (pour,) = schedule.pours
    assert (pour.day, pour.out_l, pour.in_l, pour.returned) == (5.0, 8.0, 8.0, RETURNED)
    assert pour.tannin_g_per_l[:, 0] * 8.0 == pytest.approx(worlds.drawn_g_per_kg[:, 0])
    assert pour.only_below_g_per_l == pytest.approx(10.0 * worlds.solubles_per_degree)
    assert schedule.vat_l == 15.0


def test_a_swap_and_a_top_up_and_water() -> None:
    setting, _, worlds = drawn(20)
    poured = (
        Poured(2.0, 5.0, 5.0, 30.0), Poured(3.0, 0.0, 2.0, 0.0), Poured(4.0, 5.0, 5.0, None)
    )  # fmt: skip
    schedule = schedule_of(worlds, setting, Cook(0.0, (1.0,), 15.0), poured, SPELLS, 20.0)
    swap, water, unmeasured = schedule.pours
    solubles = swap.tannin_g_per_l[:, 0] + swap.nontan_g_per_l
    assert solubles == pytest.approx(30.0 * worlds.solubles_per_degree)
    assert np.all(water.tannin_g_per_l == 0.0)
    assert np.all(water.nontan_g_per_l == 0.0)
    air_dry = worlds.contained_g_per_kg[:, 0] / 1000.0 / worlds.tannin_share[:, 0]
    drawn_g = unmeasured.tannin_g_per_l[:, 0] * USUAL_COOK_L_PER_KG * air_dry
    assert drawn_g == pytest.approx(worlds.drawn_g_per_kg[:, 0])


def test_what_comes_after_the_end_is_left_out() -> None:
    setting, _, worlds = drawn(5)
    late = Cook(30.0, (1.0,), 8.0)
    schedule = schedule_of(worlds, setting, Cook(0.0, (1.0,), 15.0), (late,), SPELLS, 20.0)
    assert schedule.pours == ()


def test_spells_follow_the_sheet_and_warmth_speeds_the_vat() -> None:
    dated = [
        {"from": START, "temperature": "6 C"},
        {"from": date(2026, 3, 15), "temperature": "18 C"},
    ]
    setting, _, worlds = drawn(5, vat_temperature=dated)
    spells = spells_of(setting, 60.0)
    assert [(s.day, s.temperature_c) for s in spells] == [(0.0, 6.0), (14.0, 18.0)]
    assert len(spells_of(setting, 10.0)) == 1
    schedule = schedule_of(worlds, setting, Cook(0.0, (1.0,), 15.0), (), spells, 60.0)
    cold, warm = schedule.conditions
    assert warm.heat > cold.heat
    assert warm.spoilage > cold.spoilage
    sour = (replace(spells[0], acidity=0.6), spells[1])
    slower = schedule_of(worlds, setting, Cook(0.0, (1.0,), 15.0), (), sour, 60.0).conditions[0]
    assert slower.heat == pytest.approx(0.6 * cold.heat)


def test_a_skin_taken_out_lies_in_no_slab() -> None:
    setting, _, worlds = drawn(5)
    out = (Spell(0.0, 12.0), Spell(4.0, 12.0, lying=False))
    schedule = schedule_of(worlds, setting, Cook(0.0, (1.0,), 15.0), (), out, 9.0)
    assert schedule.conditions[0].lying == (True, True)
    assert schedule.conditions[1].lying == (False, False)

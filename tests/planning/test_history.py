"""Readings become pours, spells and evidence."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from tanwright.errors import InputError
from tanwright.planning.course import Cook, Poured, Spell
from tanwright.planning.history import (
    FROZEN_C,
    HEAT_C,
    HEAT_DAYS,
    History,
    read_history,
    resumed,
)
from tanwright.planning.observing import strength_bk_of
from tanwright.planning.readings import Strength
from tanwright.planning.readings_reader import parse_readings
from tanwright.planning.setting import FILM, settle
from tanwright.science.belief import kinds
from tests.planning.tannages import START, drawn, forecast, on, readings, sheet
from tests.planning.test_outcome import run


def read(*rows: str, **changed: object) -> History:
    return read_history(readings(*rows).rows, settle(sheet(**changed)), "r.csv")


def at(history: History, day: float) -> Spell:
    return [spell for spell in history.spells if spell.day <= day][-1]


def test_nothing_happened() -> None:
    history = read()
    assert history.changes == ()
    assert history.observed == ()
    assert history.vat_l == 15.0
    assert history.first_kg is None
    assert history.waits_for(99.0) == ""


def test_material_cooked_is_a_cook_and_is_used_up() -> None:
    history = read("5,strengthened,1500,g,,cooked in 6 L")
    (cook,) = history.changes
    assert cook == Cook(5.0, (1.5,), 6.0)
    assert history.used_kg == (1.5,)
    assert history.vat_l == 15.0


def test_a_swap_keeps_the_volume_and_a_top_up_adds() -> None:
    history = read("5,strengthened,4,L,swap,30 Bk", "6,strengthened,2,L,top-up,1.02 sg")
    swap, top_up = history.changes
    assert isinstance(swap, Poured)
    assert isinstance(top_up, Poured)
    assert (swap.out_l, swap.in_l, swap.strength_bk) == (4.0, 4.0, 30.0)
    assert (top_up.out_l, top_up.in_l) == (0.0, 2.0)
    assert top_up.strength_bk == pytest.approx(20.0, abs=0.5)
    assert history.vat_l == 17.0
    assert history.used_kg == (0.0,)


def test_liquor_of_unknown_strength_counts_as_a_usual_cook() -> None:
    history = read("5,strengthened,6,L,swap,")
    (swap,) = history.changes
    assert isinstance(swap, Poured)
    assert swap.strength_bk is None
    assert history.used_kg == (1.0,)


def test_what_was_cooked_on_the_first_day_is_the_first_liquor() -> None:
    history = read("0,strengthened,1.2,kg,,", "4,strengthened,1,kg,,")
    assert history.first_kg == (1.2,)
    assert history.used_kg == (1.0,)
    assert len(history.changes) == 1
    assert any("first liquor" in note for note in history.notes)


def test_the_material_of_a_row_is_found_on_the_sheet() -> None:
    blend = [{"id": "quercus-robur-bark", "have": "3 kg"}, {"id": "rhus-coriaria-leaf"}]
    history = read("5,strengthened,500,g,,,,rhus-coriaria-leaf", material=blend)
    assert history.used_kg == (0.0, 0.5)


@pytest.mark.parametrize(
    ("row", "place", "words"),
    [
        ("5,strengthened,80,kg,,", "r.csv, line 2, value", "more than a vat of 15 L"),
        ("5,strengthened,20,L,swap,", "r.csv, line 2, value", "more than the vat holds"),
        ("5,strengthened,900,L,top-up,", "r.csv, line 2, value", "topped up"),
        (
            "5,strengthened,1,kg,,,,rhus-coriaria-leaf", "r.csv, line 2, material",
            "not on the sheet",
        ),
    ],
)  # fmt: skip
def test_what_the_vat_cannot_have_had_is_refused(row: str, place: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        read(row)
    assert caught.value.place == place
    assert words in caught.value.what
    assert caught.value.remedy


def test_frost_holds_until_the_thaw_and_the_sheet_comes_back() -> None:
    dated = [
        {"from": START, "temperature": "10 C"},
        {"from": date(2026, 3, 11), "temperature": "2 C"},
        {"from": date(2026, 4, 1), "temperature": "15 C"},
    ]
    history = read("12,event,frozen,,", "20,event,thawed,,", vat_temperature=dated)
    assert at(history, 11.0).temperature_c == 2.0
    assert at(history, 15.0).temperature_c == FROZEN_C
    assert at(history, 20.5).temperature_c == 3.0
    assert at(history, 40.0).temperature_c == 15.0


def test_after_a_move_the_frost_gives_way_to_where_it_was_moved() -> None:
    history = read("3,event,moved to 8 C,,", "5,event,frozen,,", "9,event,thawed,,")
    assert at(history, 4.0).temperature_c == 8.0
    assert at(history, 6.0).temperature_c == FROZEN_C
    assert at(history, 30.0).temperature_c == 8.0


def test_heat_passes() -> None:
    history = read("4,event,heat,,")
    assert at(history, 5.0).temperature_c == HEAT_C
    assert at(history, 4.0 + HEAT_DAYS).temperature_c == 12.0
    warm = read("4,event,heat,,,33 C", "6,temperature,20,C,,")
    assert at(warm, 5.0).temperature_c == 33.0
    assert at(warm, 60.0).temperature_c == 20.0


def test_away_is_a_still_vat_and_back_moves_it_again() -> None:
    history = read("4,event,away,,", "14,event,back,,")
    assert at(history, 10.0).film == FILM["still"]
    assert at(history, 15.0).film == FILM["daily"]
    assert [text for _, text in history.events] == ["away", "back"]


def test_an_acid_liquor_is_slower_and_is_told() -> None:
    history = read("4,ph,3.2,,")
    assert at(history, 5.0).acidity < 1.0
    assert at(history, 3.0).acidity == 1.0
    assert any("pH 3.2" in note for note in history.notes)


def test_what_a_vat_waits_for_is_taken_as_tomorrow() -> None:
    setting = settle(sheet())
    for row, waits in (("4,event,frozen,,", "thaw"), ("4,event,taken out,,", "put back")):
        history = read(row)
        assert history.waits_for(9.0) == waits
        going_on = resumed(history, 9.0, setting)
        assert going_on.waits_for(9.5) == waits
        assert going_on.waits_for(10.5) == ""
        assert at(going_on, 30.0).temperature_c == 12.0
    calm = read("4,event,away,,")
    assert resumed(calm, 9.0, setting) is calm


def test_a_skin_taken_out_of_the_cold_vat_stays_in_its_weather() -> None:
    dated = [
        {"from": START, "temperature": "10 C"},
        {"from": date(2026, 3, 11), "temperature": "4 C"},
    ]
    history = read("4,event,taken out,,", "14,event,put back,,", vat_temperature=dated)
    assert not at(history, 12.0).lying
    assert at(history, 12.0).temperature_c == 4.0
    assert at(history, 20.0).lying


def test_each_kind_of_evidence_is_predicted_from_the_vat() -> None:
    history = read(
        "2,strength,8,bk,,,12 C", "2,look,tea,,", "3,cut,half,,neck", "3,cut,0.6,,belly",
        "3,cut,0.3,,flesh side", "3,cut,0.2,,grain side", "3,weight,1.3,kg,pelt",
        "9,weight,1.5,kg,wet leather", "9,weight,0.6,kg,dry leather",
    )  # fmt: skip
    outcome = run(12.0)
    _, _, worlds = drawn(60)
    assert len(history.observed) == 9
    for seen in history.observed:
        predicted = seen.predict(worlds, outcome)
        assert predicted.shape == (60,)
        assert np.all(np.isfinite(predicted))
        assert np.all(predicted >= 0.0)
    thick, thin = (history.observed[i].predict(worlds, outcome) for i in (2, 3))
    assert np.median(thick) <= np.median(thin)
    pelt, wet, dry = (history.observed[i].predict(worlds, outcome) for i in (6, 7, 8))
    assert np.all(wet > pelt)
    assert np.all(dry < wet)


def test_words_for_a_cut_are_trusted_less_than_a_figure() -> None:
    half, figure = read("3,cut,half,,neck", "3,cut,0.5,,neck").observed
    assert half.reading.noise == kinds.CUT_IN_WORDS
    assert figure.reading.noise == kinds.CUT


def test_a_reading_of_an_unknown_skin_or_of_a_furred_one_is_kept_and_told() -> None:
    history = read("3,cut,half,,neck,,,,nanny")
    assert history.observed == ()
    assert '"nanny"' in history.notes[0]
    furred = read("3,weight,1.4,kg,,", skin_hair="on")
    assert furred.observed == ()
    assert "hair on" in furred.notes[0]


def test_instruments_are_told_apart() -> None:
    def noise(row: str, **changed: object) -> object:
        return read(row, **changed).observed[0].reading.noise

    assert noise("2,strength,8,bk") == kinds.HYDROMETER
    assert noise("2,strength,3,brix", tools_strength="refractometer") == kinds.REFRACTOMETER
    assert noise("2,strength,1.01,sg", tools_strength="none") == kinds.LITRE_WEIGHT


def test_a_warm_hydrometer_is_corrected() -> None:
    setting = settle(sheet(tools_calibrated_at="15.6 C"))
    warm = strength_bk_of(Strength(8.0, "bk", 30.0), setting)
    at_home = strength_bk_of(Strength(8.0, "bk", 15.6), setting)
    assert at_home == pytest.approx(8.0, abs=0.05)
    assert warm > at_home + 2.0
    by_the_vat = strength_bk_of(Strength(8.0, "bk", None), setting, day=3.0)
    assert by_the_vat == pytest.approx(strength_bk_of(Strength(8.0, "bk", 12.0), setting))
    assert strength_bk_of(Strength(8.0, "bk", None), settle(sheet())) == 8.0
    solids = strength_bk_of(Strength(20.0, "solubles", None), setting)
    assert solids == pytest.approx(20.0 / 2.6, rel=0.1)


def test_readings_before_the_start_are_refused_with_line_and_column() -> None:
    text = f"date,kind,value\n{on(-1)},ph,4\n"
    with pytest.raises(InputError, match="before the start") as caught:
        parse_readings(text, source="r.csv", start=START)
    assert caught.value.place == "r.csv, line 2, date"


BLEND = [
    {"id": "quercus-robur-bark", "have": "3 kg", "name": "oak"},
    {"id": "rhus-coriaria-leaf", "have": "1 kg", "name": "sumac"},
]


def test_what_names_no_plant_is_split_as_the_plan_mixes_them_and_told() -> None:
    history = read("3,strengthened,800,g,,", "5,strengthened,400,g,,", material=BLEND)
    assert history.used_kg == pytest.approx((0.9, 0.3))
    assert [change.kg for change in history.changes if isinstance(change, Cook)] == [
        pytest.approx((0.6, 0.2)),
        pytest.approx((0.3, 0.1)),
    ]
    (note,) = history.notes
    assert note.startswith("Lines 2 and 3 do not say")
    assert "75% oak and 25% sumac" in note
    rows = readings("3,strengthened,800,g,,", "0,strengthened,1,kg,,").rows
    setting = settle(sheet(material=BLEND))
    mixed = read_history(rows, setting, "r.csv", (0.5, 0.5))
    assert mixed.used_kg == pytest.approx((0.4, 0.4))
    assert mixed.first_kg == pytest.approx((0.5, 0.5))
    named = read("3,strengthened,800,g,,,,rhus-coriaria-leaf", material=BLEND)
    assert named.used_kg == (0.0, 0.8)
    assert named.notes == ()


def test_liquor_that_names_no_plant_is_split_without_changing_its_litres() -> None:
    history = read("5,strengthened,4,L,swap,30 Bk", material=BLEND)
    first, second = history.changes
    assert isinstance(first, Poured)
    assert isinstance(second, Poured)
    assert (first.out_l, first.in_l, first.material) == (4.0, 3.0, 0)
    assert (second.out_l, second.in_l, second.material) == (0.0, 1.0, 1)
    assert history.vat_l == 15.0
    assert [(mark.day, mark.value) for mark in history.marks] == [(5.0, 4.0)]


def test_a_lot_is_named_apart_from_another_of_the_same_plant() -> None:
    two = [{"id": "quercus-robur-bark", "have": "3 kg"}] * 2
    own = sheet(material=two)
    text = "date,kind,value,unit,material\n2026-03-05,strengthened,1,kg,quercus-robur-bark#2\n"
    rows = parse_readings(text, source="r.csv", start=START, sheet=own).rows
    assert read_history(rows, settle(own)).used_kg == (0.0, 1.0)
    rows = parse_readings(text.replace("#2", ""), source="r.csv", start=START, sheet=own).rows
    assert read_history(rows, settle(own)).used_kg == (0.5, 0.5)


def test_a_cook_in_the_vat_is_marked_with_its_litres() -> None:
    (mark,) = read("5,strengthened,1500,g,,cooked in 6 L").marks
    assert mark.value == 6.0


def test_a_limy_vat_or_a_misread_strip_is_told() -> None:
    (note,) = read("4,ph,7.5,,").notes
    assert "lime is left" in note
    assert "misread" in note
    assert "more slowly" not in note
    (usual,) = read("4,ph,4.8,,").notes
    assert "lime" not in usual
    assert "more slowly" not in usual


def test_the_calm_vat_keeps_what_was_read_but_not_what_came_between() -> None:
    history = read("2,ph,3.2,,", "3,temperature,9,C,,", "4,event,frozen,,", "6,temperature,2,C,,")
    calm = [spell for spell in history.calm if spell.day <= 10.0][-1]
    assert calm.acidity == at(history, 3.5).acidity < 1.0
    assert calm.temperature_c == 9.0
    assert at(history, 10.0).temperature_c == 2.0


def test_total_solids_are_weighed_in_their_own_unit() -> None:
    setting, _, _ = drawn(5)
    found = read_history(readings("2,strength,30,g/L,,").rows, setting).observed[0]
    assert found.reading.noise.name == "total solids"
    assert found.reading.observed == 30.0
    assert found.unit == "g/L"
    told = forecast("2,strength,30,g/L,,", day=3)
    assert told.checks[0].verdict in ("ok", "odd")
    assert "g/L" in told.checks[0].text

"""Gaps of a sheet are filled, noted, and never silently."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tanwright.errors import InputError
from tanwright.planning.setting import DEFAULT_C, VAT_L_PER_KG_PELT, settle
from tanwright.planning.sheet_reader import sheet_from_options
from tests.planning.tannages import START, sheet


def bare(**tables: Any) -> dict[str, Any]:
    return {"skin": [{"animal": "goat"}], "material": [{"id": "unknown-bark"}], **tables}


def test_a_skin_and_a_plant_alone_are_enough_and_every_default_is_told() -> None:
    setting = settle(sheet_from_options(bare(), today=START))
    told = " ".join(setting.notes)
    for word in ("weight", "thickness", "vat", "pot", "temperature", "Leather"):
        assert word in told
    pelt = setting.skins[0].pelt.median
    assert setting.vat_l == pytest.approx(VAT_L_PER_KG_PELT * pelt, rel=0.2)
    assert setting.temperature_c(0.0) == DEFAULT_C
    assert setting.start == START


def test_what_was_said_is_not_noted_as_taken() -> None:
    notes = settle(sheet(vat_move="daily")).notes
    assert not any("is taken" in note for note in notes)


def test_names_of_unknowns_are_distinct_and_spread() -> None:
    setting = settle(
        sheet(
            skin=[{"animal": "goat"}, {"animal": "sheep", "hair": "on"}],
            material=[{"id": "unknown-bark"}, {"id": "rhus-coriaria-leaf", "have": "2 kg"}],
        )
    )
    names = [unknown.name for unknown in setting.unknowns]
    assert len(set(names)) == len(names)
    assert all(unknown.spread > 0.0 and unknown.sources for unknown in setting.unknowns)
    assert {"pelt:0", "pelt:1", "thickness:1", "mobility:rhus-coriaria-leaf"} <= set(names)
    assert setting.index("pelt:1") == names.index("pelt:1")
    with pytest.raises(KeyError):
        setting.index("nothing")


@pytest.mark.parametrize(
    ("stage", "weight"),
    [("green", "2.2 kg"), ("salted", "2.0 kg"), ("dried", "0.8 kg"), ("soaked", "2.3 kg")],
)
def test_one_skin_gives_one_pelt_at_whatever_stage_it_is_weighed(stage: str, weight: str) -> None:
    skin = settle(sheet(skin_stage=stage, skin_weight=weight)).skins[0]
    assert 0.8 < skin.pelt.median < 2.0


def test_a_limed_weight_is_the_pelt() -> None:
    skin = settle(sheet(skin_stage="limed", skin_weight="1.4 kg")).skins[0]
    assert skin.pelt.median == pytest.approx(1.4)
    assert skin.pelt.spread < 0.1


def test_a_heavier_skin_of_one_kind_is_taken_as_thicker() -> None:
    def thickness(weight: str) -> float:
        return settle(sheet(skin_weight=weight, skin_thickness=None)).skins[0].thickness.median

    assert thickness("1.5 kg") < thickness("2.2 kg") < thickness("3.5 kg")


def test_a_measured_thickness_is_surer_than_the_animal() -> None:
    guessed = settle(sheet(skin_thickness=None)).skins[0].thickness
    measured = settle(sheet()).skins[0].thickness
    assert measured.median == 1.6
    assert measured.spread < guessed.spread


def test_area_and_thickness_tell_the_pelt() -> None:
    skin = settle(sheet(skin=[{"area": "0.6 m2", "thickness": "2 mm"}])).skins[0]
    assert skin.pelt.median == pytest.approx(0.6 * 2.0 * 1.08)
    assert skin.pelt.spread <= 0.15
    by_area = settle(sheet(skin_area="0.5 m2", skin_thickness=None)).skins[0]
    expected = by_area.pelt.median / (0.5 * 1.08)
    assert by_area.thickness.median == pytest.approx(expected)


@pytest.mark.parametrize("thickness", [0.1, 0.6, 2.0, 6.0, 20.0])
def test_a_thickness_makes_any_animal_valid(thickness: float) -> None:
    setting = settle(sheet(skin=[{"animal": "kangaroo", "thickness": f"{thickness} mm"}], vat={}))
    skin = setting.skins[0]
    assert skin.thickness.median == thickness
    assert skin.pelt.quantile(0.95) > 2.0 * skin.pelt.quantile(0.05)
    assert any("Nothing says how large the kangaroo" in note for note in setting.notes)


def test_a_guessed_size_follows_the_thickness() -> None:
    pelts = [
        settle(sheet(skin=[{"thickness": f"{mm} mm"}], vat={})).skins[0].pelt.median
        for mm in (0.6, 2.0, 6.0)
    ]
    assert pelts == sorted(pelts)
    assert 0.01 < pelts[0] < 0.3
    assert 0.5 < pelts[1] < 4.0


@pytest.mark.parametrize(
    ("leather", "low", "high"), [("soft", 30, 45), ("bag", 35, 55), ("firm", 45, 65)]
)
def test_the_leather_sets_the_target(leather: str, low: float, high: float) -> None:
    target = settle(sheet(aim_leather=leather)).target
    assert (target.low, target.high) == (low / 100.0, high / 100.0)
    assert target.low < target.degree < target.high
    assert target.start_bk < target.finish_bk


def test_an_own_degree_wins_and_a_single_figure_keeps_some_room() -> None:
    target = settle(sheet(aim_degree="25-35")).target
    assert (target.low, target.high) == (0.25, 0.35)
    single = settle(sheet(aim_degree="40")).target
    assert single.low < single.high == 0.40


def test_a_figure_for_the_tannin_is_of_the_mass_as_it_lies() -> None:
    dry = settle(sheet(material_tannin="10 %")).lots[0]
    assert dry.tannin.median == pytest.approx(0.10, rel=0.02)
    assert dry.tannin.sources == ("measured-here",)
    fresh = settle(sheet(material_tannin="10 %", material_state="fresh")).lots[0]
    assert fresh.tannin.median * fresh.air_dry_part == pytest.approx(0.10, rel=0.03)
    assert fresh.moisture.spread == 0.0
    wide = settle(sheet(material_tannin="5-20 %")).lots[0]
    assert wide.tannin.quantile(0.05) == pytest.approx(0.05, rel=0.01)
    assert wide.tannin.quantile(0.95) == pytest.approx(0.20, rel=0.01)


def test_what_an_earlier_trial_left_is_used_and_a_lot_of_its_own_wins() -> None:
    known = {"quercus-robur-bark": "6-7 %"}
    assert 0.06 < settle(sheet(known=known)).lots[0].tannin.median < 0.07
    both = settle(sheet(known=known, material_tannin="12 %")).lots[0]
    assert both.tannin.median == pytest.approx(0.12, rel=0.02)


def test_fresh_material_says_of_what_its_tannin_is_told() -> None:
    notes = settle(sheet(material_state="fresh")).notes
    assert any("is fresh" in note and "water is taken" in note for note in notes)


@pytest.mark.parametrize(
    ("changed", "place", "remedy"),
    [
        (
            {"vat_volume": "2.5 L", "skin_area": "0.9 m2", "skin_thickness": "3 mm"},
            "volume",
            "at least",
        ),
        ({"material": [{"id": "unknown-bark"}] * 5}, "[[material]]", "name the 4"),
    ],
)
def test_what_cannot_be_planned_is_refused_with_a_remedy(
    changed: dict[str, Any], place: str, remedy: str
) -> None:
    with pytest.raises(InputError) as caught:
        settle(sheet(**changed))
    assert place in caught.value.place
    assert remedy in caught.value.remedy


def test_temperatures_by_date_hold_from_their_date() -> None:
    spells = [
        {"from": START, "temperature": "8 C"},
        {"from": date(2026, 3, 11), "temperature": "14 C"},
    ]
    setting = settle(sheet(vat_temperature=spells))
    assert [setting.temperature_c(day) for day in (0.0, 9.9, 10.0, 99.0)] == [8.0, 8.0, 14.0, 14.0]


def test_a_measured_thickness_says_what_it_is_taken_for() -> None:
    (note,) = [note for note in settle(sheet(skin_thickness="2.5 mm")).notes if "neck" in note]
    assert "2.5 mm given for the goat" in note
    assert "3.4 mm" in note
    assert 'thickness = "1.9 mm"' in note
    assert not any("neck" in note for note in settle(sheet(skin_thickness=None)).notes)

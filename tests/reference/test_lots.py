"""What a lot's history does to the belief about it."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError
from tanwright.reference.loader import table
from tanwright.reference.lots import Lot, modifiers_for
from tanwright.reference.materials import material
from tanwright.reference.priors import tannin_prior


def names(id: str, **facts: object) -> list[str]:
    lot = Lot(**facts)  # type: ignore[arg-type]
    return [part.name for part in modifiers_for(material(id), lot)]


def test_nothing_said_changes_nothing() -> None:
    assert names("quercus-robur-bark") == []
    assert names("quercus-robur-bark", rained_on=False, mouldy=False, grind="fine") == []
    assert tannin_prior("quercus-robur-bark", Lot()) == tannin_prior("quercus-robur-bark")


def test_rain_on_bark_costs_between_nothing_and_the_worst_seen() -> None:
    (rain,) = modifiers_for(material("quercus-robur-bark"), Lot(rained_on=True))
    assert rain.name == "rained-bark"
    assert rain.sources == ("fir-storage2026", "jyske2020")
    worst, best = (
        rain.log_shift - 1.645 * rain.extra_spread,
        rain.log_shift + 1.645 * rain.extra_spread,
    )
    assert worst == pytest.approx(-0.89, abs=0.05)
    assert best == pytest.approx(0.0, abs=0.05)
    dry = tannin_prior("quercus-robur-bark").unknown
    wet = tannin_prior("quercus-robur-bark", Lot(rained_on=True)).unknown
    assert wet.median < dry.median
    assert wet.spread > dry.spread


def test_rain_on_leaf_only_widens_and_says_so() -> None:
    (rain,) = modifiers_for(material("rhus-coriaria-leaf"), Lot(rained_on=True))
    assert rain.log_shift == 0.0
    assert rain.extra_spread > 0.0
    assert "only widens" in rain.reason


def test_every_row_without_a_shift_but_with_a_spread_says_that_it_only_widens() -> None:
    for row in table("modifiers"):
        if row.number("log_shift") == 0.0 and row.number("extra_spread") > 0.0:
            assert "widens" in row.text("reason"), row.text("id")


def test_old_alder_follows_the_published_figures() -> None:
    (old,) = modifiers_for(material("alnus-glutinosa-bark"), Lot(tree_age="old"))
    odds = (0.10 / 0.90) / (0.18 / 0.82)
    assert pytest.approx(odds, abs=0.01) == 2.718281828**old.log_shift


@pytest.mark.parametrize(
    ("id", "age", "expected"),
    [
        ("quercus-robur-bark", 8.0, ["young-any"]),
        ("quercus-robur-bark", 20.0, []),
        ("quercus-robur-bark", 60.0, ["old-bark"]),
        ("betula-pubescens-bark", 55.0, []),
        ("betula-pubescens-bark", 90.0, ["old-birch"]),
        ("castanea-sativa-wood", 90.0, ["old-wood"]),
        ("alnus-glutinosa-bark", "old", ["old-alder"]),
        ("tsuga-canadensis-bark", "old", ["old-hemlock"]),
        ("rhus-coriaria-leaf", "young", ["young-sumac"]),
        ("quercus-robur-bark", "middle", []),
    ],
)
def test_age_in_years_or_words(id: str, age: float | str, expected: list[str]) -> None:
    assert names(id, tree_age=age) == expected


def test_the_most_special_row_wins() -> None:
    assert names("pinus-halepensis-bark", part_of_trunk="inner") == ["trunk-inner-aleppo"]
    assert names("quercus-robur-bark", part_of_trunk="inner") == ["trunk-inner"]
    assert names("rhus-coriaria-leaf", part_of_trunk="top") == ["trunk-any"]
    assert names("acacia-mearnsii-bark", soil="limestone") == ["soil-limestone-wattle"]
    assert names("quercus-robur-bark", soil="limestone") == ["soil-limestone"]


@pytest.mark.parametrize(
    ("years", "expected"),
    [(0.5, []), (1.0, ["stored-middle"]), (3.0, ["stored-middle"]), (7.0, ["stored-long"])],
)
def test_years_in_store(years: float, expected: list[str]) -> None:
    assert names("quercus-robur-bark", age_years=years) == expected


def test_a_bad_history_adds_up() -> None:
    found = names(
        "quercus-robur-bark",
        rained_on=True,
        mouldy=True,
        tree_age=80,
        grind="coarse",
        age_years=5.0,
        light="shade",
        part_of_trunk="outer",
    )
    assert found == [
        "rained-bark",
        "old-bark",
        "trunk-outer",
        "light-shade",
        "stored-long",
        "mouldy",
        "coarse",
    ]


@pytest.mark.parametrize(
    "facts",
    [
        {"state": "wet"},
        {"part_of_trunk": "left"},
        {"tree_age": "ancient"},
        {"tree_age": -3.0},
        {"tree_age": 90000.0},
        {"light": "moon"},
        {"grind": "dust"},
        {"soil": "cheese"},
        {"age_years": -1.0},
        {"age_years": 900.0},
    ],
)
def test_what_cannot_be_is_refused_with_a_remedy(facts: dict[str, object]) -> None:
    with pytest.raises(InputError) as caught:
        Lot(**facts)  # type: ignore[arg-type]
    assert caught.value.remedy
    assert caught.value.place == next(iter(facts))

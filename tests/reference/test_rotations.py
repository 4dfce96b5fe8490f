"""Rotations: every row is used, what was read goes before memory, the sentences read well."""

from __future__ import annotations

import pytest

from tanwright.errors import UnknownMaterialError
from tanwright.reference.loader import table
from tanwright.reference.materials import materials
from tanwright.reference.rotations import (
    REGROWTH_WORDS,
    regrowth_of,
    rotations_of,
    stand_yields_of,
    years_words,
)


def test_every_row_holds_for_some_material() -> None:
    used = {row.id for item in materials() for row in rotations_of(item.id)}
    assert used == {row.text("id") for row in table("rotations")}
    used = {row.id for item in materials() for row in stand_yields_of(item.id)}
    assert used == {row.text("id") for row in table("stand_yields")}


@pytest.mark.parametrize(
    ("material_id", "low", "high", "source"),
    [
        # Haubergswirtschaft: every 16 to 20 years; 20 plots, one cut each year.
        ("quercus-petraea-bark", 16.0, 20.0, "hauberg-fellinghausen"),
        # Chestnut coppice of Kent and East Sussex: every 15 or 18 years.
        ("castanea-sativa-bark", 15.0, 18.0, "woodlands-chestnut"),
        # Willow for fuel: three years, 2 or 4 to 5 are common too.
        ("salix-caprea-bark", 2.0, 5.0, "forest-research-src"),
        # Dense downy birch: rotations of 24 to 26 years.
        ("betula-pubescens-bark", 24.0, 26.0, "hytonen2020"),
        # Gamble, as the forest flora of Andhra Pradesh quotes him: a rotation of about three years.
        ("senna-auriculata-bark", 3.0, 3.0, "ap-forest-flora"),
        # FAO crop data sheet: bark after 5 to 10 years.
        ("acacia-mearnsii-bark", 5.0, 10.0, "fao-mearnsii"),
    ],
)
def test_published_rotations(material_id: str, low: float, high: float, source: str) -> None:
    found = regrowth_of(material_id)
    assert (found.years_low, found.years_high) == (low, high)
    assert not found.from_memory
    assert source in {key for row in found.rotations for key in row.source.split(";")}


def test_what_was_read_goes_before_memory() -> None:
    rows = rotations_of("quercus-robur-bark")
    assert [row.read for row in rows] == sorted((row.read for row in rows), reverse=True)
    assert any(not row.read for row in rows)
    assert regrowth_of("alnus-glutinosa-bark").from_memory


def test_every_material_has_a_sentence() -> None:
    for item in materials():
        found = regrowth_of(item.id)
        assert found.words.endswith(".")
        assert not found.regrows or REGROWTH_WORDS[found.regrows] in found.words
        assert found.known == (found.years_high is not None)
        for row in found.rotations:
            assert row.cited
            assert row.note


def test_years_in_words() -> None:
    assert years_words(16.0, 20.0) == "16 to 20 years"
    assert years_words(1.0, 1.0) == "every year"
    assert years_words(3.0, 3.0) == "3 years"
    assert years_words(0.25, 0.5) == "every 3 to 6 months"
    assert years_words(None, None) == ""


def test_an_unknown_material_is_refused() -> None:
    with pytest.raises(UnknownMaterialError):
        regrowth_of("no-such-bark")

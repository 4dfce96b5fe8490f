"""Places agree with the published scheme and with codes of countries, and read what people type.

Codes and counts of the scheme: R. K. Brummitt 2001, World Geographical Scheme for Recording Plant
Distributions, edition 2 (TDWG): 9 continents, 52 regions, 369 areas in its files of levels 1 to 3.
Codes and names of countries: ISO 3166-1 as the package pycountry carries them.
"""

from __future__ import annotations

import pycountry
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.reference import world
from tanwright.reference.loader import table
from tanwright.reference.materials import material, materials, search


def test_the_scheme_is_whole() -> None:
    counts = [0, 0, 0]
    for row in table("wgsrpd"):
        counts[int(row.number("level")) - 1] += 1
        assert len(row.text("code")) == int(row.number("level"))
        assert (row.text("within") == "") == (row.number("level") == 1)
        if row.number("level") == 2:
            assert row.text("code")[0] == row.text("within")
    assert counts == [9, 52, 369]


@pytest.mark.parametrize(
    ("code", "name", "region", "countries"),
    [
        ("GER", "Germany", "Middle Europe", ("DE",)),
        ("AUT", "Austria", "Middle Europe", ("AT", "LI")),
        ("GRB", "Great Britain", "Northern Europe", ("GB", "IM")),
        ("IRE", "Ireland", "Northern Europe", ("GB", "IE")),
        ("CZE", "Czechoslovakia", "Middle Europe", ("CZ", "SK")),
        ("BLT", "Baltic States", "Eastern Europe", ("EE", "LT", "LV", "RU")),
        ("TCS", "Transcaucasus", "Caucasus", ("AM", "AZ", "GE")),
        ("GEO", "Georgia", "Southeastern U.S.A.", ("US",)),
        ("MOR", "Morocco", "Northern Africa", ("ES", "MA")),
        ("BOR", "Borneo", "Malesia", ("BN", "ID", "MY")),
    ],
)
def test_areas_of_the_printed_table(
    code: str, name: str, region: str, countries: tuple[str, ...]
) -> None:
    """Level 3 with the countries of its units of level 4, as printed (dated codes renewed)."""
    found = world.place(code)
    assert (found.kind, found.name, found.regions) == ("area", name, (region,))
    assert world.countries_in(code) == countries


def test_codes_of_countries_are_those_of_the_standard() -> None:
    ours = {row.text("alpha2"): row.text("alpha3") for row in table("countries")}
    assert ours == {each.alpha_2: each.alpha_3 for each in pycountry.countries}


def test_every_name_of_the_standard_is_understood() -> None:
    for each in pycountry.countries:
        for name in (each.name, getattr(each, "common_name", each.name), each.alpha_2):
            found = world.place(name)
            assert (found.kind, found.code) == ("country", each.alpha_2), name


def test_every_country_lies_somewhere_and_every_place_is_given_back_for_its_code() -> None:
    assert len(world.places()) == len(set(world.places()))
    for where in world.places():
        assert where.regions, where
        assert world.place(where.code) == where
        assert world.place(where.code.lower()) == where
    for row in table("countries"):
        areas = world.areas_of(row.text("alpha2"))
        assert areas
        assert set(row.words("outlying")) <= set(areas), row.text("alpha2")
        assert set(row.words("outlying")) != set(areas), row.text("alpha2")


def test_names_of_a_choosing_list_tell_its_places_apart() -> None:
    labels = [where.label for where in world.places()]
    assert len(labels) == len(set(labels))
    assert labels[0] == "the whole world"
    assert "Georgia" in labels
    assert "Georgia (Southeastern U.S.A.)" in labels
    assert "Germany (Middle Europe)" not in labels


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("germany", "DE"), ("DEU", "DE"), ("Deutschland", "DE"), ("  de ", "DE"), ("U.S.A.", "US"),
        ("usa", "US"), ("uk", "GB"), ("cote d'ivoire", "CI"), ("REUNION", "RE"), ("georgia", "GE"),
        ("col", "COL"), ("CHE", "CH"), ("northwestern usa", "73"), ("europe", "1"), ("36", "36"),
        ("middle europe", "11"), ("st helena", "STH"), ("hawaii", "HAW"), ("everywhere", "world"),
        ("quebec", "QUE"), ("faroe islands", "FO"), ("scotland", "GRB"),
    ],
)  # fmt: skip
def test_what_people_type(text: str, code: str) -> None:
    assert world.place(text).code == code


@pytest.mark.parametrize(("text", "told"), [("Germny", "Germany"), ("Faroe", "Faroe Islands")])
def test_a_slip_is_answered_with_near_matches(text: str, told: str) -> None:
    with pytest.raises(InputError, match=f"did you mean .*{told}"):
        world.place(text)


@pytest.mark.parametrize("text", ["", "  ", "12345", "\x00", "zz", "💧", "x" * 5000])
def test_nonsense_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(InputError) as caught:
        world.place(text)
    assert "\n" not in str(caught.value)


@given(st.text(max_size=40))
def test_any_text_gives_a_place_or_a_plain_refusal(text: str) -> None:
    try:
        found = world.place(text)
    except InputError:
        with pytest.raises(InputError, match=r"^no (country|place)[^\n]*; (did you|write)"):
            world.place(text)
    else:
        assert found.regions


def test_far_islands_do_not_count_for_the_country() -> None:
    assert "Macaronesia" not in world.place("Spain").regions
    assert world.place("Canary Is.").regions == ("Macaronesia",)
    assert world.place("US").regions[0] == "Subarctic America"
    assert not any("Pacific" in name for name in world.place("US").regions)
    assert world.place("Turkey").regions == ("Southeastern Europe", "Western Asia")


def test_where_plants_grow() -> None:
    oak, quebracho = material("quercus-robur-bark"), material("schinopsis-balansae-wood")
    assert world.grows_in(oak, world.place("Germany"))
    assert not world.grows_in(oak, world.place("Brazil"))
    assert world.grows_in(quebracho, world.place("Argentina"))
    assert not world.grows_in(quebracho, world.place("Europe"))
    assert all(world.grows_in(item, world.place("world")) for item in materials())


def test_a_plant_of_a_whole_continent_grows_in_each_of_its_regions() -> None:
    wide = next(item for item in materials() if "Europe" in item.regions)
    assert world.regions_of(wide) >= frozenset(world.place("1").regions)


def test_every_region_of_every_material_is_one_of_the_scheme() -> None:
    known = set(world.place("world").regions)
    assert all(world.regions_of(item) <= known for item in materials())


def test_materials_are_searched_by_country_or_by_part_of_a_region() -> None:
    in_germany = {item.id for item in search(region="Germany")}
    assert in_germany == {item.id for item in search(region="Middle Europe")}
    assert {item.id for item in search(region="tropical africa")} > {
        item.id for item in search(region="West Tropical Africa")
    }
    with pytest.raises(InputError, match="no country or region"):
        search(region="Atlantis")


def test_codes_that_do_not_exist_are_refused() -> None:
    for wrong in ("QQQ", "11", ""):
        with pytest.raises(InputError, match="no area has the code"):
            world.countries_in(wrong)
    with pytest.raises(InputError, match="no country has the code"):
        world.areas_of("GER")

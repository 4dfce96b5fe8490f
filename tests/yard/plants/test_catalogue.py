"""Looking through the plants: every filter, every order, and a thousand of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tanwright.reference import materials, world
from tanwright.yard.plants.catalogue import SORTS, Asked, Row, catalogue, find
from tanwright.yard.plants.leather_words import CHARACTERS, COLOURS, characters_of, colours_of
from tanwright.yard.plants.wording import CLASSES, EFFECTS, HAZARDS, PROVENANCES, TRACKS

NO_MONTHS: dict[str, frozenset[int]] = {}


def ids(asked: Asked, rows: tuple[Row, ...] | None = None) -> list[str]:
    return [row.id for row in find(rows or catalogue(), asked, NO_MONTHS)]


def test_every_key_of_the_reference_has_words():
    for item in materials.materials():
        assert item.track_record in TRACKS
        assert item.tannin_class in CLASSES
        assert item.gather_effect in EFFECTS
        assert item.provenance in PROVENANCES
        assert set(item.hazards) <= set(HAZARDS)


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("english oak", "quercus-robur-bark"),
        ("Quercus robur bark", "quercus-robur-bark"),
        ("QUERCUS PEDUNCULATA bark", "quercus-robur-bark"),
        ("sicilian sumac", "rhus-coriaria-leaf"),
        ("goat will", "salix-caprea-bark"),
    ],
)
def test_any_name_finds_a_plant(text: str, first: str):
    assert ids(Asked(text=text))[0] == first


def test_filters_agree_with_the_reference():
    oaks = ids(Asked(text="quercus", part="bark", tannin_class="condensed"))
    assert oaks
    for id in oaks:
        item = materials.material(id)
        assert (item.part, item.tannin_class) == ("bark", "condensed")
    proved = {materials.material(id).track_record for id in ids(Asked(track="proved"))}
    assert proved == {"industrial", "traditional"}
    gentle = {materials.material(id).gather_effect for id in ids(Asked(effect="gentle"))}
    assert "kills" not in gentle
    assert all(not materials.material(id).hazards for id in ids(Asked(hazard="none")))
    assert all(
        "poisonous" in materials.material(id).hazards for id in ids(Asked(hazard="poisonous"))
    )
    germany = world.place("Germany")
    here = set(ids(Asked(place=germany)))
    assert here == {item.id for item in materials.materials() if world.grows_in(item, germany)}
    assert 0 < len(here) < len(catalogue())
    only = find(catalogue(), Asked(month=5), {"quercus-robur-bark": frozenset({4, 5})})
    assert [row.id for row in only] == ["quercus-robur-bark"]
    assert ids(Asked(own=frozenset({"salix-caprea-bark"}))) == ["salix-caprea-bark"]


def test_orders():
    rows = {sort: find(catalogue(), Asked(sort=sort), NO_MONTHS) for sort in SORTS}
    assert all(len(found) == len(catalogue()) for found in rows.values())
    strong = [row.tannin_pct.p50 for row in rows["strength"]]
    assert strong == sorted(strong, reverse=True)
    names = [row.material.name.lower() for row in rows["name"]]
    assert names == sorted(names)
    tracks = [list(TRACKS).index(row.material.track_record) for row in rows["track"]]
    assert tracks == sorted(tracks)
    assert rows["evidence"][0].sources == max(row.sources for row in catalogue())


def test_a_thousand_plants_are_looked_through_as_fifty_are():
    first = catalogue()[:50]
    many = tuple(
        replace(row, material=replace(row.material, id=f"{row.id}-{copy}"))
        for copy in range(20)
        for row in first
    )
    assert len(many) == 1000
    asked = Asked(part="bark", sort="strength")
    few = ids(asked, first)
    assert len(ids(asked, many)) == 20 * len(few)


def test_words_of_the_leather():
    assert colours_of("pale to khaki") == {"pale", "yellow"}
    assert colours_of("darker than sumac") == frozenset()
    assert colours_of("black-violet with iron") == frozenset()
    assert colours_of("pinkish to light brown, reddens in light") == {"red", "pale", "tan or brown"}
    assert "quick" not in characters_of("mellow, brightens dark tannages; sours quickly")
    assert "slow" not in characters_of("hard, heavy and slow to take water; blended as a rule")
    assert "firm" not in characters_of("very quick; alone light, without firmness or wear")
    for words, signs in ((COLOURS, "colours"), (CHARACTERS, "characters")):
        for word in words:
            assert any(word in getattr(row, signs) for row in catalogue()), word

"""Finding a material by what people write, and refusing with near matches."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.reference.materials import (
    PARTS,
    find,
    material,
    materials,
    near_matches,
    regions,
    search,
)


@pytest.mark.parametrize(
    ("text", "id"),
    [
        ("quercus-robur-bark", "quercus-robur-bark"),
        ("Quercus robur bark", "quercus-robur-bark"),
        ("  QUERCUS   ROBUR  BARK ", "quercus-robur-bark"),
        ("English oak", "quercus-robur-bark"),
        ("English oak bark", "quercus-robur-bark"),
        ("hemlock bark", "tsuga-canadensis-bark"),
        ("Sicilian sumac", "rhus-coriaria-leaf"),
        ("Quercus pedunculata bark", "quercus-robur-bark"),
        ("alder cones", "alnus-glutinosa-fruit"),
        ("divi-divi", "libidibia-coriaria-pod"),
        ("unknown-bark", "unknown-bark"),
        ("unknown leaf", "unknown-leaf"),
        ("some bark", "unknown-bark"),
        ("bark", "unknown-bark"),
        ("unknown twig-leaf", "unknown-twig-leaf"),
    ],
)
def test_find_understands_ids_scientific_and_common_names(text: str, id: str) -> None:
    assert find(text).id == id


@pytest.mark.parametrize("text", ["oak bark", "sumac", "willow", "Quercus robur", "larch"])
def test_a_name_that_fits_several_lists_the_candidates(text: str) -> None:
    with pytest.raises(UnknownMaterialError, match="fits .* materials; write one of") as caught:
        find(text)
    for word in caught.value.remedy.removeprefix("write one of: ").split(" and ")[0].split(", "):
        assert material(word).id == word


def test_the_best_proved_candidates_come_first() -> None:
    with pytest.raises(UnknownMaterialError) as caught:
        find("oak bark")
    assert "quercus-robur-bark" in caught.value.remedy
    order = ["industrial", "traditional", "tried", "content-only", "avoid"]
    found = [order.index(item.track_record) for item in search("oak", part="bark")]
    assert found == sorted(found)


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("quercus-robar-bark", "quercus-robur-bark"),
        ("Quercus robbur bark", "quercus-robur-bark"),
        ("hemlok bark", "tsuga-canadensis-bark"),
        ("sicillian sumac", "rhus-coriaria-leaf"),
    ],
)
def test_a_slip_gets_near_matches(text: str, near: str) -> None:
    with pytest.raises(UnknownMaterialError, match="did you mean") as caught:
        find(text)
    assert near in caught.value.remedy
    assert near in near_matches(text)


@pytest.mark.parametrize("text", ["white willow", "Salix alba", "weeping willow bark"])
def test_an_unlisted_plant_gets_its_kin_and_nothing_else(text: str) -> None:
    assert {material(id).genus for id in near_matches(text)[:3]} == {"Salix"}
    assert "abies-alba-bark" not in near_matches(text)


def test_every_region_of_the_table_can_be_asked_for() -> None:
    assert {name for item in materials() for name in item.regions} <= set(regions())
    assert all(search(region=name) for name in ("Europe", "Malesia"))


def test_one_word_that_fits_by_chance_is_not_taken() -> None:
    with pytest.raises(UnknownMaterialError):
        find("acorn")


def test_nonsense_gets_a_remedy() -> None:
    with pytest.raises(UnknownMaterialError, match="unknown-bark"):
        find("zzyzx qqq")
    with pytest.raises(InputError):
        material("zzyzx")


def test_every_material_is_found_by_its_id_and_by_scientific_name_with_part() -> None:
    for item in materials():
        assert find(item.id) is item
        assert find(f"{item.scientific_name} {item.part}").id == item.id


def test_every_part_has_an_unknown_material() -> None:
    for part in PARTS:
        item = material(f"unknown-{part}")
        assert item.part == part
        assert not item.known
        assert item.observations == ()
        assert item.name == f"unknown {part.replace('-', ' ')}"


def test_search_filters() -> None:
    assert all(item.part == "leaf" for item in search(part="leaf"))
    assert {item.genus for item in search("sumac", part="leaf")} >= {"Rhus"}
    assert all(item.tannin_class == "gallotannin" for item in search(tannin_class="gallotannin"))
    assert [item.id for item in search("hemlock", track_record="industrial")] == [
        "tsuga-canadensis-bark",
        "tsuga-heterophylla-bark",
    ]
    assert len(search()) == len(materials())
    assert search("oak", part="nut") == ()


def test_search_by_region_takes_continents_and_parts_of_names() -> None:
    europe = {item.id for item in search(region="Europe")}
    assert "quercus-robur-bark" in europe
    assert "persicaria-amphibia-leaf" in europe
    middle = {item.id for item in search(region="middle europe")}
    assert middle < europe | {"alnus-incana-bark"}
    assert "persicaria-amphibia-leaf" in middle
    assert "schinopsis-balansae-wood" not in europe


def test_published_range_holds_the_figures_used() -> None:
    oak = material("quercus-robur-bark")
    assert oak.published_range_pct == (4.0, 20.0)
    assert material("hamamelis-virginiana-leaf").published_range_pct == (None, None)
    assert material("bruguiera-gymnorhiza-bark").published_range_pct == (None, 35.0)
    pod = material("moullava-digyna-pod")
    assert pod.published_range_pct == (24.0, 24.0)
    assert len(pod.observations) == 3


def test_figures_read_as_words() -> None:
    figures = {row.id: row.figure for row in material("quercus-robur-bark").observations}
    assert figures["quercus-robur-bark.bennett1921.1"] == "13 %"
    assert figures["quercus-robur-bark.adcock.1"] == "8-14 %"
    assert figures["quercus-robur-bark.procter1903.1"] == "up to 14 %"
    cup = {row.figure for row in material("quercus-ithaburensis-cup").observations}
    assert "40 % or more" in cup


def test_names_say_the_part_once() -> None:
    assert material("tsuga-canadensis-bark").name == "eastern hemlock bark"
    assert material("alnus-glutinosa-fruit").name == "alder cones"
    assert material("rhus-glabra-leaf").name == "smooth sumac leaf"
    for item in materials():
        assert item.name.count("bark") <= 1, item.name

"""The ranking follows the purpose: place, skin, season, what was seen, weights and who asks."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.amounts import work_out
from tanwright.planning.choosing import PARTS, Near, Purpose, Ranked, Weights, rank
from tanwright.planning.choosing import amount as amounts
from tanwright.planning.choosing.facts import quality
from tanwright.planning.setting import settle
from tanwright.planning.sheet_reader import sheet_from_records
from tanwright.planning.trees import Trunk, tree_yield
from tanwright.planning.worlds import make_worlds
from tanwright.reference import materials, seasons
from tanwright.reference.lots import Lot
from tanwright.reference.world import place
from tanwright.science.belief.unknowns import draw

MAY = Purpose(place("Germany"), 51.0, date(2026, 5, 3), "bag", "goat", 2.3)


def by_id(found: tuple[Ranked, ...]) -> dict[str, Ranked]:
    return {each.material_id: each for each in found}


def test_it_is_sorted_by_the_weighted_mean_of_the_parts() -> None:
    found = rank(MAY)
    shares = MAY.weights.shares()
    assert len(found) > 30
    assert [each.score for each in found] == sorted((each.score for each in found), reverse=True)
    for each in found:
        assert tuple(each.parts) == PARTS
        assert all(0.0 <= value <= 1.0 for value in each.parts.values())
        assert each.score == pytest.approx(sum(shares[n] * each.parts[n] for n in PARTS))
        assert each.kg.p05 < each.kg.p50 < each.kg.p95
        assert each.sentence.endswith(".")
        assert each.sentence[0].isupper() or each.sentence[0].isdigit()


def test_only_plants_of_the_place_and_never_what_must_be_avoided() -> None:
    everywhere = by_id(rank(replace(MAY, place=place("world"))))
    here = by_id(rank(MAY))
    assert set(here) < set(everywhere)
    assert "acacia-mearnsii-bark" in everywhere
    assert "acacia-mearnsii-bark" not in here
    assert "quercus-robur-bark" in here
    for found in (everywhere, here, by_id(rank(replace(MAY, place=None)))):
        assert all(materials.material(id).may_be_suggested for id in found)


def test_what_was_seen_near_is_ranked_though_the_books_do_not_place_it_there() -> None:
    found = by_id(rank(replace(MAY, seen={"acacia-mearnsii-bark": Near(3.0, 2)}, reach_km=10.0)))
    assert found["acacia-mearnsii-bark"].near == Near(3.0, 2)
    assert "3 km away" in found["acacia-mearnsii-bark"].reasons["effort"]
    assert "not seen within reach" in found["quercus-robur-bark"].reasons["effort"]


@pytest.mark.parametrize(
    ("animal", "kg", "leather"),
    [
        ("goat", 2.3, "soft"),
        ("rabbit", 0.25, "soft"),
        ("deer", 10.0, "bag"),
        ("cattle", 28.0, "sole"),
    ],
)
def test_the_kilograms_are_those_of_the_engine(animal: str, kg: float, leather: str) -> None:
    """Against planning.amounts.work_out over 4000 worlds of a sheet with the same skins."""
    purpose = replace(MAY, place=None, animal=animal, skin_kg=kg, leather=leather)
    found = by_id(rank(purpose))
    beast = amounts.animals.animal(animal)
    count = max(round(kg / (beast.green_low_kg * beast.green_high_kg) ** 0.5), 1)
    skin = {"animal": animal, "weight": f"{kg / count} kg", "count": count}
    for id in ("quercus-robur-bark", "rhus-coriaria-leaf", "schinopsis-balansae-wood"):
        sheet = {"skin": [skin], "material": [{"id": id}], "aim": {"leather": leather}}
        setting = settle(sheet_from_records(sheet, today=date(2026, 5, 3)))
        z = draw(4000, setting.unknowns, np.random.default_rng(3))
        need = work_out(make_worlds(setting, z), setting).need_kg[:, 0]
        low, middle, high = np.percentile(need, (5.0, 50.0, 95.0))
        ours = found[id].kg
        assert ours.p50 == pytest.approx(middle, rel=0.05)
        assert ours.p05 == pytest.approx(low, rel=0.08)
        assert ours.p95 == pytest.approx(high, rel=0.12)


def test_the_kilograms_agree_with_what_a_tree_is_said_to_tan() -> None:
    """planning.trees reckons for a skin of any animal, so within a factor."""
    tree = tree_yield("quercus-robur-bark", Trunk(30.0), lot=Lot(), leather="bag")
    of_tree = tree.air_dry_kg.p50 / tree.skin_kg.p50
    ours = by_id(rank(MAY))["quercus-robur-bark"].kg.p50 / MAY.skin_kg
    assert 1.0 / 1.6 < ours / of_tree < 1.6


def test_twice_the_skin_takes_twice_the_bark() -> None:
    one, two = by_id(rank(MAY)), by_id(rank(replace(MAY, skin_kg=4.6)))
    for id in ("quercus-robur-bark", "alnus-glutinosa-fruit"):
        assert two[id].kg.p50 == pytest.approx(2.0 * one[id].kg.p50, rel=0.03)
        assert two[id].parts["amount"] == pytest.approx(one[id].parts["amount"], abs=0.01)


def test_a_beginner_sees_the_proven_ones_first_and_is_told_so() -> None:
    found = rank(replace(MAY, beginner=True))
    proven = [each.proven for each in found]
    assert proven == sorted(proven, reverse=True)
    assert not all(proven)
    for each in found:
        assert each.sentence.startswith("Not proven, so it stands after the proven ones") != (
            each.proven
        )
    assert {each.material_id for each in found} == {each.material_id for each in rank(MAY)}


def test_the_season_counts_and_is_told() -> None:
    may = by_id(rank(MAY))["quercus-robur-bark"]
    november = by_id(rank(replace(MAY, day=date(2026, 11, 20))))["quercus-robur-bark"]
    march = by_id(rank(replace(MAY, day=date(2026, 3, 31))))["quercus-robur-bark"]
    assert may.parts["effort"] > march.parts["effort"] > november.parts["effort"]
    assert may.season_words.startswith("now")
    assert november.season_words.startswith("not the best time")
    july = by_id(rank(replace(MAY, day=date(2026, 7, 30))))["quercus-robur-bark"]
    assert july.season_words.startswith("not now")
    assert july.parts["effort"] < november.parts["effort"]
    assert march.season_words.startswith("in ")


def test_the_height_of_the_place_moves_the_season_as_the_calendar_has_it() -> None:
    """Against reference.seasons at 280 m (Hopkins's law)."""
    march = replace(MAY, day=date(2026, 3, 31))
    up = by_id(rank(replace(march, altitude_m=280.0)))["quercus-robur-bark"]
    windows = seasons.windows_for("quercus-robur-bark", latitude=51.0, altitude_m=280.0, year=2026)
    best = next(window for window in windows if window.best)
    assert f"{best.what} {best.days}" in up.season_words
    assert by_id(rank(march))["quercus-robur-bark"].season_words != up.season_words
    day_before = replace(MAY, day=best.start - timedelta(days=1), altitude_m=280.0)
    assert not by_id(rank(day_before))["quercus-robur-bark"].season_words.startswith("now")
    first_day = replace(day_before, day=best.start)
    assert by_id(rank(first_day))["quercus-robur-bark"].season_words.startswith("now")


def test_the_south_has_its_spring_in_october() -> None:
    south = replace(MAY, place=None, latitude=-38.0)
    october = by_id(rank(replace(south, day=date(2026, 10, 20))))["quercus-robur-bark"]
    assert october.season_words.startswith("now")
    assert not by_id(rank(south))["quercus-robur-bark"].season_words.startswith("now")


def test_farther_away_is_more_effort_and_beyond_the_reach_most() -> None:
    efforts = [
        by_id(rank(replace(MAY, reach_km=20.0, seen={"quercus-robur-bark": Near(km, 1)})))[
            "quercus-robur-bark"
        ].parts["effort"]
        for km in (0.0, 5.0, 20.0, 25.0)
    ]
    assert efforts == sorted(efforts, reverse=True)
    assert efforts[2] == pytest.approx(0.5 * efforts[0])
    assert len(set(efforts)) == 4


def test_weights_move_the_order_and_a_weight_of_nought_counts_nothing() -> None:
    harmless = rank(replace(MAY, weights=Weights(0, 0, 0, 10, 0)))
    assert harmless[0].parts["source"] == 1.0
    assert harmless[0].score == harmless[0].parts["source"]
    light = rank(replace(MAY, weights=Weights(0, 10, 0, 0, 0)))
    assert [each.kg.p50 for each in light] == sorted(each.kg.p50 for each in light)
    assert all(each.reasons["effort"] not in each.sentence for each in light)


def test_the_class_fits_the_leather() -> None:
    """Pyrogallol tannins make pale soft leather and do alone; heavy leather wants a blend (adcock,
    classification of tanning materials)."""
    soft = by_id(rank(replace(MAY, place=None, leather="soft")))
    sole = by_id(rank(replace(MAY, place=None, leather="sole", animal="cattle", skin_kg=25.0)))
    for id, better in (("rhus-coriaria-leaf", soft), ("tsuga-canadensis-bark", sole)):
        other = sole if better is soft else soft
        assert better[id].parts["quality"] > other[id].parts["quality"]


def test_warnings_of_poison_look_alikes_and_kin() -> None:
    found = by_id(rank(replace(MAY, place=None)))
    glabra = " ".join(found["rhus-glabra-leaf"].warnings)
    assert "poison sumac" in glabra.lower()
    chestnut = " ".join(found["castanea-sativa-bark"].warnings)
    assert "Castanea dentata" in chestnut
    wattle = " ".join(found["acacia-mearnsii-bark"].warnings)
    assert "Acacia confusa" in wattle
    assert "CITES" in " ".join(found["rhizophora-mucronata-bark"].warnings)
    assert found["alnus-glutinosa-fruit"].warnings == ()


def test_a_figure_from_memory_is_weaker_evidence_than_one_that_was_read() -> None:
    found = by_id(rank(replace(MAY, place=None)))
    evidence = {id: each.parts["evidence"] for id, each in found.items()}
    assert evidence["quercus-robur-bark"] > 0.85
    assert evidence["quercus-robur-bark"] > evidence["larix-decidua-bark"]
    none = [id for id in evidence if not materials.material(id).observations]
    assert max(evidence[id] for id in none) < 0.35


def test_materials_of_ones_own_and_none_at_all() -> None:
    own = replace(
        materials.material("quercus-robur-bark"), id="my-oak-bark", common_names=("my oak",)
    )
    found = rank(MAY, materials=[own])
    assert [each.material_id for each in found] == ["my-oak-bark"]
    assert found[0].kg.p95 / found[0].kg.p05 > 4.0
    assert rank(MAY, materials=[]) == ()
    assert rank(MAY, materials=[materials.material("coriaria-myrtifolia-leaf")]) == ()


def test_a_thousand_materials_are_ranked() -> None:
    made = [
        replace(item, id=f"{item.id}-{copy}" if copy else item.id)
        for copy in range(3)
        for item in materials.materials()
    ][:1000]
    found = rank(replace(MAY, place=None), materials=made)
    assert len(found) == sum(item.may_be_suggested for item in made) > 950


def test_us_units_in_words() -> None:
    found = by_id(rank(MAY, system="us"))["quercus-robur-bark"]
    assert " lb" in found.skins_words
    assert "kg" not in found.skins_words + found.sentence


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"leather": "silk"}, "silk"),
        ({"animal": "dragon"}, "dragon"),
        ({"skin_kg": 0.0}, "0 kg"),
        ({"skin_kg": float("nan")}, "nan"),
        ({"skin_kg": 0.1}, "100 g is not the weight of one green goat skin"),
        ({"latitude": 91.0}, "91"),
        ({"reach_km": -1.0}, "-1"),
        ({"day": date(1492, 1, 1)}, "1492"),
    ],
)
def test_a_purpose_that_cannot_be_is_refused(wrong: dict[str, object], told: str) -> None:
    with pytest.raises(InputError, match=told):
        replace(MAY, **wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize("weights", [(-1, 2, 2, 2, 2), (11, 1, 1, 1, 1), (0, 0, 0, 0, 0)])
def test_weights_that_cannot_be_are_refused(weights: tuple[float, ...]) -> None:
    with pytest.raises(InputError):
        Weights(*weights)


@settings(max_examples=12, deadline=None)
@given(
    kg=st.floats(1.0, 300.0),
    leather=st.sampled_from(["soft", "bag", "firm", "sole"]),
    day=st.dates(date(2020, 1, 1), date(2030, 12, 31)),
    latitude=st.none() | st.floats(-90.0, 90.0),
)
def test_every_purpose_is_ranked(
    kg: float, leather: str, day: date, latitude: float | None
) -> None:
    found = rank(replace(MAY, skin_kg=kg, leather=leather, day=day, latitude=latitude))
    assert found
    assert all(np.isfinite([each.score, each.kg.p05, each.kg.p95]).all() for each in found)


def test_without_a_latitude_a_place_of_the_south_has_its_own_seasons() -> None:
    there = Purpose(place("New Zealand"), None, date(2026, 11, 28), "soft", "goat", 2.3)
    pine = by_id(rank(there))["pinus-radiata-bark"]
    assert pine.season_words.startswith("now: ")
    assert "November" in pine.season_words
    with_latitude = by_id(rank(replace(there, latitude=-50.0)))["pinus-radiata-bark"]
    assert pine.parts["effort"] == with_latitude.parts["effort"]


def test_without_a_latitude_a_place_between_the_tropics_has_no_days() -> None:
    here = Purpose(place("Kenya"), None, date(2026, 11, 28), "soft", "goat", 2.3)
    assert not any(re.search(r"about \d+ [A-Z]", each.season_words) for each in rank(here))
    india = by_id(rank(replace(here, place=place("India"))))
    assert "May" in india["quercus-leucotrichophora-bark"].season_words


def test_what_is_denied_of_a_leather_does_not_count_for_it() -> None:
    """Hemlock leather is "less pliable than oak", quebracho's "without firmness", and what smells
    strong is not firm."""
    hemlock = materials.material("tsuga-canadensis-bark")
    assert quality(hemlock, "soft") == pytest.approx(1.0 * 0.8 * 0.8)
    quebracho = materials.material("schinopsis-lorentzii-wood")
    assert quality(quebracho, "sole") == pytest.approx(1.0 * 0.95 * 0.9 * 0.8)
    willow = materials.material("salix-fragilis-bark")
    assert quality(willow, "sole") < quality(replace(willow, leather_character=""), "sole")

"""The ranking's page: asked in the address, answered at once, wrong answers told beside them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.planning.choosing import PARTS, Purpose, Weights, rank
from tanwright.reference import materials, world
from tanwright.yard.people.models import Person
from tanwright.yard.plants.choosing_forms import WEIGHTS, PurposeForm
from tanwright.yard.plants.models import HomePlace

CHOOSE = "/plants/choose/"
ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db


def page_of(client: Client, **asked: object) -> tuple[str, Any]:
    answer = client.get(CHOOSE, asked)
    assert answer.status_code == 200
    assert len(answer.content) <= 150_000
    return answer.content.decode(), answer.context


def test_a_first_visit_gives_an_answer(client_of: ClientOf, helper: Person):
    text, shown = page_of(client_of(helper))
    assert "Best for it" in text
    assert shown["purpose"].beginner
    assert shown["purpose"].animal == "goat"
    assert shown["purpose"].skin_kg == 2.5
    assert len(shown["answers"]) == 10
    assert "Without a place" in text
    assert "What counts: good leather 4" in text


def test_the_ranking_is_the_engines(client_of: ClientOf, helper: Person):
    asked = {"place": "Germany", "animal": "deer", "skin_kg": "3 kg", "day": "2027-05-10",
             "leather": "bag", "quality": 9, "amount": 0}  # fmt: skip
    text, shown = page_of(client_of(helper), **asked)
    purpose = shown["purpose"]
    assert isinstance(purpose, Purpose)
    assert purpose.place == world.place("Germany")
    assert (purpose.skin_kg, purpose.leather, purpose.beginner) == (3.0, "bag", False)
    assert purpose.weights == Weights(quality=9.0, amount=0.0)
    expected = [each.material_id for each in rank(purpose)][:10]
    assert [each.ranked.material_id for each in shown["answers"]] == expected
    for id in expected:
        assert f'href="/plants/{id}/"' in text
    assert [each.place for each in shown["answers"]] == list(range(1, 11))
    second, more = page_of(client_of(helper), page=2, **asked)
    assert more["answers"][0].place == 11
    assert "Best for it" not in second


def test_nothing_that_should_be_left_alone_is_ranked(client_of: ClientOf, helper: Person):
    client = client_of(helper)
    for number in range(1, 36, 7):
        for each in page_of(client, page=number)[1]["answers"]:
            assert materials.material(each.ranked.material_id).may_be_suggested


def test_the_weights_have_a_box_for_every_part():
    assert tuple(WEIGHTS) == PARTS


def test_the_yards_place_is_taken(client_of: ClientOf, keeper: Person):
    HomePlace.objects.create(
        place_code="SE", latitude=60.0, longitude=15.0, reach_km=12.0, by=keeper
    )
    shown = page_of(client_of(keeper))[1]
    assert shown["purpose"].place == world.place("Sweden")
    assert shown["purpose"].latitude == 60.0
    assert shown["purpose"].reach_km == 12.0
    away = page_of(client_of(keeper), place="Spain")[1]
    assert away["purpose"].latitude is None


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("place", "Narnia", "No country or region is called"),
        ("day", "yesterdayish", "Enter a valid date"),
        ("animal", "unicorn", "There is no “unicorn”"),
        ("skin_kg", "three skins", "skin_kg"),
        ("skin_kg", "9000 kg", "cannot be right"),
        ("quality", "x", "Write a whole number from 0 to 10."),
        ("quality", "11", "Write a whole number from 0 to 10."),
        ("latitude", "120", "Write degrees from -90 (south) to 90 (north)."),
        ("reach", "far", "reach"),
    ],
)
def test_what_is_wrong_is_told(
    client_of: ClientOf, helper: Person, field: str, value: str, said: str
):
    text, shown = page_of(client_of(helper), **{field: value})
    assert "Please look at this again" in text
    assert said in text
    assert field in shown["form"].errors
    assert not shown["answers"]


def test_five_noughts_are_refused(client_of: ClientOf, helper: Person):
    text, _ = page_of(client_of(helper), **dict.fromkeys(WEIGHTS, 0))
    assert "All weights are nought" in text


def test_amounts_are_in_the_readers_units(client_of: ClientOf, helper: Person):
    helper.system = "us"
    helper.save()
    text, shown = page_of(client_of(helper), skin_kg="5")
    assert shown["purpose"].skin_kg == pytest.approx(5 * 0.45359237)
    assert " kg" not in text.split("<main", 1)[1].split("Show kg", 1)[0]


def test_the_first_four_may_be_compared(client_of: ClientOf, helper: Person):
    client = client_of(helper)
    _, shown = page_of(client, place="Germany")
    first = [each.name for each in shown["answers"][:4]]
    compared = client.get(shown["compare"]).context["page"]
    assert [plant.name for plant in compared.plants] == first
    assert not compared.problems


WORDS = st.text(max_size=20) | st.sampled_from(["5", "-1", "Germany", "goat", "2026-05-01", "1e99"])


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.dictionaries(st.sampled_from([*PurposeForm.base_fields, *WEIGHTS, "page"]), WORDS))
def test_any_query_gives_a_page(client_of: ClientOf, helper: Person, asked: dict[str, str]):
    assert client_of(helper).get(f"{CHOOSE}?{urlencode(asked)}").status_code == 200


@pytest.mark.parametrize(("place", "metres"), [("Germany", 280.0), ("France", 0.0)])
def test_the_height_of_the_home_counts_for_the_home_alone(
    client_of: ClientOf, helper: Person, place: str, metres: float
):
    HomePlace.objects.create(
        place_code=world.place("Germany").code, latitude=51.2, longitude=9.4, altitude_m=280.0,
        by=helper,
    )  # fmt: skip
    _, shown = page_of(client_of(helper), place=place)
    assert shown["purpose"].altitude_m == metres

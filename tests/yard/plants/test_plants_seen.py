"""Sightings near the yard reach the page of a plant and the ranking."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.utils import timezone

from tanwright.yard.people.models import Person
from tanwright.yard.plants.models import HomePlace, Sighting, SightingsImport
from tanwright.yard.plants.seen import near_by_material, seen_by_material

OAK = "quercus-robur-bark"
ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db


@pytest.fixture
def home(keeper: Person) -> HomePlace:
    return HomePlace.objects.create(
        place_code="DE", latitude=51.2, longitude=9.4, reach_km=20.0, by=keeper
    )


def take_in(keeper: Person, taxon: str, latitude: float, count: int) -> SightingsImport:
    done = SightingsImport.objects.create(
        file_name=f"{taxon}.csv", sha256="0" * 64, state="done", ended_at=timezone.now(), by=keeper
    )
    Sighting.objects.create(
        source=done, taxon=taxon, latitude=latitude, longitude=9.4, month=6, count=count,
        latest=date(2025, 6, 3),
    )  # fmt: skip
    return done


def test_without_a_place_or_a_record_nothing_is_said(keeper: Person):
    assert seen_by_material(None) == {}
    assert near_by_material(HomePlace(place_code="DE", by=keeper)) == {}


def test_a_new_import_and_its_withdrawal_are_seen_at_once(
    home: HomePlace, keeper: Person, client_of: ClientOf
):
    assert OAK not in seen_by_material(home)
    first = take_in(keeper, "Quercus robur", 51.25, 12)
    assert near_by_material(home)[OAK].count == 12
    take_in(keeper, "Quercus robur", 52.9, 5)
    assert near_by_material(home)[OAK].count == 12, "beyond reach"
    page = client_of(keeper).get(f"/plants/{OAK}/").content.decode()
    assert "Seen 12 times within 20 km of the yard, nearest about 5.6 km off" in page
    assert "last in June 2025" in page
    first.state = SightingsImport.State.WITHDRAWN
    first.save()
    assert OAK not in seen_by_material(home)
    assert "Seen 12 times" not in client_of(keeper).get(f"/plants/{OAK}/").content.decode()


def test_seen_plants_are_ranked_with_their_distance(
    home: HomePlace, keeper: Person, client_of: ClientOf
):
    take_in(keeper, "Quercus robur", 51.25, 12)
    answers = client_of(keeper).get("/plants/choose/").context["answers"]
    oak = next(each for each in answers if each.ranked.material_id == OAK)
    assert oak.ranked.near is not None
    assert oak.ranked.near.count == 12

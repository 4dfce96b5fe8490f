"""What is due among all skins."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from tanwright.yard.journal import services as journal
from tanwright.yard.people.models import Person
from tanwright.yard.skins import services
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.queries import due

pytestmark = pytest.mark.django_db


@pytest.fixture
def now() -> datetime:
    return timezone.now()


def test_a_salted_skin_asks_for_nothing(skin: Skin, now: datetime) -> None:
    assert due(now) == []
    (found,) = due(now + timedelta(days=200))
    assert "Use Skin 1 before it loses" in found.headline
    assert found.weight < 0.5


@pytest.mark.parametrize(("hours", "late"), [(1, False), (30, True)])
def test_a_fresh_skin_is_urgent(keeper: Person, now: datetime, hours: int, late: bool) -> None:
    services.new_skin(keeper, "goat", keeping="fresh", happened_at=now - timedelta(hours=hours))
    (found,) = due(now)
    assert found.late is late
    assert found.weight >= 0.9
    assert found.headline.startswith("Salt or freeze")


def test_a_frozen_skin_does_not_rot(keeper: Person, now: datetime) -> None:
    services.new_skin(
        keeper, "goat", keeping="frozen", taken_on=timezone.localdate() - timedelta(days=40)
    )
    assert due(now) == []


def test_a_running_stage_is_looked_at_in_time(keeper: Person, skin: Skin, now: datetime) -> None:
    services.begin_stage(skin, "soak-salted", 15.0, keeper, happened_at=now)
    for hours, late, weight in ((0, False, 0.3), (30, False, 0.7), (60, True, 0.95)):
        (found,) = due(now + timedelta(hours=hours))
        assert (found.late, found.weight) == (late, weight)
        assert found.at == skin.step_since + timedelta(hours=24)
    assert found.url == skin.get_absolute_url()


def test_warmth_brings_the_look_forward(keeper: Person, skin: Skin, now: datetime) -> None:
    looks = []
    for temperature_c in (10.0, 20.0):
        services.begin_stage(skin, "unhair-lime", temperature_c, keeper, happened_at=now)
        looks.append(due(now)[0].at)
    assert looks[1] < looks[0]


def test_a_wet_skin_between_stages_does_not_wait(keeper: Person, skin: Skin, now: datetime) -> None:
    services.end_stage(skin, "soak-salted", "done", keeper, happened_at=now - timedelta(hours=30))
    (found,) = due(now)
    assert found.late
    assert "flesh" in found.headline


def test_a_ready_skin_wants_the_vat(keeper: Person, skin: Skin, now: datetime) -> None:
    services.end_stage(skin, "last-check", "done", keeper, happened_at=now)
    assert "in the vat" in due(now)[0].headline


def test_withdrawn_skins_and_those_in_vats_ask_for_nothing(
    keeper: Person, skin: Skin, now: datetime
) -> None:
    services.begin_stage(skin, "soak-salted", 15.0, keeper)
    journal.withdraw_record(skin, keeper)
    assert due(now) == []
    journal.restore_record(skin, keeper)
    Skin.objects.update(stage="vat")
    assert due(now) == []


def test_one_query_for_many(
    keeper: Person, now: datetime, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(20):
        services.new_skin(keeper, "goat", keeping="fresh")
    with django_assert_num_queries(1):
        assert len(due(now)) == 20

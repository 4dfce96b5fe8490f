"""Units at any time from any page, one's own password, the calendar's address."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tanwright.yard.people import pairing
from tanwright.yard.people.models import Person

BOTH = pytest.mark.parametrize("who", ["keeper", "helper"])


@BOTH
def test_units_change_at_once_and_lead_back(
    who: str, request: pytest.FixtureRequest, signed_in: Callable[[Person], Client]
) -> None:
    person: Person = request.getfixturevalue(who)
    client = signed_in(person)
    back = "/?page=2"
    answer = client.post(reverse("people:units"), {"units": "us", "next": back})
    assert answer.url == back
    person.refresh_from_db()
    assert person.system == "us"
    assert client.get(reverse("people:me")).context["system"] == "us"


def test_units_lead_to_no_other_site(keeper: Person, signed_in: Callable[[Person], Client]) -> None:
    answer = signed_in(keeper).post(
        reverse("people:units"), {"units": "us", "next": "//evil.example"}
    )
    assert answer.url == reverse("people:me")


def test_unknown_units_are_refused(helper: Person, signed_in: Callable[[Person], Client]) -> None:
    answer = signed_in(helper).post(reverse("people:units"), {"units": "roman"})
    assert "Select a valid choice" in answer.content.decode()
    helper.refresh_from_db()
    assert helper.system == "metric"


@BOTH
def test_ones_own_password_keeps_this_browser_and_ends_the_others(
    who: str, request: pytest.FixtureRequest, signed_in: Callable[[Person], Client]
) -> None:
    person: Person = request.getfixturevalue(who)
    here, there = signed_in(person), signed_in(person)
    answer = here.post(reverse("people:my-password"), {"password": "sumac by the road"})
    assert answer.url == reverse("people:me")
    assert here.get(reverse("people:me")).status_code == 200
    assert there.get(reverse("people:me")).status_code == 302
    later = signed_in(person, "sumac by the road")
    later.post(reverse("people:revoke", args=[person.devices.order_by("created_at")[0].pk]))
    assert here.get(reverse("people:me")).status_code == 302


def test_a_weak_password_is_told_beside_the_field(
    helper: Person, signed_in: Callable[[Person], Client]
) -> None:
    page = signed_in(helper).post(reverse("people:my-password"), {"password": "Helper in the yard"})
    assert "too similar" in page.content.decode()


def test_another_calendar_address_closes_the_old(
    helper: Person, signed_in: Callable[[Person], Client]
) -> None:
    before = helper.calendar_token
    signed_in(helper).post(reverse("people:calendar"))
    helper.refresh_from_db()
    assert helper.calendar_token != before


@pytest.mark.parametrize("name", ["units", "my-password", "calendar", "pair-mine"])
def test_a_stranger_changes_nothing(name: str, helper: Person) -> None:
    assert Client().post(reverse(f"people:{name}")).url.startswith("/people/sign-in/")


def test_phones_see_their_own_devices_only(keeper: Person, helper: Person) -> None:
    for person, name in ((keeper, "keeper's phone"), (helper, "helper's phone")):
        phone = Client()
        phone.post(reverse("people:pair", args=[pairing.make_code(person)]), {"name": name})
    names = [device.name for device in phone.get(reverse("people:me")).context["devices"]]
    assert names == ["helper's phone"]

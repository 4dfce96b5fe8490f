"""Pairing: a code that works once, within ten minutes, for the person it was shown to."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.people import devices, pairing
from tanwright.yard.people.models import Device, PairingCode, Person

PAGE = re.compile(r"http://testserver(/people/pair/[\w-]+/)")


def shown(client: Client, url: str) -> str:
    """The path that the phone opens from the page that shows the code."""
    answer = client.post(url)
    assert answer.status_code == 200
    assert "no-store" in answer["Cache-Control"]
    page = answer.content.decode()
    assert "<svg" in page
    assert "style=" not in page.partition("<main")[2]
    found = PAGE.search(page)
    assert found is not None
    return found.group(1)


@pytest.mark.parametrize("who", ["keeper", "helper"])
def test_a_phone_is_signed_in_as_the_person_and_stays(
    who: str, request: pytest.FixtureRequest, signed_in: Callable[[Person], Client]
) -> None:
    person: Person = request.getfixturevalue(who)
    path = shown(signed_in(person), reverse("people:pair-mine"))
    phone = Client()
    assert f"signed in as <strong>{person}</strong>" in phone.get(path).content.decode()
    assert phone.post(path, {"name": "phone in the shed"}).url == "/"
    page = phone.get("/people/me/")
    assert page.context["request"].device.name == "phone in the shed"
    assert page.context["request"].user == person
    assert phone.session.get_expiry_age() > devices.PAIRED_SECONDS - 60


def test_a_keeper_shows_a_code_for_a_helper_without_a_password(
    keeper: Person, signed_in: Callable[[Person], Client]
) -> None:
    someone = Person.objects.create_user("Paired only")
    path = shown(signed_in(keeper), reverse("people:show-code", args=[someone.pk]))
    phone = Client()
    phone.post(path, {"name": "phone"})
    assert phone.get("/people/me/").context["person"] == someone


def test_a_helper_cannot_have_a_code_for_somebody_else(
    keeper: Person, helper: Person, signed_in: Callable[[Person], Client]
) -> None:
    answer = signed_in(helper).post(reverse("people:show-code", args=[keeper.pk]))
    assert answer.status_code == 403
    assert not PairingCode.objects.exists()


def test_a_stranger_gets_no_code(keeper: Person) -> None:
    for url in (reverse("people:pair-mine"), reverse("people:show-code", args=[keeper.pk])):
        assert Client().post(url).url.startswith("/people/sign-in/")
    assert not PairingCode.objects.exists()


def test_a_code_used_twice_is_refused(helper: Person) -> None:
    path = reverse("people:pair", args=[pairing.make_code(helper)])
    assert Client().post(path, {"name": "first"}).status_code == 302
    second = Client()
    answer = second.post(path, {"name": "second"})
    assert answer.status_code == 410
    assert "This code has been used" in answer.content.decode()
    assert second.get("/people/me/").status_code == 302
    assert [device.name for device in Device.objects.all()] == ["first"]


def test_looking_at_it_uses_nothing_up(helper: Person) -> None:
    path = reverse("people:pair", args=[pairing.make_code(helper)])
    for _ in range(3):
        assert Client().get(path).status_code == 200
    assert Client().post(path, {"name": "phone"}).status_code == 302


def test_after_ten_minutes_it_is_refused(helper: Person) -> None:
    path = reverse("people:pair", args=[pairing.make_code(helper)])
    kept = PairingCode.objects.get()
    assert kept.expires_at - kept.made_at == timedelta(minutes=10)
    PairingCode.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    answer = Client().post(path, {"name": "phone"})
    assert answer.status_code == 410
    assert "This code is too old" in answer.content.decode()
    assert not Device.objects.exists()


def test_the_next_code_ends_the_one_before(helper: Person) -> None:
    first, second = pairing.make_code(helper), pairing.make_code(helper)
    assert Client().get(reverse("people:pair", args=[first])).status_code == 410
    assert Client().get(reverse("people:pair", args=[second])).status_code == 200


def test_only_its_hash_is_kept(helper: Person) -> None:
    code = pairing.make_code(helper)
    assert code not in str(PairingCode.objects.values().get())


def test_somebody_who_was_stopped_cannot_pair(helper: Person) -> None:
    code = pairing.make_code(helper)
    Person.objects.filter(pk=helper.pk).update(is_active=False)
    assert Client().post(reverse("people:pair", args=[code]), {"name": "x"}).status_code == 410


@pytest.mark.parametrize("code", ["x", "0" * 500, "ünïcode", "%00"])
def test_a_guessed_code_opens_nothing(code: str, db: None) -> None:
    assert Client().post(reverse("people:pair", args=[code]), {"name": "x"}).status_code == 410


def test_a_device_without_a_name_is_asked_again_and_the_code_lives_on(helper: Person) -> None:
    path = reverse("people:pair", args=[pairing.make_code(helper)])
    assert Client().post(path, {"name": "  "}).status_code == 200
    assert Client().post(path, {"name": "phone"}).status_code == 302

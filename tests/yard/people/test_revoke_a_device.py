"""A revoked device is out with its very next request; the others stay."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.people import pairing
from tanwright.yard.people.models import Device, Person


def paired(person: Person, name: str = "phone") -> tuple[Client, Device]:
    phone = Client()
    phone.post(reverse("people:pair", args=[pairing.make_code(person)]), {"name": name})
    return phone, Device.objects.get(name=name)


def is_in(client: Client) -> bool:
    return client.get(reverse("people:me")).status_code == 200


def test_ones_own_lost_phone(helper: Person, signed_in: Callable[[Person], Client]) -> None:
    phone, device = paired(helper)
    laptop = signed_in(helper)
    assert is_in(phone)
    assert laptop.post(reverse("people:revoke", args=[device.pk])).url == reverse("people:me")
    assert not is_in(phone)
    assert is_in(laptop)
    page = laptop.get(reverse("people:me")).content.decode()
    assert "Sign phone out" not in page


def test_a_keeper_revokes_anybodys(
    keeper: Person, helper: Person, signed_in: Callable[[Person], Client]
) -> None:
    phone, device = paired(helper)
    answer = signed_in(keeper).post(reverse("people:revoke", args=[device.pk]))
    assert answer.url == reverse("people:person", args=[helper.pk])
    assert not is_in(phone)


def test_a_helper_cannot_revoke_the_keepers(
    keeper: Person, helper: Person, signed_in: Callable[[Person], Client]
) -> None:
    phone, device = paired(keeper)
    assert signed_in(helper).post(reverse("people:revoke", args=[device.pk])).status_code == 403
    assert is_in(phone)


def test_a_stranger_cannot_revoke(keeper: Person) -> None:
    phone, device = paired(keeper)
    assert Client().post(reverse("people:revoke", args=[device.pk])).status_code == 302
    assert is_in(phone)


def test_a_session_that_outlived_its_row_is_ended_by_the_mark_alone(helper: Person) -> None:
    phone, device = paired(helper)
    Device.objects.filter(pk=device.pk).update(revoked_at=timezone.now())
    assert not is_in(phone)


@pytest.mark.parametrize(("ago", "written"), [(30, False), (90, True)])
def test_last_seen_is_written_at_most_once_a_minute(
    ago: int, written: bool, helper: Person
) -> None:
    phone, device = paired(helper)
    before = timezone.now() - timedelta(seconds=ago)
    Device.objects.filter(pk=device.pk).update(seen_at=before)
    assert is_in(phone)
    device.refresh_from_db()
    assert (device.seen_at != before) is written

"""Who gets the link that the terminal prints when the yard opens to the network."""

from __future__ import annotations

from django.test import Client
from django.urls import reverse

from tanwright.yard.people import devices, pairing
from tanwright.yard.people.local import keeper_locked_out, keeper_of_this_machine
from tanwright.yard.people.models import Person


def test_in_a_new_yard_the_keeper_of_the_machine(db: None) -> None:
    assert keeper_locked_out() == Person.objects.get(role="keeper")


def test_and_still_after_days_without_a_network(db: None) -> None:
    keeper = keeper_of_this_machine()
    assert not keeper.has_usable_password()
    assert keeper_locked_out() == keeper


def test_not_a_keeper_who_has_a_password(keeper: Person) -> None:
    assert keeper_locked_out() is None


def test_nor_one_with_a_paired_device_until_it_is_revoked(db: None) -> None:
    keeper = keeper_of_this_machine()
    phone = Client()
    phone.post(reverse("people:pair", args=[pairing.make_code(keeper)]), {"name": "phone"})
    assert keeper_locked_out() is None
    devices.revoke_all(keeper)
    assert keeper_locked_out() == keeper


def test_a_helpers_password_does_not_count(helper: Person) -> None:
    assert keeper_locked_out() == keeper_of_this_machine()

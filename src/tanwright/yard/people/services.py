"""What a keeper does with people, and each person with their own account."""

from __future__ import annotations

import uuid

from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest

from tanwright.errors import InputError
from tanwright.yard.people import devices
from tanwright.yard.people.models import PairingCode, Person
from tanwright.yard.people.queries import name_as_kept


@transaction.atomic
def add_person(name: str, role: str, password: str = "") -> Person:
    """A new person; without a password they come in by a paired phone only.

    Raises InputError when the name is taken (capitals make no difference) or the password is weak.
    """
    name = " ".join(name.split())
    if name_as_kept(name) is not None:
        raise InputError(
            f'there is already somebody called "{name}"', place="name", remedy="add a letter"
        )
    _check_password(password, Person(name=name, role=role))
    return Person.objects.create_user(name, password or None, role)


@transaction.atomic
def set_role(person: Person, role: str) -> None:
    """Make ``person`` keeper or helper. Raises InputError for the last keeper."""
    if role != Person.Role.KEEPER:
        _keep_one_keeper(person)
    person.role = role
    person.save(update_fields=["role"])


@transaction.atomic
def deactivate(person: Person) -> None:
    """``person`` may come in no more; what they noted stays under their name.

    Raises InputError for the last keeper.
    """
    _keep_one_keeper(person)
    person.is_active = False
    person.save(update_fields=["is_active"])
    PairingCode.objects.filter(person=person, used_at=None).delete()
    devices.revoke_all(person)


def reactivate(person: Person) -> None:
    """``person`` may come in again, by a password or by pairing anew."""
    person.is_active = True
    person.save(update_fields=["is_active"])


@transaction.atomic
def reset_password(person: Person, password: str) -> None:
    """A new password given by a keeper; every device of ``person`` is signed out.

    Raises InputError for a weak one.
    """
    _check_password(password, person)
    person.set_password(password)
    person.save(update_fields=["password"])
    devices.revoke_all(person)


@transaction.atomic
def choose_password(request: HttpRequest, person: Person, password: str) -> None:
    """One's own new password: this browser stays signed in, every other one is signed out.

    Raises InputError for a weak one.
    """
    _check_password(password, person)
    person.set_password(password)
    person.save(update_fields=["password"])
    here = devices.device_of(request)
    for device in person.devices.filter(revoked_at=None).exclude(
        pk=here.pk if here else uuid.UUID(int=0)
    ):
        devices.revoke(device)
    if request.session.get("_auth_user_id"):
        update_session_auth_hash(request, person)
        if here is not None:
            devices.keep_session_of(request, here)


def choose_units(person: Person, system: str) -> None:
    """Which units ``person`` reads from now on: ``"metric"`` or ``"us"``."""
    person.system = system
    person.save(update_fields=["system"])


def new_calendar_address(person: Person) -> None:
    """Close the old calendar address and open another."""
    person.calendar_token = uuid.uuid4()
    person.save(update_fields=["calendar_token"])


def _check_password(password: str, person: Person) -> None:
    if not password:
        return
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise InputError(
            " ".join(error.messages).removesuffix("."),
            place="password",
            remedy="three or four plain words make a good one",
        ) from None


def _keep_one_keeper(person: Person) -> None:
    others = Person.objects.filter(role=Person.Role.KEEPER, is_active=True).exclude(pk=person.pk)
    if person.is_keeper and person.is_active and not others.exists():
        raise InputError(
            "this is the last keeper; without one nobody could open the yard",
            remedy="make somebody else a keeper first",
        )

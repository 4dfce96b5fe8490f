"""Pairing a phone: a code that is shown once, works once, and dies after ten minutes."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta
from typing import Final

from django.db import transaction
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.people.models import Device, PairingCode, Person

MINUTES: Final = 10
_REMEDY: Final = "ask for a new code on the laptop, under You and units"


class PairingError(InputError):
    """A code that opens nothing: unknown, used before, too old, or of somebody who left."""


def make_code(person: Person, *, minutes: int = MINUTES) -> str:
    """A new code that pairs one device with ``person``; only its hash is kept.

    Earlier codes of that person that nobody used end here, so a picture left on a screen is dead
    as soon as the next one is shown.
    """
    code = secrets.token_urlsafe(24)
    now = timezone.now()
    with transaction.atomic():
        PairingCode.objects.filter(person=person, used_at=None).delete()
        PairingCode.objects.create(
            code_hash=_hash_of(code),
            person=person,
            made_at=now,
            expires_at=now + timedelta(minutes=minutes),
        )
    return code


def whose(code: str) -> Person:
    """The person a code signs in, without using it. Raises PairingError when it opens nothing."""
    found = PairingCode.objects.filter(code_hash=_hash_of(code)).select_related("person").first()
    if found is None:
        raise PairingError("this code is not known here", remedy=_REMEDY)
    if found.used_at is not None:
        raise PairingError("this code has been used", remedy=_REMEDY)
    if found.expires_at <= timezone.now():
        raise PairingError("this code is too old", remedy=_REMEDY)
    if not found.person.is_active:
        raise PairingError(f"{found.person} no longer works in this yard", remedy="ask a keeper")
    return found.person


@transaction.atomic
def pair(code: str, device_name: str) -> Device:
    """Use up ``code`` and note the device. Raises PairingError when it opens nothing."""
    person = whose(code)
    now = timezone.now()
    # Of two phones that send the same code at once, one changes this row and the other none.
    taken = PairingCode.objects.filter(
        code_hash=_hash_of(code), used_at=None, expires_at__gt=now
    ).update(used_at=now)
    if not taken:
        raise PairingError("this code has been used", remedy=_REMEDY)
    return Device.objects.create(person=person, name=device_name)


def _hash_of(code: str) -> str:
    # The code is 192 random bits, so one plain hash is enough: there is nothing to guess.
    return hashlib.sha256(code.encode("utf-8", "surrogatepass")).hexdigest()

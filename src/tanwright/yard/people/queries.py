"""What the pages on people read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import segno
from django.conf import settings
from django.db.models import Count, Max, Q, QuerySet
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from tanwright.yard.people import devices
from tanwright.yard.people.models import Device, Person


@dataclass(frozen=True)
class PairingPicture:
    """A code as a QR picture and as an address to type; ``until`` is when it ends."""

    picture: SafeString
    address: str
    until: datetime


def name_as_kept(typed: str) -> str | None:
    """The kept name that ``typed`` means, capitals and outer blanks aside; ``None`` if unknown.

    Compared here and not by the database, because SQLite folds the capitals of ASCII alone.
    """
    wanted = " ".join(typed.split()).casefold()
    names = Person.objects.values_list("name", flat=True)
    return next((name for name in names if name.casefold() == wanted), None)


def people() -> QuerySet[Person]:
    """Everybody with ``device_count`` and ``seen_at`` of the devices that are signed in."""
    live = Q(devices__revoked_at=None)
    return Person.objects.annotate(
        device_count=Count("devices", filter=live), seen_at=Max("devices__seen_at", filter=live)
    ).order_by("-is_active", "role", "name")


def devices_of(person: Person) -> QuerySet[Device]:
    """The devices of ``person`` whose session may still be open, last seen first."""
    oldest = timezone.now() - timedelta(seconds=devices.PAIRED_SECONDS)
    return person.devices.filter(revoked_at=None, created_at__gt=oldest)


def base_address(request: HttpRequest) -> str:
    """Where another device finds the yard, like ``https://192.168.1.20:8000``.

    The address the reader came by, unless that one means this machine alone.
    """
    host = request.get_host().rpartition(":")[0] or request.get_host()
    if settings.ADDRESS and host.strip("[]") in {"localhost", "127.0.0.1", "::1"}:
        return str(settings.ADDRESS)
    return request.build_absolute_uri("/").rstrip("/")


def pairing_picture(request: HttpRequest, code: str, until: datetime) -> PairingPicture:
    """The QR picture of ``code``, drawn without style attributes."""
    address = base_address(request) + reverse("people:pair", args=[code])
    drawn = segno.make(address, error="m").svg_inline(
        border=4, dark="#000", light="#fff", svgclass="qr", lineclass=None, omitsize=True
    )
    return PairingPicture(mark_safe(drawn), address, until)

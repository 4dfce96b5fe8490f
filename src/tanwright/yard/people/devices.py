"""Devices and their sessions: signing one in, knowing it again, ending it at once."""

from __future__ import annotations

from contextlib import suppress
from datetime import timedelta
from typing import Final

from django.contrib.auth import login, logout
from django.contrib.sessions.models import Session
from django.db import OperationalError, transaction
from django.http import HttpRequest
from django.utils import timezone

from tanwright.yard.people.models import Device, Person

PAIRED_SECONDS: Final = 180 * 24 * 3600
"""A paired phone stays signed in this long after it was paired."""
SIGNED_IN_SECONDS: Final = 14 * 24 * 3600
"""A browser that signed in with a password stays so this long."""
_SEEN_EVERY: Final = timedelta(minutes=1)
_DEVICE: Final = "device"
_BACKEND: Final = "django.contrib.auth.backends.ModelBackend"


@transaction.atomic
def sign_in(request: HttpRequest, device: Device, *, seconds: int) -> None:
    """Open a session of ``device.person`` on the browser that sent ``request``."""
    login(request, device.person, backend=_BACKEND)
    request.session[_DEVICE] = str(device.pk)
    request.session.set_expiry(seconds)
    keep_session_of(request, device)


def keep_session_of(request: HttpRequest, device: Device) -> None:
    """Note which session is the device's, so that revoking the device can end it."""
    request.session.save()
    device.session_key = request.session.session_key or ""
    device.save(update_fields=["session_key"])


@transaction.atomic
def revoke(device: Device) -> None:
    """End the device's session at once; it has to be paired again to come back."""
    Session.objects.filter(session_key=device.session_key).delete()
    device.revoked_at = timezone.now()
    device.session_key = ""
    device.save(update_fields=["revoked_at", "session_key"])


@transaction.atomic
def revoke_all(person: Person) -> int:
    """End every session of ``person``; returns how many devices had one."""
    devices = list(person.devices.filter(revoked_at=None))
    for device in devices:
        revoke(device)
    return len(devices)


@transaction.atomic
def sign_out(request: HttpRequest) -> None:
    """End the session of this browser, and of its device with it."""
    device = device_of(request)
    logout(request)
    if device is not None and device.revoked_at is None:
        revoke(device)


def device_of(request: HttpRequest) -> Device | None:
    """The device whose session this is, revoked or not; ``None`` without one."""
    kept = request.session.get(_DEVICE)
    return Device.objects.filter(pk=kept).first() if kept else None


def see(device: Device) -> None:
    """Note that the device was here, at most once a minute."""
    now = timezone.now()
    if now - device.seen_at < _SEEN_EVERY:
        return
    # A full or read-only disk keeps nobody from reading: the time is not worth a failed page.
    with suppress(OperationalError), transaction.atomic():
        Device.objects.filter(pk=device.pk).update(seen_at=now)
        device.seen_at = now

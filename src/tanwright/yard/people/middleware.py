"""Who a request comes from."""

from __future__ import annotations

import ipaddress
from collections.abc import Callable
from typing import Final

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tanwright.yard.people import devices
from tanwright.yard.people.local import keeper_of_this_machine

Respond = Callable[[HttpRequest], HttpResponse]

_PASSED_ON: Final = ("HTTP_X_FORWARDED_FOR", "HTTP_FORWARDED", "HTTP_X_REAL_IP")


class OnThisMachine:
    """Opened to this machine only, the yard needs no sign-in: who sits here is the keeper.

    Nobody else gets in then: neither another machine nor a proxy that passes others on. A page of
    another site that points its name here is stopped earlier, by the list of allowed hosts.
    """

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if settings.LAN:
            return self.respond(request)
        if not _from_here(request):
            return render(request, "people/only_here.html", status=403)
        if not request.user.is_authenticated:
            request.user = keeper_of_this_machine()
        return self.respond(request)


def _from_here(request: HttpRequest) -> bool:
    if any(name in request.META for name in _PASSED_ON):
        return False
    told = str(request.META.get("REMOTE_ADDR", ""))
    try:
        address = ipaddress.ip_address(told)
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    return bool((mapped or address).is_loopback)


class PairedDevice:
    """Knows the device that a request comes from, as ``request.device`` (or ``None``).

    The session of a revoked device is over with its next request.
    """

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        device = devices.device_of(request) if request.user.is_authenticated else None
        if device is not None and device.revoked_at is not None:
            logout(request)
            device = None
        if device is not None:
            devices.see(device)
        request.device = device  # type: ignore[attr-defined]
        return self.respond(request)

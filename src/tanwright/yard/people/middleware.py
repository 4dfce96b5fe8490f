"""Who a request comes from."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from tanwright.yard.people.local import keeper_of_this_machine

Respond = Callable[[HttpRequest], HttpResponse]


class OnThisMachine:
    """Opened to this machine only, the yard needs no sign-in: who sits here is the keeper."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not settings.LAN and not request.user.is_authenticated:
            request.user = keeper_of_this_machine()
        return self.respond(request)


class PairedDevice:
    """Knows the paired device that a request comes from, as ``request.device`` (or ``None``)."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.device = None  # type: ignore[attr-defined]
        return self.respond(request)

"""Who may do what. Every page needs a signed-in person; these mark what only a keeper may do."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, cast

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

from tanwright.units import System
from tanwright.yard.people.models import Person

View = Callable[..., HttpResponseBase]


def person_of(request: HttpRequest) -> Person:
    """The signed-in person (LoginRequiredMiddleware has seen to it that there is one)."""
    return cast(Person, request.user)


def system_of(request: HttpRequest) -> System:
    """The units that the signed-in person reads: ``"metric"`` or ``"us"``."""
    return cast(System, person_of(request).system)


def keeper_only(view: View) -> View:
    """Refuse helpers with a page that says who may do it."""

    @wraps(view)
    def checked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if not person_of(request).is_keeper:
            raise PermissionDenied(
                "Only a keeper may do this. A helper logs what was done and seen."
            )
        return view(request, *args, **kwargs)

    return checked

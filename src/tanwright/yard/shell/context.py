"""What every page knows about who reads it and where it stands."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from tanwright.yard.shell.navigation import ways


def reader(request: HttpRequest) -> dict[str, Any]:
    """``system`` ("metric" or "us"), ``is_keeper``, ``open_to_network``, ``bar`` (its ways)."""
    user = getattr(request, "user", None)
    return {
        "system": getattr(user, "system", "metric"),
        "is_keeper": getattr(user, "is_keeper", False),
        "signed_in": getattr(user, "is_authenticated", False),
        "open_to_network": settings.LAN,
        "bar": SimpleLazyObject(partial(ways, request)),
    }

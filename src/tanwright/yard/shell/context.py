"""What every page knows about who reads it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest


def reader(request: HttpRequest) -> dict[str, Any]:
    """``system`` ("metric" or "us"), ``is_keeper`` and ``open_to_network`` for templates."""
    user = getattr(request, "user", None)
    return {
        "system": getattr(user, "system", "metric"),
        "is_keeper": getattr(user, "is_keeper", False),
        "open_to_network": settings.LAN,
    }

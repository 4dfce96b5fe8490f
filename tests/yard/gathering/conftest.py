"""Places to begin from."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from tanwright.yard.gathering import services
from tanwright.yard.gathering.models import Place
from tanwright.yard.people.models import Person

OAK = "quercus-robur-bark"


@pytest.fixture
def windfall(keeper: Person) -> Place:
    """A storm-felled oak with leave to gather."""
    return services.open_place(
        keeper,
        "windfall",
        name="oak by the ford",
        whose="the forest office",
        plants=OAK,
        latitude=51.2,
        longitude=9.4,
        permission="given",
        by_role="the forest office",
    )


@pytest.fixture
def sent() -> Callable[..., dict[str, Any]]:
    """A form as a browser sends it."""

    def make(**fields: Any) -> dict[str, Any]:
        now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
        return {"entry_id": str(uuid.uuid4()), "happened_at": now, **fields}

    return make

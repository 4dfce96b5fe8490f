"""A vat to work with, and shortcuts for what every test of it does."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from tanwright.yard.journal.services import Written
from tanwright.yard.people.models import Person
from tanwright.yard.skins.services import new_skin
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage import services
from tanwright.yard.tannage.models import Tannage


def days_ago(days: float) -> datetime:
    return timezone.now() - timedelta(days=days)


@pytest.fixture
def planned(keeper: Person) -> Tannage:
    """A goat skin of 2.2 kg and 6 kg of oak bark, planned for a vat of 40 L."""
    tannage = services.begin_draft(keeper)
    skin = new_skin(keeper, "goat", weight_kg=2.2, happened_at=days_ago(60))
    lot = new_lot(keeper, "quercus-robur-bark", kg=6.0, happened_at=days_ago(60))
    services.set_facts(
        tannage,
        {"vat": "blue tub", "vat_volume_l": 40.0, "temperature_c": 12.0, "move": "daily"},
        keeper,
    )
    services.set_skins(tannage, [skin], keeper)
    services.set_materials(tannage, [lot], [], keeper)
    services.settle(tannage, keeper)
    tannage.refresh_from_db()
    return tannage


@pytest.fixture
def running(planned: Tannage, keeper: Person) -> Tannage:
    """The same, begun twenty days ago with a first liquor of 3 kg of bark."""
    services.start(planned, keeper, id=uuid4(), happened_at=days_ago(20))
    lot = planned.materials.get().lot
    assert lot is not None
    services.cook_in(
        planned, keeper, id=uuid4(), happened_at=days_ago(20), lots={lot: 3.0}, in_litres=20.0
    )
    planned.refresh_from_db()
    return planned


Log = Callable[..., Written]


@pytest.fixture
def log(keeper: Person) -> Log:
    """Note one thing so many days ago."""

    def note(tannage: Tannage, what: str, data: dict[str, Any], days: float = 1.0) -> Written:
        return services.log(
            tannage, what, data, keeper, id=uuid4(), happened_at=days_ago(days)
        )  # fmt: skip

    return note


def form_of(**said: Any) -> dict[str, Any]:
    """What a browser sends with an entry form."""
    when = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {"entry_id": str(uuid4()), "happened_at": when, "note": "", **said}

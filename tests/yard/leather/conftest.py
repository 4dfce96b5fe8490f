"""A goat skin that has been through a vat, and the leather that it became."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import Written, open_record
from tanwright.yard.leather import services
from tanwright.yard.leather.models import Leather
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage import services as tannages
from tanwright.yard.tannage.models import Tannage

OUT = timezone.make_aware(datetime(2026, 5, 20, 10, 0))
BEGAN = OUT - timedelta(days=62)


@pytest.fixture
def skin(keeper: Person) -> Skin:
    return open_record(Skin, Record.Kind.SKIN, keeper, animal="goat")


@pytest.fixture
def tannage(keeper: Person, skin: Skin) -> Tannage:
    """Ended: in the vat for 62 days, one cook of 3.1 kg of the 4.5 kg that lay there."""
    found = tannages.begin_draft(keeper, name="Goat in oak")
    lot = new_lot(keeper, "quercus-robur-bark", kg=4.5)
    tannages.set_skins(found, [skin], keeper)
    tannages.set_materials(found, [lot], [], keeper)
    tannages.set_facts(found, {"temperature_c": 15.0, "vat_volume_l": 20.0}, keeper)
    tannages.settle(found, keeper)
    tannages.start(found, keeper, id=uuid.uuid4(), happened_at=BEGAN)
    tannages.cook_in(
        found, keeper, id=uuid.uuid4(), happened_at=BEGAN + timedelta(days=9), lots={lot: 3.1}
    )
    tannages.log(
        found, "temperature", {"temperature_c": 9.0}, keeper, id=uuid.uuid4(),
        happened_at=BEGAN + timedelta(days=20),
    )  # fmt: skip
    tannages.take_out(found, keeper, id=uuid.uuid4(), happened_at=OUT)
    Skin.objects.filter(pk=skin.pk).update(weight_kg=2.0, weighed_at_stage="delimed")
    found.refresh_from_db()
    return found


@pytest.fixture
def leather(keeper: Person, tannage: Tannage, skin: Skin) -> Leather:
    return services.open_leather(keeper, tannage, skin)


@pytest.fixture
def note(keeper: Person) -> Callable[..., Written]:
    """Write an entry of a leather, so many hours after it came out of the vat."""

    def write(leather: Leather, what: str, data: dict[str, Any], hours: float = 1.0) -> Written:
        return services.log(
            leather, f"leather.{what}", data, keeper, happened_at=OUT + timedelta(hours=hours)
        )

    return write

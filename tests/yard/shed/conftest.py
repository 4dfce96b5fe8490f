"""A running vat to log on."""

from __future__ import annotations

import uuid

import pytest
from django.utils import timezone

from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage import services
from tanwright.yard.tannage.models import Tannage


@pytest.fixture
def vat(keeper: Person, settings: object) -> Tannage:
    settings.FORECASTS = "off"  # type: ignore[attr-defined]
    skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="goat")
    vat = services.begin_draft(keeper, name="The goat")
    services.set_skins(vat, [skin], keeper)
    services.set_materials(vat, [], ["quercus-robur-bark"], keeper)
    services.settle(vat, keeper)
    services.start(vat, keeper, id=uuid.uuid4(), happened_at=timezone.now())
    vat.refresh_from_db()
    return vat

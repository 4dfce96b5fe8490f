"""A vat in work, for what is printed of it."""

from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage import services
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.renewing import renew_now


@pytest.fixture
def vat(keeper: Person) -> Tannage:
    """A goat skin in oak bark for eleven days, with a look and a cut."""
    skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="goat", name="The speckled one")
    lot = new_lot(keeper, "quercus-robur-bark", kg=6.0)
    vat = services.begin_draft(keeper, name="The goat")
    now = timezone.now()
    facts = {"vat_volume_l": 18.0, "temperature_c": 12.0, "leather": "soft"}
    services.set_facts(vat, facts, keeper)
    services.set_skins(vat, [skin], keeper)
    services.set_materials(vat, [lot], [], keeper)
    services.settle(vat, keeper)
    services.start(vat, keeper, id=uuid.uuid4(), happened_at=now - timedelta(days=11))
    for days, what, data in (
        (8, "look", {"look": "tea"}),
        (4, "cut", {"share": 0.5, "place": "neck"}),
    ):
        services.log(
            vat, what, data, keeper, id=uuid.uuid4(), happened_at=now - timedelta(days=days),
            note='*not* bold, #read("/etc/passwd"), $x$ and 皮' if what == "cut" else "",
        )  # fmt: skip
    renew_now(vat.pk)  # a test's transaction never commits, so nothing is renewed by itself
    vat.refresh_from_db()
    return vat

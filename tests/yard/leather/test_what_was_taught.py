"""What the tannage taught about its lots, seen from the leather and carried to the lot."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.journal.models import Entry
from tanwright.yard.leather import queries, services
from tanwright.yard.leather.models import Leather
from tanwright.yard.people.models import Person
from tanwright.yard.skins.services import new_skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage import services as tannages
from tanwright.yard.tannage.renewing import renew_now


@pytest.fixture
def taught(keeper: Person) -> Leather:
    """A vat that was planned, begun, cooked, read twice and emptied, with the engine's answers."""
    began = timezone.now() - timedelta(days=60)
    skin = new_skin(keeper, "goat", weight_kg=2.2, happened_at=began)
    lot = new_lot(keeper, "unknown-bark", kg=9.0, happened_at=began)
    vat = tannages.begin_draft(keeper)
    tannages.set_facts(vat, {"vat_volume_l": 20.0, "temperature_c": 14.0}, keeper)
    tannages.set_skins(vat, [skin], keeper)
    tannages.set_materials(vat, [lot], [], keeper)
    tannages.settle(vat, keeper)
    renew_now(vat.pk)
    entry = {"happened_at": began, "by": keeper}
    tannages.start(vat, id=uuid.uuid4(), **entry)
    tannages.cook_in(vat, id=uuid.uuid4(), lots={lot: 4.0}, in_litres=20.0, **entry)
    for days, bk in ((1, 30.0), (3, 26.0)):
        tannages.log(
            vat, "strength", {"value": bk, "scale": "bk", "liquor_c": 15.6}, keeper,
            id=uuid.uuid4(), happened_at=began + timedelta(days=days),
        )  # fmt: skip
    tannages.take_out(vat, keeper, id=uuid.uuid4(), happened_at=began + timedelta(days=55))
    renew_now(vat.pk)
    vat.refresh_from_db()
    return services.open_leather(keeper, vat, skin)


def test_a_keeper_carries_it_to_the_lot(client_of: Any, keeper: Any, taught: Leather) -> None:
    (lesson,) = queries.page_of(taught, "metric").taught
    assert lesson.high_pct - lesson.low_pct < lesson.before_high_pct - lesson.before_low_pct
    client = client_of(keeper)
    learn = reverse("tannage:learn", args=[taught.tannage_id])
    assert f'action="{learn}"' in client.get(taught.get_absolute_url()).content.decode()
    client.post(learn)
    client.post(learn)
    lot = Lot.objects.get()
    assert lot.tannin_low_pct == pytest.approx(lesson.low_pct)
    assert Entry.objects.filter(record=lot, kind="lot.tannin").count() == 1


def test_a_helper_reads_it_and_may_not_carry_it(
    client_of: Any, helper: Any, taught: Leather
) -> None:
    client = client_of(helper)
    learn = reverse("tannage:learn", args=[taught.tannage_id])
    page = client.get(taught.get_absolute_url()).content.decode()
    assert "What the tannage taught" in page
    assert learn not in page
    assert client.post(learn).status_code == 403
    assert not Entry.objects.filter(kind="lot.tannin").exists()

"""A yard with one of everything, made by the areas' own services, for pages to have something."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from django.utils import timezone

from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.leather.models import Leather
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage.models import Tannage


def small_yard() -> Mapping[str, Mapping[str, Any]]:
    """Make it; what stands for the parts of each area's addresses."""
    keeper = keeper_of_this_machine()
    lot = new_lot(keeper, "quercus-robur-bark", kg=12.0, name="Oak of the lower wood")
    skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="deer", name="Roe of the lower wood")
    liquor = open_record(Liquor, Record.Kind.LIQUOR, keeper)
    tannage = open_record(Tannage, Record.Kind.TANNAGE, keeper, vat="blue tub")
    leather = open_record(Leather, Record.Kind.LEATHER, keeper, tannage=tannage, skin=skin)
    entry = Entry.objects.create(
        id=uuid4(), record=lot, kind="lot.note", happened_at=timezone.now(), by=keeper, note="Dry."
    )
    return {
        "search": {"code": skin.code},
        "skins": {"id": skin.pk},
        "stock": {"id": lot.pk},
        "liquors": {"id": liquor.pk},
        "tannage": {"id": tannage.pk},
        "leather": {"id": leather.pk},
        "journal": {"id": entry.pk},
        "paper": {"id": skin.pk},
    }

"""The scenes of the demo, area by area, in the order in which they happened."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from django.utils import timezone

from tanwright.yard.liquors import services as liquors
from tanwright.yard.people.models import Person
from tanwright.yard.stock import services as stock

_SPACE: Final = uuid.UUID("6f2f6c1e-7c0a-5f0e-9c55-0d3a2b1f4e77")


def id_of(what: str) -> uuid.UUID:
    """The same id for the same thing in every demo yard: loading twice makes nothing twice."""
    return uuid.uuid5(_SPACE, what)


@dataclass(frozen=True)
class Cast:
    """Who acts: people are called by their role."""

    keeper: Person
    helper: Person


def people(keeper: Person) -> Cast:
    """The keeper who loads the demo, and a helper."""
    helper = Person.objects.filter(name="Demo helper").first()
    if helper is None:
        helper = Person.objects.create_user("Demo helper", role=Person.Role.HELPER)
    return Cast(keeper, helper)


def days_ago(days: int, hour: int = 9, minute: int = 0) -> datetime:
    """A moment so many days before today, by the yard's clock."""
    day = timezone.localdate() - timedelta(days=days)
    return timezone.make_aware(datetime.combine(day, time(hour, minute)))


def day_ago(days: int) -> date:
    """The day so many days before today."""
    return timezone.localdate() - timedelta(days=days)


def bark_store(cast: Cast) -> None:
    """Oak bark in plenty, an unknown sumac leaf tried by a small cook, a wet heap of willow."""
    by = cast.keeper
    stock.keep_container("bucket", "2 kg", by, of="chopped bark")
    oak = stock.new_lot(
        by,
        "quercus-robur-bark",
        id=id_of("lot: oak bark"),
        name="Demo: oak bark of the winter's firewood",
        kg=24.0,
        counted="12 buckets",
        where="loft, north side",
        gathered_on=day_ago(200),
        history={"rained_on": False, "mouldy": False},
        happened_at=days_ago(70),
        note="Chopped with the kindling hatchet, thumb-sized.",
    )
    stock.log(
        oak, "lot.stocktake", {"kg": 23.5}, by, id=id_of("oak: stocktake"),
        happened_at=days_ago(62, 17),
    )  # fmt: skip
    spruce = stock.new_lot(
        by,
        "picea-abies-bark",
        id=id_of("lot: spruce bark"),
        name="Demo: spruce bark from the sawmill",
        kg=9.0,
        where="loft, under the window",
        gathered_on=day_ago(150),
        history={"rained_on": True},
        happened_at=days_ago(58),
    )
    stock.log(
        spruce, "lot.lost", {"kg": 0.8, "why": "mouldy at the bottom of the sack"}, cast.helper,
        id=id_of("spruce: lost"), happened_at=days_ago(20, 16),
    )  # fmt: skip


def cooks(cast: Cast) -> None:
    """A strong oak liquor in store, its second water, and a spent one kept for first baths."""
    by = cast.keeper
    oak = stock.Lot.objects.get(pk=id_of("lot: oak bark"))
    liquors.set_tools(
        by, instrument="hydrometer", scale="bk", calibrated_at_c=20.0, pot_l=10.0, litre_scale=True
    )
    first = liquors.cook(
        by, {oak: 2.5}, 12.0, id=id_of("liquor: oak, first water"),
        name="Demo: oak, first water", volume_l=9.5, temperature_c=80.0, hours=3.0,
        where="barrel by the door", happened_at=days_ago(33, 10),
    )  # fmt: skip
    liquors.read_strength(
        first, 27.0, "bk", by, liquor_c=14.0, id=id_of("oak first: read"),
        happened_at=days_ago(32, 8),
    )  # fmt: skip
    second = liquors.cook(
        by, {oak: 2.5}, 10.0, id=id_of("liquor: oak, second water"), which=2,
        name="Demo: oak, second water", volume_l=9.0, temperature_c=80.0, hours=2.0,
        where="blue tub", happened_at=days_ago(33, 15),
    )  # fmt: skip
    liquors.read_strength(
        second, 11.0, "bk", cast.helper, liquor_c=13.0, id=id_of("oak second: read"),
        happened_at=days_ago(32, 9),
    )  # fmt: skip


ALL: Final[tuple[Callable[[Cast], None], ...]] = (bark_store, cooks)

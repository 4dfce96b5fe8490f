"""A yard with very many invented records, to see that pages stay fast; a seed tells which one.

Rows are written in bulk, past the services, with the kept columns that their folds would give. The
engine works out a few vats of different kinds; the many others are their twins, day by day alike,
and share the answer.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any, Final

import numpy as np
from django.conf import settings
from django.db import models, transaction
from django.utils import timezone

from tanwright.yard.exchange.big_vats import TEMPLATES, Template, log_of
from tanwright.yard.exchange.importing import must_be_empty
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.leather.models import Leather
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Forecast, Tannage, TannageMaterial, TannageSkin
from tanwright.yard.tannage.renewing import renew_now

ANIMALS: Final = ("goat", "sheep", "calf", "roe deer")
PLANTS: Final = ("quercus-robur-bark", "picea-abies-bark", "salix-caprea-bark")
STAGES: Final = ("green", "salted", "dried", "soaked", "limed", "delimed")
FROM_TEMPLATE: Final = (
    "next_on", "next_action", "next_headline", "finish_from", "finish_likely", "finish_to",
    "last_logged_at", "worth_what", "worth_share",
)  # fmt: skip


@dataclass(frozen=True)
class Size:
    """How many of each; ``readings`` counts the entries of all tannages together."""

    skins: int = 500
    tannages: int = 300
    readings: int = 10_000

    @property
    def lots(self) -> int:
        return max(2, self.skins // 10)

    @property
    def liquors(self) -> int:
        return max(2, self.skins // 8)


def fill(size: Size, seed: int = 1) -> dict[str, int]:
    """Fill an empty yard; returns how many of each were made. Raises InputError when it is not."""
    must_be_empty()
    before, settings.FORECASTS = settings.FORECASTS, "off"
    try:
        with transaction.atomic():
            return _Filling(size, seed).run()
    finally:
        settings.FORECASTS = before


class _Filling:
    """One filling: the draws of chance, who writes, and the numbers given out so far."""

    def __init__(self, size: Size, seed: int) -> None:
        self.size = size
        self.rng = np.random.default_rng(seed)
        self.by: Person = keeper_of_this_machine()
        self.now = timezone.now().replace(microsecond=0)

    def run(self) -> dict[str, int]:
        lots = self._records(Lot, Record.Kind.LOT, self.size.lots, self._lot)
        self._records(Liquor, Record.Kind.LIQUOR, self.size.liquors, self._liquor)
        vats = self._records(Tannage, Record.Kind.TANNAGE, self.size.tannages, self._vat)
        skins = self._records(Skin, Record.Kind.SKIN, self.size.skins, self._skin)
        ended = [(vat, skin) for vat, skin in zip(vats, skins, strict=False)
                 if vat.state == Tannage.State.ENDED]  # fmt: skip
        self._in_the_vats(vats, skins, lots)
        entries = self._entries(vats)
        self._forecasts(vats)
        leathers = self._leathers(ended)
        return {
            "skins": len(skins),
            "lots": len(lots),
            "liquors": self.size.liquors,
            "tannages": len(vats),
            "leathers": leathers,
            "readings": entries,
        }

    def _uuid(self) -> uuid.UUID:
        return uuid.UUID(bytes=self.rng.bytes(16), version=4)

    def _days_before(self, most: int) -> Any:
        return self.now - timedelta(days=int(self.rng.integers(1, most)))

    def _records(
        self,
        model: type[Any],
        kind: Record.Kind,
        count: int,
        facts: Callable[[int], dict[str, Any]],
    ) -> list[Any]:
        made = [
            model(
                id=self._uuid(),
                kind=kind,
                number=number,
                created_by=self.by,
                **{"created_at": self._days_before(400), **facts(number - 1)},
            )
            for number in range(1, count + 1)
        ]
        # Rows that extend a record are written in two goes: bulk_create refuses them whole.
        Record.objects.bulk_create(
            [
                Record(**{field.attname: getattr(item, field.attname)
                          for field in Record._meta.concrete_fields})
                for item in made
            ],
            batch_size=500,
        )  # fmt: skip
        for item in made:
            item.record_ptr_id = item.id
            models.Model.save_base(item, raw=True, force_insert=True)
        return made

    def _lot(self, index: int) -> dict[str, Any]:
        got = float(self.rng.integers(5, 200))
        return {
            "material_id": PLANTS[index % len(PLANTS)],
            "name": f"Sack {index + 1}",
            "where": "loft",
            "got_kg": got,
            "left_kg": got * float(self.rng.uniform(0.1, 1.0)),
            "state_since": self._days_before(300),
        }

    def _liquor(self, index: int) -> dict[str, Any]:
        return {
            "name": f"Barrel {index + 1}",
            "where": f"row {index % 6 + 1}",
            "volume_l": float(self.rng.integers(5, 80)),
            "strength_bk": float(self.rng.uniform(3, 40)),
            "strength_how": "read",
            "strength_at": self._days_before(30),
            "made_at": self._days_before(200),
        }

    def _skin(self, index: int) -> dict[str, Any]:
        in_vat = index < self.size.tannages
        template = _template(index)
        state = template.state if in_vat else None
        stage = STAGES[index % len(STAGES)]
        return {
            "animal": template.animal if in_vat else ANIMALS[index % len(ANIMALS)],
            "weight_kg": template.weight_kg if in_vat else float(self.rng.uniform(1.0, 6.0)),
            "weighed_at_stage": "green" if in_vat else stage,
            "stage": {None: stage, "running": "vat", "ended": "leather"}[state],
            "place": f"hook {index + 1}",
        }

    def _vat(self, index: int) -> dict[str, Any]:
        template = _template(index)
        return {
            "vat": f"tub {index + 1}",
            "vat_volume_l": template.volume_l,
            "temperature_c": 12.0,
            "move": "daily",
            "leather": "soft",
            "start": timezone.localdate() - timedelta(days=template.days),
            "state": template.state,
            "version": 1,
        }

    def _in_the_vats(self, vats: list[Tannage], skins: list[Skin], lots: list[Lot]) -> None:
        count = min(len(vats), len(skins))
        TannageSkin.objects.bulk_create(
            TannageSkin(
                tannage_id=vats[i].pk,
                skin_id=skins[i].pk,
                taken_out_at=self.now if vats[i].state == "ended" else None,
            )
            for i in range(count)
        )
        oak = [lot for lot in lots if lot.material_id == PLANTS[0]]
        TannageMaterial.objects.bulk_create(
            TannageMaterial(
                tannage_id=vats[i].pk, lot_id=oak[i % len(oak)].pk, material_id=PLANTS[0],
                have_kg=20.0,
            )
            for i in range(count)
        )  # fmt: skip

    def _entries(self, vats: list[Tannage]) -> int:
        rows: list[Entry] = []
        for i, vat in enumerate(vats):
            # The first vats take what does not divide evenly.
            most = self.size.readings // len(vats) + (i < self.size.readings % len(vats))
            for happened_at, kind, data in log_of(_template(i), self.now, most):
                rows.append(
                    Entry(
                        id=self._uuid(),
                        record_id=vat.pk,
                        kind=kind,
                        happened_at=happened_at,
                        written_at=happened_at,
                        by=self.by,
                        data=data,
                    )
                )
        Entry.objects.bulk_create(rows, batch_size=500)
        return len(rows)

    def _forecasts(self, vats: list[Tannage]) -> None:
        """Work out the first vat of each template; its twins get the same answer."""
        for first, template in enumerate(TEMPLATES[: len(vats)]):
            twins = [vat.pk for vat in vats[first :: len(TEMPLATES)]]
            made = renew_now(vats[first].pk)
            assert made is not None, template
            Forecast.objects.bulk_create(
                [
                    Forecast(**{**_columns(made), "id": self._uuid(), "tannage_id": twin})
                    for twin in twins[1:]
                ],
                batch_size=50,
            )
            Tannage.objects.filter(pk__in=twins).update(
                **Tannage.objects.values(*FROM_TEMPLATE).get(pk=vats[first].pk)
            )

    def _leathers(self, ended: list[tuple[Tannage, Skin]]) -> int:
        def facts(index: int) -> dict[str, Any]:
            vat, skin = ended[index]
            return {
                "tannage_id": vat.pk,
                "skin_id": skin.pk,
                "weight_kg": skin.weight_kg * 0.2 if skin.weight_kg else None,
                "finished_at": self._days_before(60),
            }

        return len(self._records(Leather, Record.Kind.LEATHER, len(ended), facts))


def _template(index: int) -> Template:
    return TEMPLATES[index % len(TEMPLATES)]


def _columns(forecast: Forecast) -> dict[str, Any]:
    return {
        field.attname: getattr(forecast, field.attname) for field in Forecast._meta.concrete_fields
    }

"""Brings the kept columns of a lot up to date from its live entries."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.db.models import Q

from tanwright.yard.journal.models import Entry
from tanwright.yard.stock.account import (
    COOKED_FROM,
    GATHERED,
    GATHERED_INTO,
    Happening,
    Standing,
    standing_after,
)
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.reckoning import reckon
from tanwright.yard.stock.tables import material_table

Row = TypeVar("Row", bound=Mapping[str, Any])


def fold(lot_id: uuid.UUID) -> None:
    """Fold the entries of one lot into its kept columns."""
    lot = Lot.objects.get(pk=lot_id)
    now = standing_after(lot.material_id, happenings(lot_id))
    keep(lot, now)


def keep(lot: Lot, now: Standing) -> None:
    """Write ``now`` into the kept columns of ``lot``."""
    low, high = now.tannin or (None, None)
    lot.state, lot.state_since, lot.where = now.state, now.state_since, now.where
    lot.ground = now.ground
    lot.got_kg, lot.left_kg, lot.over_kg = now.got_kg, now.left_kg, now.over_kg
    lot.tannin_low_pct, lot.tannin_high_pct, lot.tannin_how = low, high, now.tannin_how
    lot.skins_low = lot.skins_likely = lot.skins_high = None
    if lot.left_kg is not None:
        skins = reckon(material_table(lot)).skins
        lot.skins_low = lot.left_kg * skins.p05
        lot.skins_likely = lot.left_kg * skins.p50
        lot.skins_high = lot.left_kg * skins.p95
    lot.save(update_fields=_KEPT)


_KEPT = (
    "state", "state_since", "where", "ground", "got_kg", "left_kg", "over_kg", "tannin_low_pct",
    "tannin_high_pct", "tannin_how", "skins_low", "skins_likely", "skins_high",
)  # fmt: skip


_WITHOUT_EFFECT = ("lot.note", "lot.photo", "lot.changed")
"""Kinds that change nothing of what is left; a lot may have hundreds of notes."""


def happenings(lot_id: uuid.UUID) -> list[Happening]:
    """Live entries of the lot, and those of others that filled it or used it up, in order."""
    rows = list(
        Entry.objects.filter(
            Q(record=lot_id)
            | Q(touches__record=lot_id, touches__role__in=(COOKED_FROM, GATHERED_INTO))
        )
        .exclude(kind__in=_WITHOUT_EFFECT)
        .order_by()
        .values("id", "record_id", "kind", "data", "happened_at", "written_at", "corrects_id",
                "standing")
    )  # fmt: skip
    return [
        Happening(
            row["happened_at"],
            row["kind"],
            row["data"],
            None
            if row["record_id"] == lot_id or row["kind"] == GATHERED
            else used_kg(row["data"], lot_id),
        )
        for row in in_order(rows)
    ]


def in_order(rows: Sequence[Row]) -> list[Row]:
    """The live ones of ``rows`` by the minute in which they happened, then as they were written.

    Forms tell minutes: of two entries of one minute the one written first came first. A correction
    keeps the place of what it corrects, if that is among ``rows``. A row that stands there twice
    (it touches two records) counts once.
    """
    each = {row["id"]: row for row in rows}
    first = first_written(each)
    live = [row for row in each.values() if row["standing"] == Entry.Standing.LIVE]
    return sorted(
        live,
        key=lambda row: (
            row["happened_at"].replace(second=0, microsecond=0),
            first[row["id"]],
            str(row["id"]),
        ),
    )


def first_written(rows: Mapping[uuid.UUID, Mapping[str, Any]]) -> dict[uuid.UUID, datetime]:
    """When each entry, or the one it corrects, was first written: a correction keeps its place."""
    found: dict[uuid.UUID, datetime] = {}
    for id, row in rows.items():
        before = row
        while before["corrects_id"] in rows:
            before = rows[before["corrects_id"]]
        found[id] = before["written_at"]
    return found


def used_kg(data: Mapping[str, Any], lot_id: uuid.UUID) -> float:
    """Kilograms that an entry took of the lot: ``data["lots"][id]``, or ``data["kg"]`` of one."""
    of_each = data.get("lots")
    if isinstance(of_each, dict):
        return float(of_each.get(str(lot_id), 0.0))
    return float(data.get("kg") or 0.0)

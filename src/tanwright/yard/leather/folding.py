"""Brings the kept columns of a leather up to date from its live entries."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Final

from tanwright.yard.journal.models import Entry
from tanwright.yard.leather.masses import masses_of
from tanwright.yard.leather.models import Leather
from tanwright.yard.leather.stages import Standing, standing_after, way_of

_COLUMNS: Final = (
    "step", "step_since", "step_temperature_c", "next_step", "next_since", "finished_at",
    "damp_kg", "weight_kg", "area_m2", "thickness_mm",
)  # fmt: skip


def fold(leather_id: uuid.UUID) -> None:
    """Fold the entries of one leather into its kept columns."""
    leather = Leather.objects.select_related("skin", "tannage").get(pk=leather_id)
    now = standing_of(leather)
    for column in _COLUMNS:
        setattr(leather, column, getattr(now, column))
    account = masses_of(leather).account
    leather.degree_pct = account.degree_pct.likely if account else None
    leather.save(update_fields=[*_COLUMNS, "degree_pct"])


def standing_of(leather: Leather) -> Standing:
    """Where it stands by its live entries."""
    keys = tuple(stage.key for stage in way_of(leather))
    return standing_after(keys, live_entries(leather))


def live_entries(leather: Leather) -> list[Entry]:
    """Its live entries in order.

    Forms tell minutes: of two entries of one minute the one written first came first, and a
    correction keeps the place of what it corrects.
    """
    rows = {entry.pk: entry for entry in Entry.objects.filter(record_id=leather.pk)}

    def order(entry: Entry) -> tuple[datetime, datetime]:
        first = entry
        while first.corrects_id in rows:
            first = rows[first.corrects_id]
        return entry.happened_at.replace(second=0, microsecond=0), first.written_at

    live = (entry for entry in rows.values() if entry.standing == Entry.Standing.LIVE)
    return sorted(live, key=order)

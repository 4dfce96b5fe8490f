"""Brings the kept columns of a leather up to date from its live entries."""

from __future__ import annotations

import uuid
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
    entries = Entry.objects.filter(record_id=leather.pk, standing=Entry.Standing.LIVE).order_by(
        "happened_at", "written_at"
    )
    keys = tuple(stage.key for stage in way_of(leather))
    return standing_after(keys, entries)

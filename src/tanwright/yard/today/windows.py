"""The gathering windows of the person's own plants, as days of a calendar."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from django.urls import reverse
from django.utils import timezone

from tanwright.yard.gathering.calendar import own_plants
from tanwright.yard.gathering.due import window_id
from tanwright.yard.gathering.seasons import here, windows_between

AHEAD_DAYS: Final = 365


@dataclass(frozen=True)
class Spell:
    """A stretch of whole days of the calendar; ``last`` is its last day."""

    id: uuid.UUID
    first: date
    last: date
    headline: str
    reason: str
    url: str


def spells(now: datetime) -> list[Spell]:
    """Windows that are open or open within a year (2 queries)."""
    today = timezone.localtime(now).date()
    plants = own_plants()
    if not plants:
        return []
    url = reverse("gathering:calendar")
    return [
        Spell(
            id=window_id(window),
            first=window.start,
            last=window.end,
            headline=f"{window.plant[:1].upper()}{window.plant[1:]}: {window.what}"
            f"{', best time' if window.best else ''}",
            reason=" ".join(part for part in (window.reason, window.note, _EARLY) if part),
            url=url,
        )
        for window in windows_between(plants, today, today + timedelta(days=AHEAD_DAYS), here())
    ]


_EARLY: Final = "A year may be two weeks early or late: bud, leaf and a test cut decide."

"""Who acts in the demo, and when: roles instead of names, days counted back from today."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from django.utils import timezone

from tanwright.yard.people.models import Person

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

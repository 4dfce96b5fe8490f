"""The calendar of the yard: an iCalendar object (RFC 5545) of what is due and when vats finish.

An event keeps its UID as long as the thing is due: when the plan moves, the same event moves; when
the thing is done, it is no longer in the feed and a subscribed calendar drops it.
"""

from __future__ import annotations

import hashlib
import uuid
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final

from django.db.models import Max
from django.utils import timezone
from icalendar import Alarm, Calendar, Event

from tanwright.units import System
from tanwright.yard.gathering.due import WINDOW
from tanwright.yard.journal.due import Due
from tanwright.yard.journal.models import Record
from tanwright.yard.today.finishing_vats import finishing
from tanwright.yard.today.gathering import all_due
from tanwright.yard.today.ordering import day_of
from tanwright.yard.today.windows import Spell, spells

_SPACE: Final = uuid.UUID("3f0f7f43-9f0e-5f0b-8f6b-0d8f3a5f6a10")
_HOURS_MATTER: Final = frozenset({"skin", "leather"})
"""Kinds whose time of day is meant: baths and drying. Vats and stores are looked after by day."""
_PRIORITY: Final = ((0.7, 1), (0.4, 5), (0.0, 9))
"""RFC 5545 priority by weight: 1 is the highest, 9 the lowest."""


@dataclass(frozen=True)
class Feed:
    """A calendar as bytes, with what a client may ask about it."""

    body: bytes
    changed_at: datetime

    @property
    def etag(self) -> str:
        """Quoted, the same for the same bytes."""
        return f'"{hashlib.sha256(self.body).hexdigest()[:32]}"'


def feed(now: datetime, system: System, base: str) -> Feed:
    """The calendar as seen from ``now``; ``base`` is the yard's own address, without a slash."""
    dues = [
        due
        for due in [*all_due(now, system), *finishing(now)]
        if due.at is not None and due.kind != WINDOW
    ]
    stamps = _stamps(dues, now)
    calendar = Calendar()
    calendar.add("prodid", "-//tanwright//yard//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", "The yard")
    calendar.add("refresh-interval", timedelta(hours=1), parameters={"VALUE": "DURATION"})
    for uid, due in _named(dues):
        calendar.add_component(_event(uid, due, stamps[due.record_id], now, base))
    for spell in spells(now):
        calendar.add_component(_spell(spell, now, base))
    changed = max((stamp.at for stamp in stamps.values()), default=_midnight(now))
    return Feed(calendar.to_ical(), changed)


@dataclass(frozen=True)
class Stamp:
    """When what is said of a record was last worked out, and a number that only grows."""

    at: datetime
    sequence: int


def _stamps(dues: Iterable[Due], now: datetime) -> dict[uuid.UUID, Stamp]:
    """Everything is reckoned anew by each entry and each morning, so both count as changes."""
    midnight = _midnight(now)
    rows = (
        Record.objects.filter(pk__in={due.record_id for due in dues})
        .annotate(written=Max("entries__written_at"))
        .values_list("pk", "created_at", "written", "version")
    )
    found = {}
    for pk, created, written, version in rows:
        at = max(stamp for stamp in (created, written, midnight) if stamp is not None)
        days = max((day_of(now) - day_of(created)).days, 0)
        found[pk] = Stamp(at.replace(microsecond=0), version + days)
    return found


def _named(dues: Iterable[Due]) -> list[tuple[str, Due]]:
    """Each with its UID: of the record, the kind of thing, and its place among such things."""
    counted: Counter[tuple[uuid.UUID, str]] = Counter()
    named = []
    for due in sorted(dues, key=lambda due: (str(due.record_id), due.kind, due.url)):
        place = counted[due.record_id, due.kind]
        counted[due.record_id, due.kind] += 1
        id = uuid.uuid5(_SPACE, f"{due.record_id} {due.kind} {place}")
        named.append((f"{id}@tanwright", due))
    return named


def _event(uid: str, due: Due, stamp: Stamp, now: datetime, base: str) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", stamp.at.astimezone(UTC))
    event.add("last-modified", stamp.at.astimezone(UTC))
    event.add("sequence", stamp.sequence)
    event.add("summary", due.headline)
    event.add("description", f"{due.reason}\n\n{base}{due.url}")
    event.add("url", f"{base}{due.url}")
    event.add("priority", next(rank for least, rank in _PRIORITY if due.weight >= least))
    event.add("transp", "TRANSPARENT")
    event.add("categories", [due.kind])
    assert due.at is not None
    # What is late stands on today, or nobody would see it among the days gone by.
    if due.kind in _HOURS_MATTER and not _is_past(due.at, now):
        event.add("dtstart", due.at.astimezone(UTC).replace(microsecond=0))
        event.add("duration", timedelta(minutes=30))
        event.add_component(_alarm(due))
    else:
        day = max(day_of(due.at), day_of(now))
        event.add("dtstart", day)
        event.add("dtend", day + timedelta(days=1))
    return event


def _spell(spell: Spell, now: datetime, base: str) -> Event:
    """A window as whole days that take no time; its days move with the place of the yard alone."""
    event = Event()
    event.add("uid", f"{spell.id}@tanwright")
    event.add("dtstamp", _midnight(now).astimezone(UTC))
    event.add("last-modified", _midnight(now).astimezone(UTC))
    event.add("sequence", day_of(now).toordinal())
    event.add("summary", spell.headline)
    event.add("description", f"{spell.reason}\n\n{base}{spell.url}")
    event.add("url", f"{base}{spell.url}")
    event.add("priority", 9)
    event.add("transp", "TRANSPARENT")
    event.add("categories", [WINDOW])
    event.add("dtstart", spell.first)
    event.add("dtend", spell.last + timedelta(days=1))
    return event


def _alarm(due: Due) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", due.headline)
    alarm.add("trigger", timedelta(0))
    return alarm


def _is_past(at: datetime, now: datetime) -> bool:
    return day_of(at) < day_of(now)


def _midnight(now: datetime) -> datetime:
    day: date = day_of(now)
    return timezone.make_aware(datetime.combine(day, time()))

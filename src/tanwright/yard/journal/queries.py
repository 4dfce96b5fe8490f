"""What was noted of a record, in words, with a constant number of queries."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet
from django.db.models.functions import TruncMinute

from tanwright.errors import InputError
from tanwright.units import System
from tanwright.yard.journal.kinds import kind_of
from tanwright.yard.journal.models import Entry, Mark, Photo, Record

PER_PAGE = 50


@dataclass(frozen=True)
class Line:
    """One line of a log."""

    id: uuid.UUID
    at: datetime
    label: str
    words: str
    note: str
    by: str
    device: str
    standing: str
    photos: tuple[Photo, ...]
    remark: str
    """What the engine thought of it: "odd, but used", say."""
    url: str
    instead: str = ""
    """What stands in the place of a corrected entry."""


def is_kept(id: str) -> bool:
    """Whether an entry with this id, as a form sends it, is written already."""
    try:
        return Entry.objects.filter(pk=uuid.UUID(id)).exists()
    except ValueError:
        return False


def entries_of(record: Record) -> QuerySet[Entry]:
    """Entries about ``record`` and those that touch it, newest first.

    Forms tell minutes: of two entries of one minute the one written later stands first.
    """
    return (
        Entry.objects.filter(Q(record_id=record.pk) | Q(touches__record_id=record.pk))
        .distinct()
        .order_by(TruncMinute("happened_at").desc(), "-written_at")
    )


def log_of(
    record: Record,
    system: System,
    page: int = 1,
    remarks: Mapping[uuid.UUID, str] | None = None,
    per_page: int = PER_PAGE,
) -> Page[Line]:
    """One page of the log of ``record``, newest first; ``remarks`` by entry id."""
    found = Paginator(entries_of(record), per_page).get_page(page)
    entries = list(
        found.object_list.select_related("by", "device", "corrected_by").prefetch_related("photos")  # type: ignore[attr-defined]
    )
    found.object_list = lines(entries, system, remarks or {})  # type: ignore[assignment]
    return found  # type: ignore[return-value]


def lines(
    entries: Iterable[Entry], system: System, remarks: Mapping[uuid.UUID, str] | None = None
) -> list[Line]:
    """``entries`` as lines; people, devices and photos should have been fetched with them."""
    return [
        Line(
            id=entry.pk,
            at=entry.happened_at,
            label=label_of(entry),
            words=words_of(entry, system),
            note=entry.note,
            by=entry.by.name,
            device=entry.device.name if entry.device else "",
            standing=entry.standing,
            photos=tuple(entry.photos.all()),
            remark=(remarks or {}).get(entry.pk, ""),
            url=f"/journal/{entry.pk}/",
            instead=_instead(entry, system),
        )
        for entry in entries
    ]


def _instead(entry: Entry, system: System) -> str:
    if entry.standing != Entry.Standing.CORRECTED:
        return ""
    later = getattr(entry, "corrected_by", None)
    return (words_of(later, system) or label_of(later)) if later else ""


def label_of(entry: Entry) -> str:
    """What this kind of entry is called."""
    try:
        return kind_of(entry.kind).label
    except InputError:
        return entry.kind.rpartition(".")[2].replace("_", " ").capitalize()


def words_of(entry: Entry, system: System) -> str:
    """The entry as one line."""
    try:
        return kind_of(entry.kind).say(entry.data, system)
    except (InputError, KeyError, TypeError, ValueError):
        # A line of a log must show, whatever an import brought along.
        return ", ".join(f"{key}: {value}" for key, value in entry.data.items())


@dataclass(frozen=True)
class History:
    """An entry with what it replaced, what replaced it, and its marks."""

    line: Line
    earlier: tuple[Line, ...]
    later: tuple[Line, ...]
    marks: tuple[Mark, ...]


def history_of(entry: Entry, system: System) -> History:
    """Everything that happened to ``entry``."""
    earlier, later = [], []
    step = entry.corrects
    while step is not None:
        earlier.append(step)
        step = step.corrects
    step = getattr(entry, "corrected_by", None)
    while step is not None:
        later.append(step)
        step = getattr(step, "corrected_by", None)
    return History(
        line=lines([entry], system)[0],
        earlier=tuple(lines(earlier, system)),
        later=tuple(lines(later, system)),
        marks=tuple(entry.marks.select_related("by")),
    )

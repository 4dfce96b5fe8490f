"""Writing into the yard's memory. Every function is one transaction, and none overwrites."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.journal.kinds import fold_of, kind_of
from tanwright.yard.journal.models import Entry, Mark, Record, Touch
from tanwright.yard.people.models import Device, Person

R = TypeVar("R", bound=Record)

Touched = tuple[Record, str]
"""Another record and the part it plays, like ``(liquor, "poured from")``."""


@dataclass(frozen=True)
class Written:
    """An entry, and whether this call wrote it (False: it had been sent before)."""

    entry: Entry
    new: bool


@transaction.atomic
def open_record(model: type[R], kind: Record.Kind, by: Person, **fields: Any) -> R:
    """A new record of ``kind`` with the next number.

    An ``id`` among ``fields`` makes the call safe to repeat: the record of that id is handed back.
    """
    if id := fields.get("id"):
        known: R | None = model._default_manager.filter(pk=id).first()  # type: ignore[assignment]
        if known is not None:
            return known
    # PostgreSQL: the lock makes two new records of one kind wait for each other.
    list(Record.objects.select_for_update().filter(kind=kind).order_by("-number")[:1])
    last = Record.objects.filter(kind=kind).aggregate(last=Max("number"))["last"] or 0
    record = model(kind=kind, number=last + 1, created_by=by, **fields)
    record.save(force_insert=True)
    return record


@transaction.atomic
def write(
    *,
    id: uuid.UUID,
    record: Record,
    kind: str,
    data: Mapping[str, Any],
    happened_at: datetime,
    by: Person,
    device: Device | None = None,
    note: str = "",
    touches: Sequence[Touched] = (),
    corrects: Entry | None = None,
) -> Written:
    """Note something about ``record``. Sending the same ``id`` again is a no-op.

    Raises
    ------
    InputError
        For data that the kind refuses, a time that cannot be, or an id that belongs to another
        record's entry.
    PermissionDenied
        When a helper may not write this kind.
    """
    known = Entry.objects.filter(pk=id).first()
    if known is not None:
        return Written(_the_same(known, record, kind), new=False)
    rule = kind_of(kind)
    if not (by.is_keeper or rule.helper_may):
        raise PermissionDenied(f"Only a keeper may write this: {rule.label.lower()}.")
    if rule.record_kind != record.kind:
        raise InputError(
            f"{rule.label.lower()} is not noted of a {record.kind}",
            place="record",
            remedy=f"choose a {rule.record_kind}",
        )
    entry = Entry.objects.create(
        id=id,
        record_id=record.pk,
        kind=kind,
        happened_at=possible_time(happened_at),
        by=by,
        device=device,
        data=rule.clean(data),
        note=note.strip(),
        corrects=corrects,
    )
    Touch.objects.bulk_create(
        Touch(entry=entry, record_id=other.pk, role=role) for other, role in touches
    )
    refresh([record.pk, *(other.pk for other, _ in touches)])
    return Written(entry, new=True)


@transaction.atomic
def correct(
    entry: Entry,
    *,
    id: uuid.UUID,
    data: Mapping[str, Any],
    happened_at: datetime,
    by: Person,
    device: Device | None = None,
    note: str = "",
    touches: Sequence[Touched] | None = None,
) -> Written:
    """Write a better entry in place of ``entry``, which is kept and marked as corrected.

    ``touches`` of ``None`` keeps those of the entry that is corrected.
    """
    known = Entry.objects.filter(pk=id).first()
    if known is not None:
        return Written(_the_same(known, entry.record, entry.kind), new=False)
    entry = Entry.objects.select_for_update().get(pk=entry.pk)
    if entry.standing != Entry.Standing.LIVE:
        raise InputError(
            "this entry has been corrected or withdrawn already",
            place="entry",
            remedy="open the log and correct the entry that stands there now",
        )
    old = [(touch.record, touch.role) for touch in entry.touches.select_related("record")]
    entry.standing = Entry.Standing.CORRECTED
    entry.save(update_fields=["standing"])
    written = write(
        id=id,
        record=entry.record,
        kind=entry.kind,
        data=data,
        happened_at=happened_at,
        by=by,
        device=device,
        note=note,
        touches=old if touches is None else touches,
        corrects=entry,
    )
    refresh([record.pk for record, _ in old])
    return written


@transaction.atomic
def withdraw(entry: Entry, by: Person, why: str = "") -> Entry:
    """Mark ``entry`` as withdrawn: it stays in the history and counts no longer."""
    return _mark(entry, Entry.Standing.LIVE, Mark.What.WITHDRAWN, by, why)


@transaction.atomic
def restore(entry: Entry, by: Person) -> Entry:
    """Take the withdrawal of ``entry`` back."""
    return _mark(entry, Entry.Standing.WITHDRAWN, Mark.What.RESTORED, by, "")


@transaction.atomic
def withdraw_record(record: Record, by: Person, why: str = "") -> None:
    """Mark a record as withdrawn; lists leave it out, its page says so and offers undo."""
    if record.withdrawn_at is None:
        Mark.objects.create(record_id=record.pk, what=Mark.What.WITHDRAWN, by=by, why=why)
        Record.objects.filter(pk=record.pk).update(withdrawn_at=timezone.now())
        refresh([record.pk])


@transaction.atomic
def restore_record(record: Record, by: Person) -> None:
    """Take the withdrawal of ``record`` back."""
    if record.withdrawn_at is not None:
        Mark.objects.create(record_id=record.pk, what=Mark.What.RESTORED, by=by)
        Record.objects.filter(pk=record.pk).update(withdrawn_at=None)
        refresh([record.pk])


def refresh(record_ids: Iterable[uuid.UUID]) -> None:
    """Count a change of each record and let its area bring its kept state up to date."""
    ids = sorted(set(record_ids))
    Record.objects.filter(pk__in=ids).update(version=F("version") + 1)
    for id, kind in Record.objects.filter(pk__in=ids).values_list("pk", "kind"):
        if fold := fold_of(kind):
            fold(id)


def possible_time(happened_at: datetime) -> datetime:
    """``happened_at`` if the yard can have seen it. Raises InputError.

    A day ahead is let through: phones have wrong clocks, and plans are tried out ahead of time.
    """
    if timezone.is_naive(happened_at):
        happened_at = timezone.make_aware(happened_at)
    ahead = (happened_at - timezone.now()).total_seconds()
    if ahead > 86_400.0 or happened_at.year < 1900:
        raise InputError(
            f"{happened_at:%Y-%m-%d %H:%M} cannot be the time of an entry",
            place="when",
            remedy="write the day and time at which it was done or seen",
        )
    return happened_at


def _the_same(known: Entry, record: Record, kind: str) -> Entry:
    if known.record_id != record.pk or known.kind != kind:
        raise InputError(
            "an entry with this id was written before, about something else",
            place="id",
            remedy="reload the page and enter it again",
        )
    return known


def _mark(entry: Entry, before: Entry.Standing, what: Mark.What, by: Person, why: str) -> Entry:
    entry = Entry.objects.select_for_update().get(pk=entry.pk)
    if entry.standing != before:
        return entry
    Mark.objects.create(entry=entry, what=what, by=by, why=why)
    withdrawn = what == Mark.What.WITHDRAWN
    entry.standing = Entry.Standing.WITHDRAWN if withdrawn else Entry.Standing.LIVE
    entry.save(update_fields=["standing"])
    refresh([entry.record_id, *entry.touches.values_list("record_id", flat=True)])
    return entry

"""What may be done with lots and containers; each function is one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone
from PIL.Image import Image

from tanwright.errors import InputError
from tanwright.planning.containers import container
from tanwright.reference import lots as histories
from tanwright.reference import materials
from tanwright.yard.journal.changes import change
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.services import Touched, Written, open_record, write
from tanwright.yard.people.models import Device, Person
from tanwright.yard.stock.account import GATHERED, GATHERED_INTO
from tanwright.yard.stock.models import Container, Lot
from tanwright.yard.stock.tables import container_tables, material_table

__all__ = [
    "change_lot",
    "container_tables",
    "drop_container",
    "keep_container",
    "log",
    "material_table",
    "new_lot",
    "open_lot",
    "set_tannin",
    "stocktake",
    "try_lot",
]


@transaction.atomic
def new_lot(
    by: Person,
    material_id: str,
    *,
    id: uuid.UUID | None = None,
    name: str = "",
    kg: float | None = None,
    counted: str = "",
    state: str = "dry",
    where: str = "",
    gathered_on: date | None = None,
    history: Mapping[str, Any] | None = None,
    came_from: Record | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Lot:
    """A new lot of ``kg`` kilograms as it lies (``None``: not weighed yet).

    ``came_from`` is the place where it was gathered; what came then counts for both. The same
    ``id`` again hands back the lot that was made. Raises InputError for a plant or a
    history that cannot be, PermissionDenied for a helper.
    """
    id = id or uuid.uuid4()
    lot = open_lot(
        by,
        material_id,
        id=id,
        name=name,
        state=state,
        gathered_on=gathered_on,
        history=history,
    )
    data = {"state": state, "where": where, "counted": counted, "material_id": lot.material_id}
    touches: list[Touched] = []
    if came_from is not None:
        only_a_place(came_from)
        touches.append((lot, GATHERED_INTO))
    write(
        id=uuid.uuid5(id, "got"),
        record=came_from or lot,
        kind=GATHERED if came_from else "lot.got",
        data=data if kg is None else {**data, "kg": kg},
        touches=touches,
        happened_at=happened_at or timezone.now(),
        by=by,
        device=device,
        note=note,
    )
    lot.refresh_from_db()
    return lot


def open_lot(
    by: Person,
    material_id: str,
    *,
    id: uuid.UUID,
    name: str = "",
    state: str = "dry",
    gathered_on: date | None = None,
    history: Mapping[str, Any] | None = None,
) -> Lot:
    """A lot without an entry yet: what came is written by whoever calls. Keepers only."""
    only_keeper(by, "open a lot")
    return open_record(
        Lot,
        Record.Kind.LOT,
        by,
        id=id,
        name=name.strip(),
        material_id=materials.material(material_id).id,
        gathered_on=possible_day(gathered_on),
        history=clean_history(history or {}, state),
    )


@transaction.atomic
def log(
    lot: Lot,
    kind: str,
    data: Mapping[str, Any],
    by: Person,
    *,
    id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
    photo: Image | None = None,
) -> Written:
    """Note something of a lot: ``kind`` is lot.got, lot.stocktake, lot.lost, lot.dried, lot.moved,
    lot.note or another of :mod:`tanwright.yard.stock.entry_kinds`. ``photo`` is a picture from
    :func:`tanwright.yard.journal.photos.opened`."""
    id = id or uuid.uuid4()
    now = happened_at or timezone.now()
    if not Entry.objects.filter(pk=id).exists():
        _check_possible(lot, kind, data, now)
    if kind == "lot.trial":
        # The state that it lies in and its plant are the lot's own, whatever was sent.
        data = {**data, "material_id": lot.material_id, "state": lot.state}
    written = write(
        id=id,
        record=lot,
        kind=kind,
        data=data,
        happened_at=now,
        by=by,
        device=device,
        note=note,
    )
    if photo is not None:
        add_photo(written.entry, photo, note)
    lot.refresh_from_db()
    return written


def _check_possible(lot: Lot, kind: str, data: Mapping[str, Any], at: datetime) -> None:
    """Raises InputError for what cannot be of a lot that lies as this one does.

    Of days before its present state began nothing is said: they are noted late.
    """
    since = lot.state_since
    if since is None or at < since.replace(second=0, microsecond=0):  # forms tell whole minutes
        return
    state, kg = data.get("state") or lot.state, data.get("kg")
    if kind == "lot.got" and state != lot.state:
        raise InputError(
            f"{lot.title} lies {lot.state}, and what came is {state}",
            place="state",
            remedy="make it a lot of its own, so that the strength of each stays known",
        )
    if kind == "lot.dried" and lot.left_kg and kg is not None and float(kg) > lot.left_kg:
        raise InputError(
            "drying makes nothing heavier, and this is more than was noted to be there",
            place="kg",
            remedy="note first what else came, or what was left",
        )


@transaction.atomic
def stocktake(
    weighed: Mapping[Lot, float],
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> int:
    """Note what is left of each lot, kg; how many were noted. The same ``id`` changes nothing."""
    for lot, kg in weighed.items():
        own_id = uuid.uuid5(id, str(lot.pk))
        log(lot, "lot.stocktake", {"kg": kg}, by, id=own_id, happened_at=happened_at,
            device=device, note=note)  # fmt: skip
    return len(weighed)


@transaction.atomic
def try_lot(lot: Lot, data: Mapping[str, Any], by: Person, **entry: Any) -> Written:
    """Note a trial cook of ``lot``; what was seen becomes its tannin figure. Raises InputError."""
    return log(lot, "lot.trial", data, by, **entry)


@transaction.atomic
def set_tannin(
    lot: Lot, low_pct: float, high_pct: float, how: str, by: Person, **entry: Any
) -> Written:
    """Take ``low_pct`` to ``high_pct`` (% of the lot as it lies, 5 to 95 %) for its tannin.

    ``how`` says where it comes from: an analysis, or the tannage that taught it. Keepers only.
    """
    data = {"low_pct": low_pct, "high_pct": high_pct, "how": how}
    return log(lot, "lot.tannin", data, by, **entry)


@transaction.atomic
def change_lot(lot: Lot, fields: Mapping[str, Any], by: Person, **entry: Any) -> Written | None:
    """Change name, plant, day of gathering or history of a lot; what was before is kept."""
    checked = dict(fields)
    if "material_id" in checked:
        checked["material_id"] = materials.material(checked["material_id"]).id
    if "history" in checked:
        checked["history"] = clean_history(checked["history"], lot.state)
    if "gathered_on" in checked:
        checked["gathered_on"] = possible_day(checked["gathered_on"])
    entry.setdefault("id", uuid.uuid4())
    entry.setdefault("happened_at", timezone.now())
    # The columns kept from entries are left as they are; the fold follows the change.
    written = change(lot, fields=checked, by=by, **entry)
    lot.refresh_from_db()
    return written


@transaction.atomic
def keep_container(name: str, holds: str, by: Person, *, of: str = "") -> Container:
    """Keep that one ``name`` holds ``holds`` ("8 kg", "12 L"), filled with ``of``.

    A container of that name is measured anew. Raises InputError.
    """
    only_keeper(by, "measure a container")
    measure = container(name.strip(), holds, of=of.strip(), place="holds")
    kept, _ = Container.objects.update_or_create(
        name=measure.name,
        defaults={"holds_kg": measure.holds_kg, "holds_l": measure.holds_l, "of": measure.of},
    )
    return kept


@transaction.atomic
def drop_container(item: Container, by: Person) -> None:
    """Forget a container; amounts that were counted in it are kept in kg or litres."""
    only_keeper(by, "forget a container")
    item.delete()


def only_a_place(record: Record) -> None:
    """Raises InputError for a record where nothing can be gathered."""
    if record.kind != Record.Kind.PLACE:
        raise InputError(
            f"nothing is gathered at a {record.kind}",
            place="came_from",
            remedy="choose a place, or leave it out",
        )


def only_keeper(by: Person, what: str) -> None:
    """Raises PermissionDenied for a helper."""
    if not by.is_keeper:
        raise PermissionDenied(f"Only a keeper may {what}. A helper logs what was done and seen.")


def possible_day(day: date | None) -> date | None:
    """``day`` if something can have been gathered then. Raises InputError."""
    if day is not None and not (day.year >= 1900 and day <= timezone.localdate()):
        raise InputError(
            f"{day} cannot be the day it was gathered",
            place="gathered_on",
            remedy="write a day that has been",
        )
    return day


def clean_history(history: Mapping[str, Any], state: str) -> dict[str, Any]:
    """The history without what was not answered. Raises InputError for what cannot be."""
    kept = {key: value for key, value in history.items() if value not in (None, "")}
    known = dict(kept)
    if "stored_years" in known:
        known["age_years"] = known.pop("stored_years")
    try:
        histories.Lot(state=state, **known)
    except TypeError:
        raise InputError(
            "this is not a history of a lot", place="history", remedy="reload the page"
        ) from None
    return kept

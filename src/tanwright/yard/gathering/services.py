"""What may be done with places; each function is one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from PIL.Image import Image

from tanwright.errors import InputError
from tanwright.reference import materials
from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.regrowth import check_cut, cut_of
from tanwright.yard.journal.changes import change
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.services import Touched, Written, correct, open_record, write
from tanwright.yard.people.models import Device, Person
from tanwright.yard.stock import services as stock
from tanwright.yard.stock.account import GATHERED, GATHERED_INTO
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import only_keeper, possible_day


@transaction.atomic
def open_place(
    by: Person,
    what: str,
    *,
    id: uuid.UUID | None = None,
    permission: str = "",
    by_role: str = "",
    until: date | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
    **facts: Any,
) -> Place:
    """A place comes on the list; ``facts`` are fields of :class:`Place` (name, whose, plants, ...).

    ``permission`` ("given", say), ``by_role`` and ``until`` tell whether one may gather there. The
    same ``id`` again hands back the place that was made. Keepers only; raises InputError.
    """
    only_keeper(by, "put a place on the list")
    id = id or uuid.uuid4()
    checked = clean_facts({"what": what, **facts})
    place = open_record(Place, Record.Kind.PLACE, by, id=id, **checked)
    log(place, "found", {}, by, id=uuid.uuid5(id, "found"), note=note, happened_at=happened_at,
        device=device)  # fmt: skip
    if permission and permission != Place.Permission.NOT_ASKED:
        said = {"permission": permission, "by_role": by_role, "until": until}
        log(place, "permission", said, by, id=uuid.uuid5(id, "permission"),
            happened_at=happened_at, device=device)  # fmt: skip
    place.refresh_from_db()
    return place


@transaction.atomic
def log(
    place: Place,
    what: str,
    data: Mapping[str, Any],
    by: Person,
    *,
    id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
    photo: Image | None = None,
) -> Written:
    """Note something of a place; ``what`` is the kind without its area ("visited", "trunks")."""
    id = id or uuid.uuid4()
    if what == "cut" and not Entry.objects.filter(pk=id).exists():
        check_cut(place, cut_of(place, happened_at or timezone.now(), data))
    written = _write(place, f"place.{what}", data, by, id, happened_at, device, note)
    if photo is not None:
        add_photo(written.entry, photo, note)
    return written


@transaction.atomic
def gather(
    place: Place,
    by: Person,
    material_id: str,
    *,
    kg: float | None = None,
    state: str = "fresh",
    where: str = "",
    counted: str = "",
    into: Lot | None = None,
    as_lot: bool = False,
    lot_name: str = "",
    history: Mapping[str, Any] | None = None,
    id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Lot | None:
    """Note what was gathered at ``place``; the lot it went to, ``None`` when it waits for a keeper.

    ``into`` adds it to a lot of the same plant in the same state; ``as_lot`` makes a lot of its
    own (keepers only). The same ``id`` again changes nothing. Raises InputError.
    """
    id = id or uuid.uuid4()
    material_id = materials.material(material_id).id
    data = {"material_id": material_id, "kg": kg, "state": state, "where": where,
            "counted": counted}  # fmt: skip
    if as_lot and into is None:
        day = timezone.localtime(happened_at or timezone.now()).date()
        lot = stock.new_lot(
            by, material_id, id=uuid.uuid5(id, "lot"), name=lot_name, kg=kg, counted=counted,
            state=state, where=where, gathered_on=min(day, timezone.localdate()), history=history,
            came_from=place, happened_at=happened_at, device=device, note=note,
        )  # fmt: skip
        place.refresh_from_db()
        return lot
    touches: list[Touched] = []
    if into is not None:
        _fits(into, material_id, state)
        touches.append((into, GATHERED_INTO))
    _write(place, GATHERED, data, by, id, happened_at, device, note, touches)
    if into is not None:
        into.refresh_from_db()
    return into


@transaction.atomic
def take_in(entry: Entry, by: Person, *, name: str = "") -> Lot:
    """Make a lot of what was gathered and is not in stock yet. Keepers only.

    The entry is written anew with its lot; what stood there is kept. Raises InputError for an
    entry that is in stock already.
    """
    only_keeper(by, "open a lot")
    known = Lot.objects.filter(pk=uuid.uuid5(entry.pk, "lot")).first()
    if known is not None:
        return known
    if entry.kind != GATHERED or entry.touches.filter(role=GATHERED_INTO).exists():
        raise InputError(
            "this is in stock already", place="entry", remedy="look it up on the stock page"
        )
    data = entry.data
    lot = stock.open_lot(
        by,
        data["material_id"],
        id=uuid.uuid5(entry.pk, "lot"),
        name=name,
        state=data["state"],
        gathered_on=timezone.localtime(entry.happened_at).date(),
    )
    correct(
        entry,
        id=uuid.uuid5(entry.pk, "taken in"),
        data=data,
        happened_at=entry.happened_at,
        by=by,
        note=entry.note,
        touches=[(lot, GATHERED_INTO)],
    )
    lot.refresh_from_db()
    return lot


@transaction.atomic
def change_place(
    place: Place, facts: Mapping[str, Any], by: Person, **entry: Any
) -> Written | None:
    """Change what is known of a place; what was before is kept. Keepers only."""
    only_keeper(by, "change a place")
    entry.setdefault("id", uuid.uuid4())
    entry.setdefault("happened_at", timezone.now())
    written = change(place, fields=clean_facts(facts), by=by, **entry)
    place.refresh_from_db()
    return written


def clean_facts(facts: Mapping[str, Any]) -> dict[str, Any]:
    """``facts`` as the columns of a place keep them. Raises InputError for what cannot be."""
    checked = dict(facts)
    if "what" in checked and checked["what"] not in Place.What.values:
        raise InputError(
            f'"{checked["what"]}" is no kind of place',
            place="what",
            remedy="write one of " + ", ".join(Place.What.values),
        )
    if "plants" in checked:
        ids = [materials.material(id).id for id in str(checked["plants"]).split()]
        checked["plants"] = " ".join(dict.fromkeys(ids))
    if "ended_on" in checked:
        try:
            checked["ended_on"] = possible_day(checked["ended_on"])
        except InputError:
            raise InputError(
                f"{checked['ended_on']} cannot be the day it fell",
                place="ended_on",
                remedy="write a day that has been, or leave it empty",
            ) from None
    for key in ("name", "whose", "way"):
        if key in checked:
            checked[key] = str(checked[key]).strip()
    return checked


def _fits(lot: Lot, material_id: str, state: str) -> None:
    """Raises InputError for a lot of another plant, or one that lies in another state."""
    if lot.material_id != material_id or lot.state != state:
        raise InputError(
            f"{lot.title} is of another plant, or lies {lot.state}",
            place="into",
            remedy="make it a lot of its own, or let it wait",
        )


def _write(
    place: Place,
    kind: str,
    data: Mapping[str, Any],
    by: Person,
    id: uuid.UUID | None,
    happened_at: datetime | None,
    device: Device | None,
    note: str,
    touches: list[Touched] | None = None,
) -> Written:
    written = write(
        id=id or uuid.uuid4(),
        record=place,
        kind=kind,
        data={key: value for key, value in data.items() if value not in (None, "")},
        happened_at=happened_at or timezone.now(),
        by=by,
        device=device,
        note=note,
        touches=touches or (),
    )
    place.refresh_from_db()
    return written

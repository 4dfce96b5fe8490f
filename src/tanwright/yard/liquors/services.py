"""What may be done with liquors and tools; each function is one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from PIL.Image import Image

from tanwright.errors import InputError
from tanwright.yard.journal.changes import change
from tanwright.yard.journal.models import Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.services import Touched, Written, open_record, write
from tanwright.yard.liquors.account import COOKED_IN, JOINED, SPLIT
from tanwright.yard.liquors.models import Liquor, Tools
from tanwright.yard.liquors.tables import tool_table, tools_of_the_yard
from tanwright.yard.people.models import Device, Person
from tanwright.yard.stock.account import COOKED_FROM
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import only_keeper
from tanwright.yard.stock.tables import material_table

__all__ = [
    "change_liquor",
    "cook",
    "join",
    "keep_from_vat",
    "log",
    "read_strength",
    "set_tools",
    "split",
    "tool_table",
]

COOKED_AGAIN = "cooked again"
"""Role in which a second or later water touches the lot: it takes no more of it."""
FROM_VAT = "kept from vat"


@transaction.atomic
def cook(
    by: Person,
    lots: Mapping[Lot, float],
    water_l: float,
    *,
    into: Liquor | None = None,
    id: uuid.UUID | None = None,
    name: str = "",
    in_liquor: Liquor | None = None,
    in_litres: float | None = None,
    volume_l: float | None = None,
    temperature_c: float | None = None,
    hours: float | None = None,
    which: int = 1,
    where: str = "",
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Liquor:
    """Cook kg of ``lots`` in ``water_l`` litres, into a new liquor or on top of ``into``.

    ``which`` counts the waters of the same material: a second one takes nothing more of the lot.
    ``in_liquor`` is an older liquor that it was cooked in (``in_litres`` of it, else all). The same
    ``id`` again changes nothing. Keepers only; raises InputError for what cannot be.
    """
    only_keeper(by, "open a cook")
    id = id or uuid.uuid4()
    liquor = into or open_record(Liquor, Record.Kind.LIQUOR, by, id=id, name=name.strip())
    if in_liquor is not None and in_liquor.pk == liquor.pk:
        raise InputError(
            "a liquor cannot be cooked into itself", place="in_liquor", remedy="leave it out"
        )
    if in_liquor is not None and in_litres is None:
        in_litres = in_liquor.volume_l
    data: dict[str, Any] = {
        "lots": {str(lot.pk): kg for lot, kg in lots.items()},
        "plants": {str(lot.pk): _as_believed(lot) for lot in lots},
        "water_l": water_l,
        "volume_l": volume_l,
        "temperature_c": temperature_c,
        "hours": hours,
        "which": which,
        "where": where,
    }
    role = COOKED_FROM if which == 1 else COOKED_AGAIN
    touches: list[Touched] = [(lot, role) for lot in lots]
    if in_liquor is not None:
        data["in_litres"] = in_litres
        touches.append((in_liquor, COOKED_IN))
    _write(liquor, "liquor.cooked", data, by, _entry_id(id, into, "cooked"), happened_at, device,
           note, touches)  # fmt: skip
    return liquor


@transaction.atomic
def keep_from_vat(
    vat: Record,
    litres: float,
    by: Person,
    *,
    id: uuid.UUID | None = None,
    strength_bk: float | None = None,
    materials: Mapping[str, float] | None = None,
    where: str = "",
    name: str = "",
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Liquor:
    """Open a liquor with ``litres`` taken out of the vat of the tannage ``vat``.

    ``strength_bk`` is the vat's latest strength at 15.6 °C, ``materials`` the kg of material by id
    whose tannin went out with it. The same ``id`` again changes nothing. Keepers only.
    """
    only_keeper(by, "open a liquor")
    id = id or uuid.uuid4()
    liquor = open_record(Liquor, Record.Kind.LIQUOR, by, id=id, name=name.strip())
    data = {
        "litres": litres,
        "bk": strength_bk,
        "materials": dict(materials or {}),
        "where": where,
    }
    _write(liquor, "liquor.from_vat", data, by, uuid.uuid5(id, "from vat"), happened_at, device,
           note, [(vat, FROM_VAT)])  # fmt: skip
    return liquor


@transaction.atomic
def read_strength(
    liquor: Liquor,
    value: float,
    scale: str,
    by: Person,
    *,
    liquor_c: float | None = None,
    id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Note a strength as the instrument showed it; it is corrected to °Bk at 15.6 °C with the
    calibration of the yard's own instrument. Raises InputError."""
    data: dict[str, Any] = {"value": value, "scale": scale, "liquor_c": liquor_c}
    data["calibrated_at_c"] = calibration_for(scale)
    return _write(liquor, "liquor.strength", data, by, id, happened_at, device, note)


def calibration_for(scale: str) -> float | None:
    """What the yard's hydrometer is calibrated at, if the reading can be from it, °C."""
    tools = tools_of_the_yard()
    return tools.calibrated_at_c if tools.instrument == "hydrometer" else None


@transaction.atomic
def join(
    into: Liquor,
    other: Liquor,
    by: Person,
    *,
    litres: float | None = None,
    id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Pour ``litres`` of ``other`` (all that is left when ``None``) into ``into``."""
    if into.pk == other.pk:
        raise InputError(
            "a liquor cannot be joined with itself", place="other", remedy="choose another liquor"
        )
    data = {"litres": litres}
    return _write(into, "liquor.joined", data, by, id, happened_at, device, note, [(other, JOINED)])


@transaction.atomic
def split(
    liquor: Liquor,
    litres: float,
    by: Person,
    *,
    id: uuid.UUID | None = None,
    where: str = "",
    name: str = "",
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Liquor:
    """Open a liquor with ``litres`` of ``liquor``. Keepers only."""
    only_keeper(by, "open a liquor")
    id = id or uuid.uuid4()
    part = open_record(Liquor, Record.Kind.LIQUOR, by, id=id, name=name.strip())
    data = {"litres": litres, "where": where}
    _write(part, "liquor.split", data, by, uuid.uuid5(id, "split"), happened_at, device, note,
           [(liquor, SPLIT)])  # fmt: skip
    return part


@transaction.atomic
def log(
    liquor: Liquor,
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
    """Note something of a liquor: ``kind`` is liquor.look, liquor.thinned, liquor.measured,
    liquor.moved, liquor.spent, liquor.thrown, liquor.used_up, liquor.note and the like. ``photo``
    is a picture from :func:`tanwright.yard.journal.photos.opened`."""
    written = _write(liquor, kind, data, by, id, happened_at, device, note)
    if photo is not None:
        add_photo(written.entry, photo, note)
    return written


@transaction.atomic
def change_liquor(
    liquor: Liquor, fields: Mapping[str, Any], by: Person, **entry: Any
) -> Written | None:
    """Change the name of a liquor; what was before is kept."""
    entry.setdefault("id", uuid.uuid4())
    entry.setdefault("happened_at", timezone.now())
    return change(liquor, fields=dict(fields), by=by, **entry)


@transaction.atomic
def set_tools(by: Person, **fields: Any) -> Tools:
    """Keep what the yard measures and cooks with. Keepers only."""
    only_keeper(by, "change the tools of the yard")
    tools = tools_of_the_yard()
    for name, value in fields.items():
        setattr(tools, name, value)
    tools.save()
    return tools


def _write(
    liquor: Liquor,
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
        record=liquor,
        kind=kind,
        data={key: value for key, value in data.items() if value is not None},
        happened_at=happened_at or timezone.now(),
        by=by,
        device=device,
        note=note,
        touches=touches or (),
    )
    for record in (liquor, *(other for other, _ in touches or ())):
        record.refresh_from_db()
    return written


def _entry_id(id: uuid.UUID, into: Liquor | None, what: str) -> uuid.UUID:
    """A new liquor has the id itself, so that its first entry needs another."""
    return id if into is not None else uuid.uuid5(id, what)


def _as_believed(lot: Lot) -> dict[str, Any]:
    """The lot's [[material]] without its mass: what is believed of it at the time of the cook."""
    return {key: value for key, value in material_table(lot).items() if key != "have"}

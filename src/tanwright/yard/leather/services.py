"""What may be done with leather; each function is one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone
from PIL.Image import Image

from tanwright.errors import InputError
from tanwright.reference.leathers import leather as aim_named
from tanwright.yard.journal.changes import change
from tanwright.yard.journal.models import Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.services import Written, open_record, refresh, write
from tanwright.yard.leather.models import Leather
from tanwright.yard.people.models import Device, Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage


@transaction.atomic
def open_leather(
    by: Person,
    tannage: Tannage,
    skin: Skin,
    *,
    id: uuid.UUID | None = None,
    name: str = "",
    aim: str = "",
) -> Leather:
    """The leather of ``skin`` out of ``tannage``; asked for again, the one there is.

    Raises InputError for a skin of another vat or one that is still in it, PermissionDenied for a
    helper.
    """
    only_keeper(by, "open a leather")
    if known := Leather.objects.filter(tannage=tannage, skin=skin).first():
        return known
    place = tannage.places.filter(skin=skin).first()
    if place is None:
        raise InputError(
            f"{skin.title} was not in {tannage.title}",
            place="skin",
            remedy="choose a skin of this vat",
        )
    if place.taken_out_at is None:
        raise InputError(
            f"{skin.title} still lies in {tannage.title}",
            place="skin",
            remedy="take it out there first",
        )
    found = open_record(
        Leather,
        Record.Kind.LEATHER,
        by,
        id=id or uuid.uuid4(),
        tannage=tannage,
        skin=skin,
        name=name.strip(),
        aim=aim_named(aim).id if aim else "",
    )
    refresh([found.pk])
    found.refresh_from_db()
    return found


@transaction.atomic
def log(
    leather: Leather,
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
    """Note something of a leather: a ``kind`` of :mod:`tanwright.yard.leather.entry_kinds`.

    Sending the same ``id`` again is a no-op. ``photo`` is a picture from
    :func:`tanwright.yard.journal.photos.opened`. Raises InputError.
    """
    written = write(
        id=id or uuid.uuid4(),
        record=leather,
        kind=kind,
        data=data,
        happened_at=happened_at or timezone.now(),
        by=by,
        device=device,
        note=note,
    )
    if photo is not None:
        add_photo(written.entry, photo, note)
    leather.refresh_from_db()
    return written


@transaction.atomic
def change_leather(
    leather: Leather, fields: Mapping[str, Any], by: Person, **entry: Any
) -> Written | None:
    """Change its name or what it is to become; what was before is kept."""
    checked = dict(fields)
    if checked.get("aim"):
        checked["aim"] = aim_named(checked["aim"]).id
    entry.setdefault("id", uuid.uuid4())
    entry.setdefault("happened_at", timezone.now())
    written = change(leather, fields=checked, by=by, **entry)
    leather.refresh_from_db()
    return written


def only_keeper(by: Person, what: str) -> None:
    """Raises PermissionDenied for a helper."""
    if not by.is_keeper:
        raise PermissionDenied(f"Only a keeper may {what}. A helper logs what was done and seen.")

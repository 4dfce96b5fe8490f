"""Taking in one entry as a phone kept it while the yard was out of reach."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from tanwright.errors import InputError
from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.services import Written
from tanwright.yard.liquors.strengths import GRAVITY_TOLD, is_likely_gravity
from tanwright.yard.people.models import Device, Person
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.quick import QUICK
from tanwright.yard.tannage.services import log


def log_from_phone(payload: Mapping[str, Any], by: Person, device: Device | None = None) -> Written:
    """One entry as a phone kept it: ``id``, ``tannage``, ``what``, ``data``, ``happened_at``.

    Raises
    ------
    InputError
        For a payload that cannot be an entry, with what to put right.
    """
    try:
        id, tannage_id = uuid.UUID(str(payload["id"])), uuid.UUID(str(payload["tannage"]))
        happened_at = datetime.fromisoformat(str(payload["happened_at"]))
        what, data = str(payload["what"]), dict(payload.get("data") or {})
    except (KeyError, ValueError, TypeError):
        raise InputError(
            "this is not an entry", place="entry", remedy="reload the shed page and enter it again"
        ) from None
    if what not in QUICK:
        raise InputError(
            f'"{what}" is not noted from the shed page', place="what",
            remedy="note it on the page of the vat",
        )  # fmt: skip
    known = Entry.objects.filter(pk=id).first()
    if known is not None:
        return Written(known, new=False)
    tannage = Tannage.objects.filter(pk=tannage_id).first()
    if tannage is None:
        raise InputError(
            "there is no such vat", place="tannage", remedy="choose a vat of this yard"
        )
    value, scale = data.get("value"), str(data.get("scale"))
    if isinstance(value, (int, float)) and is_likely_gravity(value, scale):
        raise InputError(GRAVITY_TOLD.removesuffix("."), place="value")
    return log(tannage, what, data, by, id=id, happened_at=happened_at, device=device,
               note=str(payload.get("note") or "")[:2000])  # fmt: skip

"""Changes of a record's own facts (its name, its animal, its tub), kept with what was before."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from functools import partial
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import transaction

from tanwright.errors import InputError
from tanwright.units import System
from tanwright.yard.journal.kinds import Data, Kind
from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import Written, write
from tanwright.yard.people.models import Device, Person

_as_json = DjangoJSONEncoder()


def changed_kind(record_kind: str, labels: Mapping[str, str]) -> Kind:
    """The kind of entry that keeps changes of the fields ``labels`` (name -> what to call it)."""
    return Kind(
        name=f"{record_kind}.changed",
        label="Changed",
        record_kind=record_kind,
        clean=partial(_clean, frozenset(labels)),
        say=partial(_say, dict(labels)),
        helper_may=False,
    )


@transaction.atomic
def change(
    record: Record,
    *,
    id: uuid.UUID,
    fields: Mapping[str, Any],
    happened_at: datetime,
    by: Person,
    device: Device | None = None,
    note: str = "",
) -> Written | None:
    """Set ``fields`` of ``record`` and keep what they were; ``None`` when nothing differs."""
    before = {name: _plain(getattr(record, name)) for name in fields}
    after = {name: _plain(value) for name, value in fields.items()}
    differing = [name for name in fields if before[name] != after[name]]
    if not differing:
        return None
    for name in differing:
        setattr(record, name, fields[name])
    record.save(update_fields=differing)
    return write(
        id=id,
        record=record,
        kind=f"{record.kind}.changed",
        data={
            "before": {name: before[name] for name in differing},
            "after": {name: after[name] for name in differing},
        },
        happened_at=happened_at,
        by=by,
        device=device,
        note=note,
    )


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, (bool, int, float, str, list, dict)):
        return value
    return _as_json.default(value)


def _clean(known: frozenset[str], data: Mapping[str, Any]) -> Data:
    before, after = data.get("before"), data.get("after")
    if not isinstance(before, dict) or not isinstance(after, dict) or not known >= after.keys():
        raise InputError(
            "this is not a change of such a record", place="change", remedy="edit it on its page"
        )
    return {"before": before, "after": after}


def _say(labels: Mapping[str, str], data: Mapping[str, Any], system: System) -> str:
    before, after = data["before"], data["after"]
    return "; ".join(
        f"{labels.get(name, name)}: {_word(before.get(name))} → {_word(after[name])}"
        for name in after
    )


def _word(value: Any) -> str:
    if value is None or value == "":
        return "not said"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from tanwright.units import System
from tanwright.yard.journal import kinds
from tanwright.yard.journal.kinds import Data, Kind
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.people.local import keeper_of_this_machine

Note = Callable[..., Entry]


@pytest.fixture
def looked_at(monkeypatch: pytest.MonkeyPatch) -> str:
    """A kind of entry that is known for the length of one test."""

    def clean(data: Mapping[str, Any]) -> Data:
        return dict(data)

    def say(data: Mapping[str, Any], system: System) -> str:
        return f"Looked at by {'lamp' if data.get('lamp') else 'day'} in {system} units"

    kind = Kind("skin.looked-at", "Looked at", "skin", clean, say)
    monkeypatch.setitem(kinds._kinds, kind.name, kind)
    return kind.name


@pytest.fixture
def note(db: None, looked_at: str) -> Note:
    """Writes an entry into the table as it stands, without the services' checks."""

    def write(
        record: Record,
        note: str = "",
        data: Mapping[str, Any] | None = None,
        at: datetime | None = None,
        **fields: Any,
    ) -> Entry:
        return Entry.objects.create(
            id=uuid4(),
            record_id=record.pk,
            kind=looked_at,
            happened_at=at or timezone.now(),
            by=keeper_of_this_machine(),
            note=note,
            data=dict(data or {}),
            **fields,
        )

    return write

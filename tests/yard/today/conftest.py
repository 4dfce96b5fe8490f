"""Vats and leathers with something due, made by their kept columns alone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from tanwright.yard.journal.due import Due
from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.people.models import Person
from tanwright.yard.tannage.models import Tannage

NOW = timezone.make_aware(datetime(2026, 5, 20, 9, 30))


@pytest.fixture
def vat(keeper: Person) -> Callable[..., Tannage]:
    """A running vat whose next step is so many days from now."""

    def make(days: int = 0, name: str = "Goat in oak", **kept: Any) -> Tannage:
        tannage = open_record(Tannage, Record.Kind.TANNAGE, keeper, name=name)
        today = timezone.localdate()
        known = {
            "state": Tannage.State.RUNNING,
            "next_on": today + timedelta(days=days),
            "next_action": "strengthen",
            "next_headline": "Strengthen with 5 L of liquor",
            "last_logged_at": timezone.now(),
        }
        Tannage.objects.filter(pk=tannage.pk).update(**(known | kept))
        tannage.refresh_from_db()
        return tannage

    return make


def a_due(days: float | None = 0.0, **more: Any) -> Due:
    """Something to do so many days from NOW."""
    known = {
        "at": None if days is None else NOW + timedelta(days=days),
        "late": False,
        "weight": 0.5,
        "headline": "Look",
        "reason": "Because",
        "url": "/",
        "record_id": uuid4(),
        "kind": "skin",
    }
    return Due(**(known | more))

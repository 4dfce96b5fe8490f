"""Taking in what phones kept while the yard was out of reach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from django.core.exceptions import PermissionDenied
from django.db import DatabaseError

from tanwright.errors import InputError
from tanwright.yard.people.models import Device, Person
from tanwright.yard.tannage.from_phone import log_from_phone

MOST_ENTRIES: Final = 200
"""Entries of one sending; a phone with more sends them in several."""


@dataclass(frozen=True)
class Outcome:
    """What became of one entry.

    ``written`` and ``known`` mean that it is kept and the phone may let it go; ``refused`` that it
    cannot be kept as it is (``why`` says what to put right); ``later`` that it is to be sent again.
    """

    id: str
    outcome: Literal["written", "known", "refused", "later"]
    why: str = ""


def take_in(
    entries: Sequence[Any], by: Person, device: Device | None = None
) -> tuple[Outcome, ...]:
    """Each entry in a transaction of its own: one that is refused holds up no other."""
    return tuple(_take(entry, by, device) for entry in entries[:MOST_ENTRIES])


def _take(entry: Any, by: Person, device: Device | None) -> Outcome:
    id = str(entry.get("id", "")) if isinstance(entry, dict) else ""
    try:
        if not isinstance(entry, dict):
            raise InputError("this is not an entry", place="entry", remedy="enter it again")
        written = log_from_phone(entry, by, device)
    except InputError as error:
        remedy = f"; {error.remedy}" if error.remedy else ""
        return Outcome(id, "refused", f"{error.what}{remedy}")
    except PermissionDenied as error:
        return Outcome(id, "refused", str(error))
    except DatabaseError:
        return Outcome(id, "later", "the yard could not write it just now")
    return Outcome(id, "written" if written.new else "known")

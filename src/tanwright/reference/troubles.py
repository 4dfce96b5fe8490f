"""What goes wrong in the vat and on the leather: sign, cause, remedy."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tanwright.reference.loader import record, table


@dataclass(frozen=True)
class Trouble:
    """One trouble; ``at`` is where it shows: vat or leather."""

    id: str
    at: str
    sign: str
    cause: str
    check: str
    remedy: str
    prevent: str
    source: str


@lru_cache(maxsize=1)
def troubles() -> tuple[Trouble, ...]:
    """All troubles: those of the vat first, then those seen on the leather."""
    return tuple(record(Trouble, row) for row in table("troubles"))

"""Something that wants doing, as each area reports it."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Due:
    """One thing to do.

    Attributes
    ----------
    at:
        When it should be done; ``None``: whenever there is time.
    late:
        Whether waiting longer begins to cost something.
    weight:
        How much harm waiting does, 0 to 1: a skin that rots is near 1, a stocktake near 0.
    headline, reason:
        What to do in plain words, and why.
    url:
        The page on which it is done.
    """

    at: datetime | None
    late: bool
    weight: float
    headline: str
    reason: str
    url: str
    record_id: uuid.UUID
    kind: str

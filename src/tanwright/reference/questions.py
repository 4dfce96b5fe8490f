"""Questions on which the sources do not agree, and what each of them says."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tanwright.reference.loader import record, table
from tanwright.reference.variation import variations


@dataclass(frozen=True)
class Question:
    """One question. ``kind`` is statements (of a lot's strength) or rules (of the work).

    ``material_id`` is empty where it is about no one material; ``reason`` and ``what_is_done`` are
    our own words.
    """

    id: str
    kind: str
    about: str
    material_id: str
    reason: str
    what_is_done: str
    source: str


@dataclass(frozen=True)
class Position:
    """What one source says; positions of one ``answer`` stand on one side.

    ``variation`` is the row of the table of variation that says it, or empty.
    """

    id: str
    question: str
    answer: str
    says: str
    variation: str
    source: str
    provenance: str


@lru_cache(maxsize=1)
def questions() -> tuple[Question, ...]:
    """All questions, in the order of the table."""
    return tuple(record(Question, row) for row in table("questions"))


@lru_cache(maxsize=1)
def positions() -> tuple[Position, ...]:
    """All positions."""
    return tuple(record(Position, row) for row in table("positions"))


def words_of(position: Position) -> str:
    """What the source says, in the words of its own row or of the table of variation."""
    if position.says:
        return position.says
    row = next(each for each in variations() if each.id == position.variation)
    return f"{row.plant}: {row.statement}"

"""Where the sources cannot both be right, and what the tool makes of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Side:
    """One side: what is said, by which sources (keys), and whether it was read or remembered."""

    says: str
    sources: tuple[str, ...]
    provenance: str


@dataclass(frozen=True)
class Contradiction:
    """Two sides or more that do not go together.

    ``kind`` is "figures" (tannin contents), "statements" (what makes a lot stronger or weaker) or
    "rules" (rules of thumb of the work); ``material_id`` is empty where none is meant.
    """

    id: str
    kind: str
    about: str
    material_id: str
    sides: tuple[Side, ...]
    reason: str
    what_is_done: str


def contradictions() -> tuple[Contradiction, ...]:
    """All of them: figures first, the widest apart leading, then statements, then rules."""
    raise NotImplementedError

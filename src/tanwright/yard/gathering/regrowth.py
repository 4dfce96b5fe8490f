"""When a stand may be cut again, from its cuts and published rotations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from tanwright.yard.gathering.models import Place


@dataclass(frozen=True)
class Cut:
    """One cut of a stand: when, how much of it, which part of it."""

    on: date
    share_pct: float | None
    part: str


@dataclass(frozen=True)
class Again:
    """From when a stand may be cut again: by the shortest and by the longest rotation."""

    first: date
    last: date


def may_be_cut_again(place: Place, cuts: Sequence[Cut]) -> Again | None:
    """When what was cut longest ago may be cut again; ``None`` when no rotation is known."""
    return None


def again_words(place: Place, today: date) -> str:
    """When it may be cut again, in one line; empty when nothing is known."""
    return ""

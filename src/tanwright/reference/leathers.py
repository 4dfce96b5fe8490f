"""What the leather is to become, and the ladder of liquors that leads there."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import record, table

Span = tuple[float, float]


@dataclass(frozen=True)
class Leather:
    """One aim: degree of tannage in g tannin per 100 g hide substance, strengths in °Bk."""

    id: str
    label: str
    degree_low: float
    degree_high: float
    start_low_bk: float
    start_high_bk: float
    step_low_bk: float
    step_high_bk: float
    finish_low_bk: float
    finish_high_bk: float
    oil_low_pct: float
    oil_high_pct: float
    fat_advice: str
    source: str
    note: str

    @property
    def degree(self) -> Span:
        """Degree of tannage, low and high, g per 100 g hide substance."""
        return self.degree_low, self.degree_high

    @property
    def start_bk(self) -> Span:
        """First liquor, low and high."""
        return self.start_low_bk, self.start_high_bk

    @property
    def step_bk(self) -> Span:
        """Rise at each strengthening, low and high."""
        return self.step_low_bk, self.step_high_bk

    @property
    def finish_bk(self) -> Span:
        """Last liquor, low and high."""
        return self.finish_low_bk, self.finish_high_bk

    @property
    def oil_pct(self) -> Span:
        """Oil, % of the damp weight, low and high."""
        return self.oil_low_pct, self.oil_high_pct


def leather(name: str) -> Leather:
    """Leather aim by its id (soft, bag, firm, sole). Raises InputError with near matches."""
    wanted = name.strip().lower()
    known = {item.id: item for item in leathers()}
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(wanted, list(known), n=1, cutoff=0.5)
    raise InputError(
        f'no leather is called "{name}"',
        remedy=f"did you mean {near[0]}?" if near else "write one of " + ", ".join(known),
    )


@lru_cache(maxsize=1)
def leathers() -> tuple[Leather, ...]:
    """All aims, softest first."""
    return tuple(record(Leather, row) for row in table("leathers"))

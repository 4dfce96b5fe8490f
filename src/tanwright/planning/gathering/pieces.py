"""Pieces of a stand that were cut on the same day, and what a cut takes of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tanwright.errors import InputError
from tanwright.reference.rotations import Regrowth, years_words

DAYS_A_YEAR = 365.25
HALF_A_PER_CENT = 0.005


@dataclass(frozen=True)
class Cut:
    """One cut: its day, the share of the stand that it took (0 to 1), the part's name if it has
    one ("north end", "compartment 3")."""

    on: date
    share: float = 1.0
    part: str = ""


@dataclass(frozen=True)
class Piece:
    """A piece of a stand that was cut on the same day.

    Attributes
    ----------
    cut_on:
        ``None`` for what has not been cut since the records begin.
    first, last:
        From when it may be cut by the shortest and by the longest rotation told; ``None`` when it
        was never cut, does not grow again, or nobody tells after how long.
    """

    part: str
    share: float
    cut_on: date | None
    first: date | None
    last: date | None

    def ready(self, on: date) -> bool:
        """Whether it may be cut on that day."""
        return self.cut_on is None or (self.first is not None and self.first <= on)

    @property
    def words(self) -> str:
        """From when, in words: "from May 2042, by the longest rotation May 2046"."""
        if self.cut_on is None:
            return "not cut since the records begin"
        if self.first is None or self.last is None:
            return "nobody tells after how long"
        if self.first == self.last:
            return f"from {self.first:%B %Y} on"
        return f"from {self.first:%B %Y}, by the longest rotation {self.last:%B %Y}"


def take(
    regrowth: Regrowth, grown: Sequence[Piece], cut: Cut
) -> tuple[list[Piece], tuple[Piece, ...]]:
    """The pieces after a cut, and what it took of them."""
    left = share_of(cut)
    part = cut.part.strip()
    same = [piece for piece in grown if part and piece.part == part]
    pool = [piece for piece in grown if not piece.part]
    rest = [piece for piece in grown if piece.part and piece not in same]
    taken: list[Piece] = []
    kept: list[Piece] = []
    order = sorted(pool, key=lambda each: (each.cut_on is not None, each.cut_on or cut.on))
    if not part:
        order += sorted(rest, key=lambda each: each.cut_on or cut.on)
        rest = []
    for piece in [*same, *order]:
        share = min(piece.share, left)
        left -= share
        if share > 0.0:
            taken.append(piece_of(regrowth, piece.part, share, piece.cut_on))
        if piece.share - share > HALF_A_PER_CENT / 10.0:
            kept.append(piece_of(regrowth, piece.part, piece.share - share, piece.cut_on))
    if left > HALF_A_PER_CENT:
        raise InputError(
            "the parts of the stand add up to more than the whole",
            place="share",
            remedy="write the share of the whole stand that was cut, as 5 % or 0.05",
        )
    fresh = piece_of(regrowth, part, share_of(cut) - left, cut.on)
    return [*rest, *kept, fresh], tuple(taken)


def too_soon(regrowth: Regrowth, cut: Cut, taken: Sequence[Piece]) -> list[str]:
    if regrowth.years_low is None:
        return []
    soon = [
        piece
        for piece in taken
        if piece.cut_on is not None and not piece.ready(cut.on) and piece.share > HALF_A_PER_CENT
    ]
    if not soon:
        return []
    years = min((cut.on - piece.cut_on).days for piece in soon if piece.cut_on) / DAYS_A_YEAR
    had = "less than a year" if years < 1.0 else f"{years:.0f} year{'s' if years >= 1.5 else ''}"
    need = years_words(regrowth.years_low, regrowth.years_high)
    need += " (from memory)" if regrowth.from_memory else ""
    return [
        f"The cut of {cut.on:%B %Y} took what had grown for {had} only; it needs {need}. "
        "Stumps cut too often grow weak and die."
    ]


def piece_of(regrowth: Regrowth, part: str, share: float, cut_on: date | None) -> Piece:
    first = last = None
    if cut_on is not None and regrowth.years_low is not None and regrowth.years_high is not None:
        first, last = _later(cut_on, regrowth.years_low), _later(cut_on, regrowth.years_high)
    return Piece(part, share, cut_on, first, last)


def share_of(cut: Cut) -> float:
    if not 0.0 < cut.share <= 1.0:
        raise InputError(
            f"a cut cannot take {100.0 * cut.share:g} % of a stand",
            place="share",
            remedy="write the share of the whole stand that was cut, up to 100 %",
        )
    return cut.share


def _later(day: date, years: float) -> date:
    """The day that many years on; whole years keep day and month."""
    if years == int(years):
        last = 28 if (day.month, day.day) == (2, 29) else day.day
        return day.replace(year=day.year + int(years), day=last)
    return day + timedelta(days=round(years * DAYS_A_YEAR))

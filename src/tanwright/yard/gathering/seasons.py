"""The windows of the year in which plants give their best, at the yard's own place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Final

from tanwright.errors import TanwrightError
from tanwright.reference import seasons as reference
from tanwright.yard.gathering.wording import day_of_year
from tanwright.yard.plants.models import HomePlace
from tanwright.yard.plants.seasons import Sun, sun_of
from tanwright.yard.stock.plants import name_of

NEXT_DAYS: Final = 400
"""How far ahead a next window is looked for: a year, and the shift of one."""


@dataclass(frozen=True)
class Window:
    """One window of one plant: its days, what is good then, why, and who says so."""

    material_id: str
    plant: str
    what: str
    start: date
    end: date
    best: bool
    reason: str
    note: str
    """Years of plenty, and what else to know."""
    source: str

    @property
    def days(self) -> str:
        """``"20 April to 1 June"``."""
        return f"{day_of_year(self.start)} to {day_of_year(self.end)}"

    @property
    def words(self) -> str:
        """``"English oak bark: the bark slips, about 20 April to 1 June"``."""
        plant = self.plant[:1].upper() + self.plant[1:]
        return f"{plant}: {self.what}, about {self.days}"

    def is_open(self, on: date) -> bool:
        """Whether that day lies in it."""
        return self.start <= on <= self.end


def here() -> Sun:
    """Where the yard's spring comes from, as far as somebody has said (1 query)."""
    return sun_of(HomePlace.objects.filter(pk=HomePlace.THE_ONE).first())


def windows_between(
    material_ids: Sequence[str], first: date, last: date, at: Sun
) -> tuple[Window, ...]:
    """Windows of the plants that touch the days from ``first`` to ``last``, the earliest first.

    What is taken at any time of the year has no window here: see :func:`in_words`.
    """
    found = [
        window
        for material_id in dict.fromkeys(material_ids)
        for window in _windows(material_id, first, last, at)
    ]
    return tuple(sorted(found, key=lambda one: (one.start, one.plant, one.what)))


def in_words(material_id: str, at: Sun, year: int) -> str:
    """One sentence on when the plant is gathered, for those that have no window."""
    try:
        return reference.in_words(
            material_id, latitude=at.latitude, altitude_m=at.altitude_m, year=year, south=at.south
        )
    except TanwrightError:
        return "Nothing is known of its season."


@lru_cache(maxsize=1024)
def _windows(material_id: str, first: date, last: date, at: Sun) -> tuple[Window, ...]:
    try:
        rows = reference.windows_over(
            material_id,
            first,
            last,
            latitude=at.latitude,
            altitude_m=at.altitude_m,
            south=at.south,
        )
    except TanwrightError:
        return ()  # a plant that the tables no longer hold, or days beyond them
    return tuple(
        Window(
            material_id=material_id,
            plant=name_of(material_id),
            what=row.what,
            start=row.start,
            end=row.end,
            best=row.best,
            reason=_sentence(row.reason),
            note=_sentence(row.note),
            source=row.source,
        )
        for row in rows
        if not row.all_year
    )


def _sentence(words: str) -> str:
    plain = words.rstrip(".")
    return f"{plain[:1].upper()}{plain[1:]}." if plain else ""


def next_opening(material_ids: Sequence[str], after: date) -> Window | None:
    """The first good window of any of the plants that opens after that day."""
    found = windows_between(material_ids, after, after + timedelta(days=NEXT_DAYS), here())
    later = [window for window in found if window.start > after]
    best = [window for window in later if window.best]
    return next(iter(best or later), None)


def seasons_of(material_ids: Sequence[str], today: date) -> tuple[tuple[Window, bool], ...]:
    """Each plant's windows that are open now or next, with whether they are open; at most eight."""
    if not material_ids:
        return ()
    found = windows_between(material_ids, today, today + timedelta(days=365), here())
    first = {(window.material_id, window.what): window for window in reversed(found)}
    shown = sorted(first.values(), key=lambda one: (one.start, one.plant))
    return tuple((window, window.is_open(today)) for window in shown[:8])

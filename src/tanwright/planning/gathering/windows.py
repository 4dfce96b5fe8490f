"""The gathering year of several materials: what is open in each month, and what has no dates."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from tanwright.reference import seasons
from tanwright.reference.materials import material
from tanwright.reference.seasons import Window


@dataclass(frozen=True)
class OpenWindow:
    """One material's window within a month; ``opens`` and ``closes`` when it does so there."""

    name: str
    window: Window
    opens: bool
    closes: bool


@dataclass(frozen=True)
class Month:
    """One month of the gathering year, the best windows first."""

    year: int
    number: int
    open: tuple[OpenWindow, ...]

    @property
    def name(self) -> str:
        """Month and year: "April 2026"."""
        return f"{date(self.year, self.number, 1):%B %Y}"


@dataclass(frozen=True)
class GatheringYear:
    """Twelve months, materials taken at any time, and those that only words are told of."""

    months: tuple[Month, ...]
    any_time: tuple[str, ...]
    in_words: tuple[tuple[str, str], ...]
    """Name and sentence."""


def gathering_year(
    material_ids: Sequence[str],
    year: int,
    *,
    latitude: float | None = None,
    altitude_m: float = 0.0,
    first_month: int = 1,
) -> GatheringYear:
    """The year from ``first_month`` of ``year`` on; places as in
    :func:`tanwright.reference.seasons.windows_for`, which raises for those that cannot be.
    """
    seasons.check_year(year)
    ids = tuple(dict.fromkeys(material_ids))
    spans = [_span(year, first_month + offset) for offset in range(12)]
    dated: list[OpenWindow] = []
    any_time: list[str] = []
    told: list[tuple[str, str]] = []
    for id in ids:
        name = material(id).name
        windows = seasons.windows_over(
            id, spans[0][0], spans[-1][1], latitude=latitude, altitude_m=altitude_m
        )
        if any(window.all_year for window in windows):
            any_time.append(name)
        elif not windows:
            words = seasons.in_words(id, latitude=latitude, altitude_m=altitude_m, year=year)
            told.append((name, words))
        else:
            dated += [OpenWindow(name, window, False, False) for window in windows]
    return GatheringYear(
        months=tuple(_month(first, last, dated) for first, last in spans),
        any_time=tuple(any_time),
        in_words=tuple(told),
    )


def _span(year: int, month: int) -> tuple[date, date]:
    year, month = year + (month - 1) // 12, (month - 1) % 12 + 1
    return date(year, month, 1), date(year, month, calendar.monthrange(year, month)[1])


def _month(first: date, last: date, dated: Sequence[OpenWindow]) -> Month:
    here = [
        OpenWindow(
            each.name,
            each.window,
            first <= each.window.start <= last,
            first <= each.window.end <= last,
        )
        for each in dated
        if each.window.start <= last and each.window.end >= first
    ]
    here.sort(key=lambda each: (not each.window.best, each.window.start, each.name))
    return Month(first.year, first.month, tuple(here))

"""The gathering calendar: a year of the person's own plants, and the stands that may be cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tanwright.errors import TanwrightError
from tanwright.reference import sources
from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.seasons import Window, here, in_words, windows_between
from tanwright.yard.gathering.wording import day_of_year
from tanwright.yard.plants.models import OwnPlant
from tanwright.yard.stock.plants import name_of


@dataclass(frozen=True)
class InMonth:
    """A window as one month shows it: ``when`` tells only what of it lies there."""

    window: Window
    when: str
    note: str
    """Years of plenty and the like, in the month in which the window opens."""


@dataclass(frozen=True)
class ReadyStand:
    """A stand that may be cut in a month, and since or from when."""

    title: str
    url: str
    words: str


@dataclass(frozen=True)
class Month:
    """One month of the year with what can be gathered in it."""

    name: str
    first: date
    is_now: bool
    windows: tuple[InMonth, ...]
    stands: tuple[ReadyStand, ...]


@dataclass(frozen=True)
class Year:
    """All that the calendar shows; ``now`` is this month, ``None`` in another year."""

    year: int
    months: tuple[Month, ...]
    now: Month | None
    place_known: bool
    plants: int
    without_days: tuple[tuple[str, str, str], ...]
    """(id, name, sentence) of plants that have no window: taken at any time, or told in words."""
    sources: tuple[str, ...]


def own_plants() -> tuple[str, ...]:
    """Ids of the person's own plants."""
    return tuple(OwnPlant.objects.values_list("material_id", flat=True))


def year_of(year: int, today: date) -> Year:
    """The calendar of a year (3 queries)."""
    plants, at = own_plants(), here()
    windows = windows_between(plants, date(year, 1, 1), date(year, 12, 31), at)
    stands = list(
        Place.objects.filter(
            withdrawn_at__isnull=True, gone_at__isnull=True, cut_from__lte=date(year, 12, 31)
        ).order_by("cut_from")
    )
    months = tuple(_month(date(year, number, 1), today, windows, stands) for number in range(1, 13))
    return Year(
        year=year,
        months=months,
        now=next((month for month in months if month.is_now), None),
        place_known=at.latitude is not None,
        plants=len(plants),
        without_days=tuple(
            (id, name_of(id), in_words(id, at, year))
            for id in plants
            if id not in {window.material_id for window in windows}
        ),
        sources=tuple(dict.fromkeys(window.source for window in windows)),
    )


def source_words(keys: Sequence[str]) -> list[str]:
    """The works behind the windows, each once; several keys of one row stand with a semicolon."""
    found = dict.fromkeys(key for row in keys for key in row.split(";"))
    return [_cited(key) for key in found]


def _cited(key: str) -> str:
    try:
        return sources.source(key).short
    except TanwrightError:
        return key


def _month(first: date, today: date, windows: Sequence[Window], stands: Sequence[Place]) -> Month:
    last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
    is_now = first <= today <= last
    open_ = [window for window in windows if window.start <= last and window.end >= first]
    opening = [
        ReadyStand(stand.title, stand.get_absolute_url(), _since(stand.cut_from, first))
        for stand in stands
        if stand.cut_from is not None
        and (first <= stand.cut_from <= last or (is_now and stand.cut_from <= last))
    ]
    return Month(
        name=f"{first:%B}",
        first=first,
        is_now=is_now,
        windows=tuple(
            InMonth(
                window,
                _when(window, first, last),
                window.note if window.start >= first else "",
            )
            for window in open_
        ),
        stands=tuple(opening),
    )


def _since(cut_from: date, first: date) -> str:
    month = f"{cut_from:%B %Y}"
    if cut_from < first:
        return f"some of it may be cut since {month}"
    return f"some of it may be cut from {day_of_year(cut_from)} on"


def _when(window: Window, first: date, last: date) -> str:
    """What of a window lies in the month from ``first`` to ``last``."""
    begins, ends = window.start >= first, window.end <= last
    if begins and ends:
        return f"about {window.days}"
    if begins:
        return f"from about {day_of_year(window.start)}"
    if ends:
        return f"until about {day_of_year(window.end)}"
    return "all month"

"""When a material is gathered, and whether that is now."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from tanwright.errors import UnknownMaterialError
from tanwright.reference.materials import Material

if TYPE_CHECKING:
    from tanwright.reference.seasons import Window

NOW, SOON, WAIT, ANY, UNTOLD = 1.0, 0.8, 0.5, 1.0, 0.8
"""Factor on the effort: in season, within a month, later, at any time, nobody says."""
SOON_DAYS = 31


@dataclass(frozen=True)
class Season:
    """``factor`` on the effort, 0 to 1; ``words`` for a reader; ``now`` when it can be taken."""

    factor: float
    words: str
    now: bool


@lru_cache(maxsize=16384)
def season_of(item: Material, latitude: float | None, day: date) -> Season:
    """Whether ``day`` lies in a window of gathering, or when the next one begins."""
    windows = [
        window
        for year in (day.year - 1, day.year, day.year + 1)
        for window in _windows(item.id, latitude, year)
    ]
    if not windows:
        return _as_told(item)
    open_now = [window for window in windows if window.start <= day <= window.end]
    if open_now:
        window = max(open_now, key=lambda it: (it.best, it.end))
        if window.end - window.start >= timedelta(days=360):
            return Season(ANY, "at any time of the year", True)
        return Season(NOW, f"now, until {_day(window.end)} ({window.what})", True)
    later = [window for window in windows if window.start > day]
    if not later:
        return _as_told(item)
    window = min(later, key=lambda it: it.start)
    wait = (window.start - day).days
    words = f"{_day(window.start)} to {_day(window.end)} ({window.what})"
    if wait <= SOON_DAYS:
        days = "day" if wait == 1 else "days"
        return Season(SOON, f"in {wait} {days}: {words}", False)
    return Season(WAIT, f"not now: {words}", False)


def _as_told(item: Material) -> Season:
    if item.season.startswith("any"):
        return Season(ANY, "at any time of the year", True)
    if item.season:
        return Season(UNTOLD, item.season, False)
    return Season(UNTOLD, "no source tells a season", False)


@lru_cache(maxsize=16384)
def _windows(material_id: str, latitude: float | None, year: int) -> tuple[Window, ...]:
    try:
        from tanwright.reference.seasons import windows_for
    except ImportError:  # TEMPORARY until reference.seasons is there
        return ()
    try:
        return windows_for(material_id, latitude=latitude, year=year)
    except UnknownMaterialError:
        return ()


def _day(day: date) -> str:
    return f"{day.day} {day:%B}"

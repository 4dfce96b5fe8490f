"""When a material is gathered, and whether that is now."""

from __future__ import annotations

from calendar import month_name
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from tanwright.planning.choosing.amount import is_listed
from tanwright.reference import seasons
from tanwright.reference.materials import Material
from tanwright.reference.seasons import Window

NOW, SOON, SECOND, WAIT, UNTOLD = 1.0, 0.8, 0.7, 0.5, 0.8
"""Factor on the effort: in season, within a month, in a lesser season, later, no day told."""
SOON_DAYS = 31
_MONTHS = frozenset(month_name)


@dataclass(frozen=True)
class Season:
    """``factor`` on the effort, 0 to 1; ``words`` for a reader; ``now`` when it can be taken;
    ``when`` a clause: "the season is about 11 April to 11 June"."""

    factor: float
    words: str
    now: bool
    when: str


@lru_cache(maxsize=8192)
def season_of(
    item: Material,
    latitude: float | None,
    day: date,
    south: bool | None = None,
    altitude_m: float = 0.0,
) -> Season:
    """Whether ``day`` lies in a window of gathering, or when the next one begins.

    ``south`` tells the half of the earth where no latitude does; ``altitude_m``, the height above
    the sea, counts with a latitude only.
    """
    windows: tuple[Window, ...] = ()
    if is_listed(item.id):
        windows = _windows(item.id, latitude, day.year, south, altitude_m)
    open_now = [window for window in windows if window.holds(day)]
    best = [window for window in windows if window.best] or list(windows)
    at_best = [window for window in open_now if window in best]
    if at_best:
        window = max(at_best, key=lambda it: it.end)
        if window.all_year:
            return Season(NOW, window.days, True, f"it is taken {window.days}")
        return Season(NOW, f"now: {window.what} {window.days}", True, "it is in season now")
    later = [window for window in best if window.start > day]
    if not later:
        return _untold(item, latitude, day, south, altitude_m)
    window = min(later, key=lambda it: it.start)
    told, when = f"{window.what} {window.days}", f"the season is {window.days}"
    wait = window.start - day
    if wait <= timedelta(days=SOON_DAYS):
        days = "1 day" if wait.days == 1 else f"{wait.days} days"
        return Season(SOON, f"in {days}: {told}", False, when)
    if open_now:
        return Season(SECOND, f"not the best time ({open_now[0].what}): {told}", False, when)
    return Season(WAIT, f"not now: {told}", False, when)


def _untold(
    item: Material, latitude: float | None, day: date, south: bool | None, altitude_m: float
) -> Season:
    if is_listed(item.id):
        told = seasons.in_words(
            item.id, latitude=latitude, altitude_m=altitude_m, year=day.year, south=south
        )
        told = told.removesuffix(".")
    else:
        told = item.season or "no season is told for it"
    if told.split("-")[0].split()[0] not in _MONTHS:
        told = told[:1].lower() + told[1:]
    first = told.split(";")[0]
    when = first if first.startswith("no season") else f"the season is {first}"
    return Season(UNTOLD, told, False, when)


@lru_cache(maxsize=8192)
def _windows(
    material_id: str, latitude: float | None, year: int, south: bool | None, altitude_m: float
) -> tuple[Window, ...]:
    """Windows that may hold a day of ``year`` or come next after it."""
    return seasons.windows_over(
        material_id,
        date(year, 1, 1),
        date(year + 1, 12, 31),
        latitude=latitude,
        altitude_m=altitude_m,
        south=south,
    )

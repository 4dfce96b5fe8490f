"""When plants are gathered at the yard's own place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from tanwright.errors import TanwrightError
from tanwright.reference import seasons, world
from tanwright.reference.seasons import Window
from tanwright.yard.plants.catalogue import catalogue
from tanwright.yard.plants.models import HomePlace


@dataclass(frozen=True)
class Sun:
    """Where spring comes from: latitude to a degree and height to a hundred metres, or not said.

    ``south`` is the half of the earth where a country or region alone is known.
    """

    latitude: float | None = None
    altitude_m: float = 0.0
    south: bool | None = None


def sun_of(home: HomePlace | None) -> Sun:
    """What the seasons need of the yard's own place."""
    if home is None:
        return Sun()
    if home.latitude is None:
        return _sun_of_place(_place_of(home.place_code))
    return Sun(round(home.latitude), round((home.altitude_m or 0.0) / 100.0) * 100.0)


def sun_for(place: world.Place | None, home: HomePlace | None) -> Sun:
    """What the seasons of ``place`` need: those of the yard where it lies in it."""
    at_home = _place_of(home.place_code) if home is not None else None
    if place is None or (at_home is not None and set(at_home.regions) <= set(place.regions)):
        return sun_of(home)
    return _sun_of_place(place)


def _place_of(code: str) -> world.Place | None:
    if not code or code == world.WORLD:
        return None
    try:
        return world.place(code)
    except TanwrightError:  # a code that the tables no longer hold
        return None


def _sun_of_place(place: world.Place | None) -> Sun:
    if place is None:
        return Sun()
    if seasons.lies_in_tropics(place):
        return Sun(latitude=0.0)
    return Sun(south=seasons.lies_south(place))


@lru_cache(maxsize=2048)
def windows(material_id: str, sun: Sun, year: int) -> tuple[Window, ...]:
    """Gathering windows of a material in a year, the best first, then by the calendar."""
    found = seasons.windows_for(
        material_id, latitude=sun.latitude, altitude_m=sun.altitude_m, year=year, south=sun.south
    )
    return tuple(sorted(found, key=lambda window: (not window.best, window.start)))


@lru_cache(maxsize=16)
def months_of_all(sun: Sun, year: int) -> Mapping[str, frozenset[int]]:
    """Months of the year in which each plant of the reference is gathered, by its id."""
    return {row.id: _months(windows(row.id, sun, year)) for row in catalogue()}


def _months(found: tuple[Window, ...]) -> frozenset[int]:
    return frozenset(
        month for window in found for month in months_between(window.start, window.end)
    )


def months_between(start: date, end: date) -> frozenset[int]:
    """Months that a stretch of days touches."""
    count = 12 * (end.year - start.year) + end.month - start.month
    return frozenset((start.month - 1 + step) % 12 + 1 for step in range(min(count, 11) + 1))


def told_in_words(material_id: str, sun: Sun, year: int) -> str:
    """When a material is gathered, in one sentence; also where no days can be told."""
    return seasons.in_words(
        material_id, latitude=sun.latitude, altitude_m=sun.altitude_m, year=year, south=sun.south
    )

"""How places, trunks and their bark are told."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from tanwright.science.sphere import great_circle_km
from tanwright.units import System, format_mass, format_range, rounded
from tanwright.yard.gathering.models import Place
from tanwright.yard.plants.models import HomePlace

KM_PER_MILE: Final = 1.609344
"""International mile."""


def day_words(day: date | str) -> str:
    """``"20 March 2027"``."""
    found = date.fromisoformat(day) if isinstance(day, str) else day
    return f"{found.day} {found:%B %Y}"


def day_of_year(day: date) -> str:
    """``"20 March"``."""
    return f"{day.day} {day:%B}"


def trunk_words(row: Mapping[str, Any], system: System) -> str:
    """``"3 of 32 cm across, 4 m long"``; without a length the whole standing stem is meant."""
    across = _across(row["diameter_cm"], system)
    count = int(row.get("count", 1))
    length = row.get("length_m")
    how_long = f", {_long(length, system)} long" if length else ", whole stem"
    bark = ""
    if row.get("bark_mm"):
        bark = f", bark {format_range(row['bark_mm'], row['bark_mm'], 'thickness', system)}"
    return f"{f'{count} of ' if count > 1 else ''}{across} across{how_long}{bark}"


def _across(cm: float, system: System) -> str:
    return f"{rounded(cm / 2.54)} in" if system == "us" else f"{rounded(cm)} cm"


def _long(metres: float, system: System) -> str:
    return f"{rounded(metres / 0.3048)} ft" if system == "us" else f"{rounded(metres)} m"


def away_words(place: Place, home: HomePlace | None, system: System) -> str:
    """How far a place is from the yard, as the crow flies: ``"3.4 km away"``; empty: not known."""
    if home is None or home.latitude is None or home.longitude is None:
        return ""
    if place.latitude is None or place.longitude is None:
        return ""
    km = float(great_circle_km(home.latitude, home.longitude, place.latitude, place.longitude))
    if system == "us":
        miles = km / KM_PER_MILE
        return f"{rounded(miles)} miles away" if miles >= 0.1 else "close by"
    return f"{rounded(km)} km away" if km >= 0.1 else "close by"


def permission_words(place: Place, on: date) -> str:
    """Whether one may gather there, in one plain line."""
    by = f" by {place.permission_by}" if place.permission_by else ""
    if place.permission == Place.Permission.REFUSED:
        return f"Leave was refused{by}: gather nothing here."
    if place.permission == Place.Permission.ASKED:
        return "Leave was asked for, and nobody has answered yet: gather nothing before that."
    if place.permission == Place.Permission.NOT_ASKED:
        return "Nobody has asked for leave yet: ask whoever it belongs to before you gather."
    if place.permission_until is None:
        return f"Leave was given{by}."
    until = day_words(place.permission_until)
    if place.permission_until < on:
        return f"Leave was given{by} until {until}, and that is over: ask again."
    return f"Leave was given{by} until {until}."


def bark_words(place: Place, system: System) -> str:
    """How much bark and skin its measured trunks give; empty when none was measured."""
    if place.bark_likely_kg is None or place.skin_likely_kg is None:
        return ""
    bark = format_mass(place.bark_likely_kg, system)
    range_ = format_range(place.bark_low_kg or 0.0, place.bark_high_kg or 0.0, "mass", system)
    skin = format_mass(place.skin_likely_kg, system)
    wide = format_range(place.skin_low_kg or 0.0, place.skin_high_kg or 0.0, "mass", system)
    return f"About {bark} of dry bark ({range_}), which tans about {skin} of green skin ({wide})."

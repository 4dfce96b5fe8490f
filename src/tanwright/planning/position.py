"""Positions as people type them and as geo: URIs (RFC 5870), in degrees of WGS 84."""

from __future__ import annotations

import re
from typing import Final
from urllib.parse import unquote

from tanwright.errors import InputError

_URI: Final = re.compile(
    r"^geo:(?P<latitude>-?\d+(?:\.\d+)?),(?P<longitude>-?\d+(?:\.\d+)?)"
    r"(?:,-?\d+(?:\.\d+)?)?(?P<parameters>(?:;[^;]*)*)$",
    re.IGNORECASE,
)
_NUMBER: Final = re.compile(r"^([NSEWO])?\s*([+-]?\d{1,3}(?:[.,]\d+)?)\s*°?\s*([NSEWO])?$", re.I)
_LIKE: Final = "write it like 51.2, 9.4 or geo:51.2,9.4"


def position(text: str, *, place: str = "position") -> tuple[float, float]:
    """Latitude and longitude in degrees that ``text`` names.

    Takes decimal degrees with a comma, semicolon or blank between ("51.2, 9.4", "51,2; 9,4",
    "33.9 S 18.4 E") and geo: URIs.  At a pole the longitude is 0 (RFC 5870, 3.4.2).

    Raises
    ------
    InputError
        For text that is no position, and for degrees that are not on the earth.
    """
    plain = " ".join(text.split())
    if plain.lower().startswith("geo:"):
        latitude, longitude = _of_uri(plain, place)
    else:
        latitude, longitude = _of_words(plain, place)
    if not (-90.0 <= latitude <= 90.0 and -180.0 <= longitude <= 180.0):
        raise InputError(
            f'"{plain}" is not on the earth',
            place=place,
            remedy="write latitude (-90 to 90) first, then longitude (-180 to 180)",
        )
    return latitude, 0.0 if abs(latitude) == 90.0 else longitude


def geo_uri(latitude: float, longitude: float) -> str:
    """The position in degrees as a geo: URI, to about 1 m."""
    return f"geo:{_plain(latitude)},{_plain(longitude)}"


def position_words(latitude: float, longitude: float) -> str:
    """The position in degrees as :func:`position` takes it back: ``"51.2, 9.4"``."""
    return f"{_plain(latitude)}, {_plain(longitude)}"


def _plain(degrees: float) -> str:
    return f"{round(degrees, 5) + 0.0:.5f}".rstrip("0").rstrip(".")


def _of_uri(text: str, place: str) -> tuple[float, float]:
    match = _URI.match(text)
    if match is None:
        raise InputError(f'"{text[:80]}" is no geo: address', place=place, remedy=_LIKE)
    for parameter in match["parameters"].split(";"):
        name, _, value = parameter.partition("=")
        if name.strip().lower() == "crs" and unquote(value).lower() != "wgs84":
            raise InputError(
                f"positions of the system {unquote(value)[:40]} are not read",
                place=place,
                remedy="write degrees of WGS 84, as phones show them",
            )
    return float(match["latitude"]), float(match["longitude"])


def _of_words(text: str, place: str) -> tuple[float, float]:
    parts = _two_parts(text)
    read = [_degrees(part) for part in parts]
    if len(read) != 2 or None in read:
        shown = f'"{text[:80]}" is no position' if text else "the position is missing"
        raise InputError(shown, place=place, remedy=_LIKE)
    (first, of_first), (second, of_second) = (one for one in read if one is not None)
    if of_first == "longitude" or of_second == "latitude":
        if of_first == of_second:
            raise InputError(f'"{text[:80]}" names one of the two twice', place=place, remedy=_LIKE)
        return second, first
    if of_first == of_second != "":
        raise InputError(f'"{text[:80]}" names one of the two twice', place=place, remedy=_LIKE)
    return first, second


def _two_parts(text: str) -> list[str]:
    """``text`` where its two numbers part: at a semicolon, a comma with a blank, a comma, a blank.

    A comma within a number ("51,2") is a decimal one only when something else parts the numbers.
    """
    for mark in (";", ", ", " ,", ","):
        parts = [part.strip() for part in text.split(mark)]
        if len(parts) == 2:
            return parts
    return re.sub(r"\s*([NSEWO])\b", r"\1", text, flags=re.IGNORECASE).split()


def _degrees(part: str) -> tuple[float, str] | None:
    match = _NUMBER.match(part)
    if match is None or (match[1] and match[3]):
        return None
    value = float(match[2].replace(",", "."))
    side = (match[1] or match[3] or "").upper()
    if side and value < 0.0:
        return None
    if side in ("S", "W"):
        value = -value
    return value, {"": "", "N": "latitude", "S": "latitude"}.get(side, "longitude")

"""A position as people write it, or as a ``geo:`` address (RFC 5870)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from tanwright.errors import InputError

_NUMBER: Final = r"[+-]?[0-9]{1,3}(?:[.,][0-9]+)?"
_PAIR: Final = re.compile(
    rf"(?P<lat>{_NUMBER})\s*°?\s*(?P<ns>[NSns]?)\s*[,;\s]\s*"
    rf"(?P<lon>{_NUMBER})\s*°?\s*(?P<ew>[EWOew]?)$"
)
_GEO: Final = re.compile(
    r"geo:(-?[0-9]+(?:\.[0-9]+)?),(-?[0-9]+(?:\.[0-9]+)?)(?:,(-?[0-9]+(?:\.[0-9]+)?))?((?:;[^;=\s]+(?:=[^;\s]*)?)*)$",
    re.IGNORECASE,
)
REMEDY: Final = "write degrees north and east, like 51.2, 9.4 (minus for south and west)"


@dataclass(frozen=True)
class Position:
    """Degrees north and east (WGS 84), metres above the sea if told."""

    latitude: float
    longitude: float
    altitude_m: float | None = None

    @property
    def text(self) -> str:
        """``"51.2, 9.4"``, as :func:`position` reads it."""
        return f"{self.latitude:.5f}".rstrip("0").rstrip(".") + (
            ", " + f"{self.longitude:.5f}".rstrip("0").rstrip(".")
        )

    @property
    def uri(self) -> str:
        """``"geo:51.2,9.4"``, which phones open in the map that they have."""
        return f"geo:{self.text.replace(' ', '')}"


def position(text: str) -> Position:
    """The position that ``text`` tells: ``"51.2, 9.4"``, ``"51.2 N 9.4 E"``, ``"geo:51.2,9.4"``.

    Raises InputError.
    """
    written = text.strip()
    if written.lower().startswith("geo:"):
        return _of_uri(written)
    found = _PAIR.match(written)
    if found is None:
        raise InputError(f'"{written[:40]}" is no position', place="position", remedy=REMEDY)
    latitude, longitude = (float(found[name].replace(",", ".")) for name in ("lat", "lon"))
    if found["ns"].upper() == "S":
        latitude = -latitude
    if found["ew"].upper() == "W":
        longitude = -longitude
    return _checked(latitude, longitude, None)


def _of_uri(written: str) -> Position:
    found = _GEO.match(written)
    if found is None:
        raise InputError(
            f'"{written[:60]}" is no geo address', place="position",
            remedy="write it like geo:51.2,9.4",
        )  # fmt: skip
    told = dict(part.partition("=")[::2] for part in found[4].lower().split(";") if part)
    if told.get("crs", "wgs84") != "wgs84":
        raise InputError(
            f"the position is in {told['crs'][:20]}, not in WGS 84", place="position",
            remedy="take one in WGS 84, as phones and maps show it",
        )  # fmt: skip
    return _checked(float(found[1]), float(found[2]), float(found[3]) if found[3] else None)


def _checked(latitude: float, longitude: float, altitude_m: float | None) -> Position:
    if not -90.0 <= latitude <= 90.0:
        raise InputError(
            f"there is no latitude {latitude:g}", place="position",
            remedy="write -90 to 90 degrees first, then the longitude",
        )  # fmt: skip
    if not -180.0 <= longitude <= 180.0:
        raise InputError(
            f"there is no longitude {longitude:g}", place="position",
            remedy="write -180 to 180 degrees as the second number",
        )  # fmt: skip
    if altitude_m is not None and not -500.0 <= altitude_m <= 9000.0:
        altitude_m = None
    if abs(latitude) == 90.0:
        longitude = 0.0  # RFC 5870: a pole has one longitude
    return Position(latitude, longitude, altitude_m)

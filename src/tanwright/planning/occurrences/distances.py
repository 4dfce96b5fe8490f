"""Distances over land as people write and read them."""

from __future__ import annotations

import re
from typing import Final

from tanwright.errors import InputError
from tanwright.units import System, rounded

KM_PER_MILE: Final = 1.609344
"""The international mile (1959)."""
_WRITTEN: Final = re.compile(
    r"([0-9]+(?:[.,][0-9]+)?)\s*(km|kilomet(?:re|er)s?|mi|miles?)$", re.IGNORECASE
)


def distance_km(text: object, *, place: str = "") -> float:
    """Kilometres: ``"20 km"``, ``"12 mi"``. Raises InputError."""
    found = _WRITTEN.match(str(text).strip())
    if found is None:
        raise InputError(f'"{text}" is no distance', place=place, remedy="write 20 km or 12 mi")
    miles = found[2].lower().startswith("mi")
    return float(found[1].replace(",", ".")) * (KM_PER_MILE if miles else 1.0)


def distance_words(km: float, system: System) -> str:
    """``"20 km"`` or ``"12 mi"``."""
    if system == "us":
        return f"{rounded(km / KM_PER_MILE)} mi"
    return f"{rounded(km)} km"

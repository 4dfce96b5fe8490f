"""The terms that are looked for, and how a column's head is recognised as one.

Terms of Darwin Core (TDWG, ``http://rs.tdwg.org/dwc/terms/``) and ``license`` of Dublin Core, which
it takes in.  ``species`` and ``acceptedScientificName`` belong to the terms with which records are
commonly handed out beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from tanwright.errors import InputError

NAMES: Final = ("acceptedScientificName", "acceptedNameUsage", "scientificName", "species")
"""In the order in which they are believed."""
GENUS: Final = "genus"
KINGDOM: Final = "kingdom"
LATITUDE: Final = "decimalLatitude"
LONGITUDE: Final = "decimalLongitude"
UNCERTAINTY: Final = "coordinateUncertaintyInMeters"
EVENT_DATE: Final = "eventDate"
DATE_PARTS: Final = ("year", "month", "day")
BASIS: Final = "basisOfRecord"
STATUS: Final = "occurrenceStatus"
COUNT: Final = "individualCount"
LICENCE: Final = "license"
WANTED: Final = (
    *NAMES, GENUS, KINGDOM, LATITUDE, LONGITUDE, UNCERTAINTY, EVENT_DATE, *DATE_PARTS, BASIS,
    STATUS, COUNT, LICENCE,
)  # fmt: skip

_NOT_LETTERS: Final = re.compile(r"[^a-z]")
_BY_LETTERS: Final = {term.lower(): term for term in WANTED}


def term_of(head: str) -> str | None:
    """The wanted term that a column's head means, or None.

    ``"decimalLatitude"``, ``"DECIMAL_LATITUDE"``, ``"dwc:decimalLatitude"`` and
    ``"http://rs.tdwg.org/dwc/terms/decimalLatitude"`` are the same.
    """
    last = re.split(r"[/#:]", head.strip().strip("\ufeff\"' "))[-1]
    return _BY_LETTERS.get(_NOT_LETTERS.sub("", last.lower()))


def need(found: Iterable[str], place: str) -> None:
    """Raises InputError when the columns ``found`` cannot tell what was seen where and when."""
    have = set(found)
    missing = []
    if not have & set(NAMES):
        missing.append("scientificName")
    missing += [term for term in (LATITUDE, LONGITUDE) if term not in have]
    if EVENT_DATE not in have and not {"year", "month"} <= have:
        missing.append(EVENT_DATE)
    if missing:
        raise InputError(
            f"no column is called {' or '.join(missing)}",
            place=place,
            remedy="take a file of occurrence records with Darwin Core terms in its first line",
        )

"""Reading a file of occurrence records through: matching, checking and counting each row.

Rows of plants and animals that the reference does not know are only counted.  Rows of its plants
that cannot be used are refused with the number of their line and what is wrong.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final, TypeVar

from tanwright.errors import InputError
from tanwright.planning.occurrences.dates import month_and_day
from tanwright.planning.occurrences.naming import Match, Names, reference_names
from tanwright.planning.occurrences.opening import Kind, Source, opened
from tanwright.planning.occurrences.rows import (
    DATE,
    KIND_OF_RECORD,
    LICENCE,
    NAME,
    PLACE,
    Cells,
    CoreRows,
    joined,
    picked,
)
from tanwright.planning.occurrences.tallying import Tallies, Tally

V = TypeVar("V")

MOST_SHOWN: Final = 50
"""Refused rows of which the line is told; all are counted."""
MOST_UNCERTAIN_KM: Final = 10.0
"""A position known no better than this tells little of what grows near."""
_MOST_REMEMBERED: Final = 200_000
_REPORT_EVERY: Final = 20_000
_MOST_LICENCES: Final = 5

NOT_SEEN: Final = "it says that the plant was looked for and not found"
NOT_WILD: Final = "it is of a fossil, or of a plant kept in a garden or a collection"
NO_PLACE: Final = "it has no position"
NOUGHT: Final = "its position is 0, 0, as when nobody entered one"
OFF_EARTH: Final = "its position is not on the earth"
NO_NUMBER: Final = "its position is not written in numbers, like 51.2"
TOO_VAGUE: Final = f"its position is known only to more than {MOST_UNCERTAIN_KM:g} km"
_NOT_WILD: Final = frozenset(("fossilspecimen", "livingspecimen", "fossil", "living"))


@dataclass(frozen=True)
class Progress:
    """How far reading has come: rows, and the share of bytes, 0 to 1."""

    rows: int
    share: float


@dataclass(frozen=True)
class Read:
    """What a file of occurrence records holds of the reference's plants.

    Attributes
    ----------
    rows:
        All rows; ``matched + others + refused``.
    matched:
        Rows that are counted in ``tallies``; ``genus_only`` of them by their genus alone.
    others:
        Rows of what the reference does not know.
    refused, causes, first:
        Rows that could not be used: how many, how many for which cause, and line and cause of the
        first ``MOST_SHOWN``.
    first_day, last_day:
        Of the records counted, None when there is none.
    licence, citation:
        As the file tells them, may be empty.
    """

    kind: Kind
    rows: int
    matched: int
    genus_only: int
    others: int
    refused: int
    causes: dict[str, int]
    first: tuple[tuple[int, str], ...]
    first_day: date | None
    last_day: date | None
    licence: str
    citation: str
    tallies: Tallies


def read(
    path: Path,
    today: date,
    *,
    progress: Callable[[Progress], None] | None = None,
    names: Names | None = None,
) -> Read:
    """Read the file at ``path``; ``progress`` is called every 20 000 rows.

    Raises InputError when it is no file of occurrence records, is damaged, or holds no row.
    """
    with opened(path) as source:
        return _Reading(source, today, names or reference_names(), progress).done()


class _Reading:
    """One pass over a file."""

    def __init__(
        self, source: Source, today: date, names: Names,
        progress: Callable[[Progress], None] | None,
    ) -> None:  # fmt: skip
        self._source, self._today, self._names = source, today, names
        self._progress = progress or _nobody
        self._tally = Tally()
        self._matches: dict[Cells, Match | None] = {}
        self._days: dict[Cells, tuple[int, int] | str] = {}
        self._kinds: dict[Cells, str] = {}
        self._causes: Counter[str] = Counter()
        self._first: list[tuple[int, str]] = []
        self._licences: dict[str, None] = {}
        self._rows = self._matched = self._genus_only = self._others = 0
        self._first_day, self._last_day = 10**9, 0

    def done(self) -> Read:
        for line, cells in self._cells():
            self._rows += 1
            if not self._rows % _REPORT_EVERY:
                self._progress(Progress(self._rows, self._source.share_read))
            cause = cells if isinstance(cells, str) else self._take(cells)
            if cause:
                self._causes[cause] += 1
                if len(self._first) < MOST_SHOWN:
                    self._first.append((line, cause))
        if not self._rows:
            raise InputError("no record is in it", place=self._source.records.place)
        self._progress(Progress(self._rows, 1.0))
        known = self._matched > 0
        about = self._source.about
        return Read(
            kind=self._source.kind,
            rows=self._rows,
            matched=self._matched,
            genus_only=self._genus_only,
            others=self._others,
            refused=self._causes.total(),
            causes=dict(self._causes.most_common()),
            first=tuple(self._first),
            first_day=date.fromordinal(self._first_day) if known else None,
            last_day=date.fromordinal(self._last_day) if known else None,
            licence=about.licence or ", ".join(self._licences),
            citation=about.citation,
            tallies=self._tally.result(),
        )

    def _cells(self) -> Iterator[tuple[int, Cells | str]]:
        source = self._source
        if source.core is None:
            return picked(source.records)
        return joined(source.records, CoreRows(source.core))

    def _take(self, cells: Cells) -> str:
        """Count one row; returns what is wrong with it, or nothing."""
        key = cells[NAME]
        try:
            match = self._matches[key]
        except KeyError:
            match = _remember(self._matches, key, self._match(key))
        if match is None:
            self._others += 1
            return ""
        kind, when = cells[KIND_OF_RECORD], cells[DATE]
        try:
            cause = self._kinds[kind]
        except KeyError:
            cause = _remember(self._kinds, kind, _unusable(*kind))
        if cause:
            return cause
        placed = _position(*cells[PLACE])
        if isinstance(placed, str):
            return placed
        try:
            told = self._days[when]
        except KeyError:
            told = _remember(self._days, when, _month_and_day(when, self._today))
        if isinstance(told, str):
            return told
        month, day = told
        self._tally.add(match, placed[0], placed[1], month, day)
        self._matched += 1
        if match.level == "genus":
            self._genus_only += 1
        self._first_day = min(self._first_day, day)
        self._last_day = max(self._last_day, day)
        licence = cells[LICENCE]
        if licence and len(self._licences) < _MOST_LICENCES:
            self._licences[licence[:100]] = None
        return ""

    def _match(self, key: Cells) -> Match | None:
        *names, genus, kingdom = key
        if kingdom and kingdom.strip().lower() not in ("plantae", "viridiplantae", "plants"):
            return None
        return self._names.match(*names, genus=genus)


def _month_and_day(when: Cells, today: date) -> tuple[int, int] | str:
    event_date, year, month, day = when
    return month_and_day(event_date, year, month, day, today)


def _nobody(progress: Progress) -> None:
    """Tell nobody."""


def _remember(known: dict[Cells, V], key: Cells, value: V) -> V:
    """Keep ``value``; what was kept before is let go when it grows too much."""
    if len(known) >= _MOST_REMEMBERED:
        known.clear()
    known[key] = value
    return value


def _unusable(basis: str, status: str, count: str) -> str:
    if status.strip().lower() == "absent" or count.strip() in ("0", "0.0"):
        return NOT_SEEN
    if basis.strip().lower().replace("_", "").replace(" ", "") in _NOT_WILD:
        return NOT_WILD
    return ""


def _position(latitude: str, longitude: str, uncertainty: str) -> tuple[float, float] | str:
    try:
        lat, lon = float(latitude), float(longitude)
    except ValueError:
        try:
            lat, lon = float(latitude.replace(",", ".")), float(longitude.replace(",", "."))
        except ValueError:
            return NO_PLACE if not (latitude.strip() and longitude.strip()) else NO_NUMBER
    if not (-90.0 <= lat <= 90.0 and -180.0 <= lon <= 180.0):
        return OFF_EARTH
    if lat == 0.0 and lon == 0.0:
        return NOUGHT
    if uncertainty:
        try:
            if float(uncertainty) > MOST_UNCERTAIN_KM * 1000.0:
                return TOO_VAGUE
        except ValueError:
            pass  # not a number: as good as not told
    return lat, lon

"""Counts by plant, cell and month, gathered in bounded memory.

A cell is 0.01 degrees high and wide (1.1 km from north to south).  What is gathered lies in three
sorted arrays; new records wait in a buffer and are merged in when it is full, so that a million
records of a million cells take some tens of megabytes.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tanwright.planning.occurrences.naming import Match

CELLS_PER_DEGREE: Final = 100
_ROWS: Final = 180 * CELLS_PER_DEGREE + 1
_COLUMNS: Final = 360 * CELLS_PER_DEGREE
_MONTHS: Final = 13
_BUFFER: Final = 100_000

Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Tallies:
    """How often each plant was seen, by cell and month; all arrays are of shape (n,).

    Attributes
    ----------
    plants:
        What the indexes in ``plant`` stand for.
    latitude, longitude:
        Middle of the cell, degrees, a multiple of 0.01; longitude from -180 to below 180.
    month:
        1 to 12.
    count:
        Records, at least 1.
    latest:
        Day of the latest, proleptic ordinal (``datetime.date.fromordinal``).
    """

    plants: tuple[Match, ...]
    plant: Whole
    latitude: NDArray[np.float64]
    longitude: NDArray[np.float64]
    month: Whole
    count: Whole
    latest: Whole

    def __len__(self) -> int:
        return len(self.plant)

    def by_position(self) -> Tallies:
        """The same from south to north, and from west to east."""
        order = np.lexsort((self.longitude, self.latitude))
        return Tallies(
            plants=self.plants,
            plant=self.plant[order],
            latitude=self.latitude[order],
            longitude=self.longitude[order],
            month=self.month[order],
            count=self.count[order],
            latest=self.latest[order],
        )

    def rows(self) -> Iterator[tuple[Match, float, float, int, int, int]]:
        """Plant, latitude, longitude, month, count and latest day, one after the other."""
        step = 10_000
        for at in range(0, len(self), step):
            part = slice(at, at + step)
            columns = (self.plant, self.latitude, self.longitude, self.month, self.count,
                       self.latest)  # fmt: skip
            for plant, *rest in zip(*(column[part].tolist() for column in columns), strict=True):
                yield (self.plants[plant], *rest)


class Tally:
    """Gathers records; :meth:`add` one by one, :meth:`result` at the end."""

    def __init__(self) -> None:
        self._plants: dict[Match, int] = {}
        self._new_keys, self._new_days = array("q"), array("q")
        self._keys: Whole = np.empty(0, np.int64)
        self._counts: Whole = np.empty(0, np.int64)
        self._latest: Whole = np.empty(0, np.int64)

    def add(self, plant: Match, latitude: float, longitude: float, month: int, day: int) -> None:
        """Count one record. Degrees must be within range, ``day`` is a proleptic ordinal."""
        index = self._plants.setdefault(plant, len(self._plants))
        row = int((latitude + 90.0) * CELLS_PER_DEGREE + 0.5)
        column = int((longitude + 180.0) * CELLS_PER_DEGREE + 0.5) % _COLUMNS
        self._new_keys.append(((index * _ROWS + row) * _COLUMNS + column) * _MONTHS + month)
        self._new_days.append(day)
        if len(self._new_keys) >= max(_BUFFER, len(self._keys) // 2):
            self._merge()

    def result(self) -> Tallies:
        """All that was gathered, sorted by plant (in the order met), cell and month."""
        self._merge()
        rest, month = np.divmod(self._keys, _MONTHS)
        rest, column = np.divmod(rest, _COLUMNS)
        plant, row = np.divmod(rest, _ROWS)
        return Tallies(
            plants=tuple(self._plants),
            plant=plant,
            latitude=np.round(row / CELLS_PER_DEGREE - 90.0, 2) + 0.0,
            longitude=np.round(column / CELLS_PER_DEGREE - 180.0, 2) + 0.0,
            month=month,
            count=self._counts,
            latest=self._latest,
        )

    def _merge(self) -> None:
        if not self._new_keys:
            return
        keys = np.concatenate([self._keys, np.frombuffer(self._new_keys, np.int64)])
        counts = np.concatenate([self._counts, np.ones(len(self._new_keys), np.int64)])
        latest = np.concatenate([self._latest, np.frombuffer(self._new_days, np.int64)])
        order = np.argsort(keys, kind="stable")
        keys, counts, latest = keys[order], counts[order], latest[order]
        starts = np.flatnonzero(np.diff(keys, prepend=keys[0] - 1))
        self._keys = keys[starts]
        self._counts = np.add.reduceat(counts, starts)
        self._latest = np.maximum.reduceat(latest, starts)
        self._new_keys, self._new_days = array("q"), array("q")

"""Tests of an unknown plant, what they may show, and the colours that infusions give with iron."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import record, table

CLASSES = ("condensed", "gallotannin", "ellagitannin", "mixed")
"""Classes of tannin that the shares of a result are given for."""


@dataclass(frozen=True)
class PlantTest:
    """One test. ``place`` is home or laboratory; ``how`` are its steps in order.

    ``see_pct`` is the tannin of the air-dry material at which half of the tries show something,
    ``see_spread`` the spread of that in the logarithm; both None for a laboratory's test.
    ``cautions`` are topics of the table of cautions.
    """

    id: str
    name: str
    place: str
    asks: str
    how: tuple[str, ...]
    see_pct: float | None
    see_spread: float | None
    cautions: tuple[str, ...]
    limits: str
    source: str
    note: str


@dataclass(frozen=True)
class PlantTestResult:
    """One thing that a test may show.

    ``from_pct`` is set in tests of strength: the tannin from which it is likelier than the result
    before it. The shares say in how many tries it shows with each class, and ``none`` where there
    is no tannin.
    """

    test: str
    id: str
    words: str
    meaning: str
    from_pct: float | None
    condensed: float
    gallotannin: float
    ellagitannin: float
    mixed: float
    none: float
    source: str

    @property
    def shares(self) -> tuple[float, ...]:
        """Share of tries with each of :data:`CLASSES`."""
        return tuple(getattr(self, name) for name in CLASSES)


@dataclass(frozen=True)
class IronColour:
    """Colour with iron salts as printed; ``both`` where the source says it stands between."""

    id: str
    plant: str
    material_id: str
    colour: str
    source: str
    locator: str


@lru_cache(maxsize=1)
def plant_tests() -> tuple[PlantTest, ...]:
    """All tests, those for home first."""
    return tuple(record(PlantTest, row) for row in table("home_tests"))


def find_test(id: str) -> PlantTest:
    """Test by its id. Raises InputError with near matches."""
    known = {item.id: item for item in plant_tests()}
    if id in known:
        return known[id]
    near = difflib.get_close_matches(id, list(known), n=2)
    raise InputError(
        f'no test is called "{id}"',
        remedy=f"did you mean {' or '.join(near)}?" if near else "write one of " + ", ".join(known),
    )


@lru_cache(maxsize=16)
def results_of(test: str) -> tuple[PlantTestResult, ...]:
    """Results of a test, weakest sign first; empty for a laboratory's test."""
    return tuple(
        record(PlantTestResult, row)
        for row in table("home_test_results")
        if row.text("test") == test
    )


@lru_cache(maxsize=1)
def iron_colours() -> tuple[IronColour, ...]:
    """All printed colours."""
    return tuple(record(IronColour, row) for row in table("iron_colours"))

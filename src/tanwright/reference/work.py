"""Stages of hand work before and after the vat, their doses, and how tests of leather read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import record, table


@dataclass(frozen=True)
class StageRow:
    """One stage: hours at ``at_c``; they halve for each ``halving_c`` warmer (None: unknown)."""

    id: str
    name: str
    do: str
    hours_low: float
    hours_likely: float
    hours_high: float
    at_c: float
    halving_c: float | None
    coldest_c: float
    warmest_c: float
    end_test: str
    not_yet: str
    trouble: str
    topics: tuple[str, ...]
    reaches: str
    source: str


@dataclass(frozen=True)
class Dose:
    """What a stage takes, ``unit`` (kg, g or L) per kg of the skin as it enters.

    With an ``agent`` the table counts lime: kg of CaO dosed (slaked) or g of CaO held (the others).
    """

    id: str
    stage: str
    what: str
    agent: str
    low: float
    high: float
    unit: str
    how: str
    source: str


@dataclass(frozen=True)
class Reading:
    """How a value of a test of leather reads: from ``low`` to below ``high``."""

    id: str
    kind: str
    unit: str
    low: float
    high: float
    grade: str
    anchor: str
    means: str
    source: str


@lru_cache(maxsize=1)
def stage_rows() -> tuple[StageRow, ...]:
    """All stages, in the order of the work."""
    return tuple(record(StageRow, row) for row in table("work_stages"))


def stage_row(key: str) -> StageRow:
    """One stage. Raises InputError for a key that the table lacks."""
    for row in stage_rows():
        if row.id == key:
            return row
    raise InputError(f'no stage of work is called "{key}"', place="stage")


@lru_cache(maxsize=64)
def doses_of(stage: str) -> tuple[Dose, ...]:
    """Doses of a stage."""
    doses = (record(Dose, row) for row in table("work_doses"))
    return tuple(dose for dose in doses if dose.stage == stage)


@lru_cache(maxsize=1)
def leather_readings() -> tuple[Reading, ...]:
    """Scales of the tests of leather."""
    return tuple(record(Reading, row) for row in table("leather_readings"))

"""How leather, liquor and the cut are looked at and tested, and at what heat leather shrinks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tanwright.reference.loader import record, table


@dataclass(frozen=True)
class LeatherTest:
    """One look or test; ``stage`` is vat, liquor or leather."""

    id: str
    name: str
    do: str
    read: str
    stage: str
    source: str


@dataclass(frozen=True)
class Shrinkage:
    """Shrinkage temperature, °C, by one method."""

    id: str
    material: str
    low_c: float
    high_c: float
    method: str
    source: str


@dataclass(frozen=True)
class Standard:
    """A leather standard, what it gives and its formula."""

    id: str
    gives: str
    formula: str
    source: str


@dataclass(frozen=True)
class HideNitrogen:
    """Nitrogen of clean dry hide (%) and hide substance per nitrogen."""

    animal: str
    nitrogen_pct: float
    hide_per_nitrogen: float
    source: str


@lru_cache(maxsize=8)
def leather_tests(stage: str | None = None) -> tuple[LeatherTest, ...]:
    """Tests at home, all or those of one stage (vat, liquor, leather)."""
    tests = (record(LeatherTest, row) for row in table("leather_tests"))
    return tuple(test for test in tests if stage is None or test.stage == stage)


@lru_cache(maxsize=1)
def shrinkage_temperatures() -> tuple[Shrinkage, ...]:
    """Shrinkage temperatures; strip and micro-hot-table values are different quantities."""
    return tuple(record(Shrinkage, row) for row in table("shrinkage"))


@lru_cache(maxsize=1)
def standards() -> tuple[Standard, ...]:
    """Leather standards."""
    return tuple(record(Standard, row) for row in table("standards"))


@lru_cache(maxsize=1)
def hide_nitrogen() -> tuple[HideNitrogen, ...]:
    """Nitrogen of clean dry hide by animal."""
    return tuple(record(HideNitrogen, row) for row in table("hide_nitrogen"))

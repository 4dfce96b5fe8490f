"""What the leather is to become, how it is tested, and at what heat it shrinks."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import table

Span = tuple[float, float]


@dataclass(frozen=True)
class Leather:
    """One aim. Spans are (low, high); ``degree`` in g tannin per 100 g hide substance."""

    id: str
    label: str
    degree: Span
    start_bk: Span
    step_bk: Span
    finish_bk: Span
    oil_pct: Span
    fat_advice: str
    note: str
    source: str


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
    temperature_c: Span
    method: str
    source: str


def leather(name: str) -> Leather:
    """Leather aim by its id (soft, bag, firm, sole). Raises InputError with near matches."""
    wanted = name.strip().lower()
    known = {item.id: item for item in leathers()}
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(wanted, list(known), n=1, cutoff=0.5)
    raise InputError(
        f"no leather is called '{name}'",
        remedy=f"did you mean {near[0]}?" if near else "write one of " + ", ".join(known),
    )


@lru_cache(maxsize=1)
def leathers() -> tuple[Leather, ...]:
    """All aims, softest first."""
    return tuple(
        Leather(
            id=row.text("id"),
            label=row.text("label"),
            degree=(row.number("degree_low"), row.number("degree_high")),
            start_bk=(row.number("start_low_bk"), row.number("start_high_bk")),
            step_bk=(row.number("step_low_bk"), row.number("step_high_bk")),
            finish_bk=(row.number("finish_low_bk"), row.number("finish_high_bk")),
            oil_pct=(row.number("oil_low_pct"), row.number("oil_high_pct")),
            fat_advice=row.text("fat_advice"),
            note=row.text("note"),
            source=row.text("source"),
        )
        for row in table("leathers")
    )


@lru_cache(maxsize=8)
def leather_tests(stage: str | None = None) -> tuple[LeatherTest, ...]:
    """Tests at home, all or those of one stage (vat, liquor, leather)."""
    return tuple(
        LeatherTest(*(row.text(name) for name in ("id", "name", "do", "read", "stage", "source")))
        for row in table("leather_tests")
        if stage is None or row.text("stage") == stage
    )


@lru_cache(maxsize=1)
def shrinkage_temperatures() -> tuple[Shrinkage, ...]:
    """Shrinkage temperatures; strip and micro-hot-table values are different quantities."""
    return tuple(
        Shrinkage(
            id=row.text("id"),
            material=row.text("material"),
            temperature_c=(row.number("low_c"), row.number("high_c")),
            method=row.text("method"),
            source=row.text("source"),
        )
        for row in table("shrinkage")
    )

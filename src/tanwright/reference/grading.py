"""How a patch is graded by hand, eye and nose, and what is measured on it."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from tanwright.errors import InputError
from tanwright.reference.loader import record, table

Better = Literal["more", "less", "by-use"]


@dataclass(frozen=True)
class GradingScale:
    """A quality graded in steps; ``anchors`` say what each step is like, lowest first."""

    id: str
    name: str
    do: str
    anchors: tuple[str, ...]
    more: str
    less: str
    better: str
    source: str

    @property
    def steps(self) -> int:
        """Number of steps."""
        return len(self.anchors)

    def checked(self, grade: int, *, place: str = "") -> int:
        """``grade`` when it is a step of the scale. Raises InputError otherwise."""
        if 1 <= grade <= self.steps:
            return grade
        raise InputError(
            f"{grade} is no step of {self.name}",
            place=place,
            remedy=f"write 1 ({self.anchors[0]}) to {self.steps} ({self.anchors[-1]})",
        )


@dataclass(frozen=True)
class GradingMeasure:
    """A figure measured on a patch in ``unit``; ``low`` and ``high`` bound a reading."""

    id: str
    name: str
    unit: str
    low: float
    high: float
    do: str
    more: str
    less: str
    better: str
    when: str
    source: str

    def checked(self, value: float, *, place: str = "") -> float:
        """``value`` when it can be a reading. Raises InputError otherwise."""
        if self.low <= value <= self.high:
            return value
        raise InputError(
            f"{value:g} {self.unit} cannot be a {self.name}",
            place=place,
            remedy=f"write {self.low:g} to {self.high:g} {self.unit}; check the unit",
        )


@lru_cache(maxsize=1)
def grading_scales() -> tuple[GradingScale, ...]:
    """All qualities in the order in which a patch is taken in hand."""
    return tuple(record(GradingScale, row) for row in table("grading_scales"))


@lru_cache(maxsize=1)
def grading_measures() -> tuple[GradingMeasure, ...]:
    """All measures, those taken before the jar first."""
    return tuple(record(GradingMeasure, row) for row in table("grading_measures"))


def grading_scale(name: str) -> GradingScale:
    """The scale of a quality by its id. Raises InputError with the nearest."""
    known = {item.id: item for item in grading_scales()}
    return known[_key(name, tuple(known), "no quality is called")]


def grading_measure(name: str) -> GradingMeasure:
    """A measure by its id. Raises InputError with the nearest."""
    known = {item.id: item for item in grading_measures()}
    return known[_key(name, tuple(known), "no measure is called")]


def _key(name: str, known: tuple[str, ...], what: str) -> str:
    key = "-".join(name.strip().lower().replace("_", " ").split())
    if key in known:
        return key
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    raise InputError(
        f'{what} "{name}"',
        remedy=f"did you mean {near[0]}?" if near else "write one of " + ", ".join(known),
    )

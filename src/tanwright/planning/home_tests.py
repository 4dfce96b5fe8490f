"""Tests that one can do at home on a plant nobody knows, and what their results make likely."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tanwright.planning.answers import Range
from tanwright.reference.cautions import Caution

CLASSES = ("condensed", "gallotannin", "ellagitannin", "mixed")
"""The classes that :func:`judge` weighs."""


@dataclass(frozen=True)
class Result:
    """One thing that may be seen: its word, and what it is a sign of."""

    id: str
    words: str
    meaning: str


@dataclass(frozen=True)
class HomeTest:
    """One test. ``place`` is "home" or "laboratory"; the latter is told of, never asked for.

    ``how`` are the steps in order, ``results`` what may be seen.
    """

    id: str
    name: str
    place: str
    asks: str
    how: tuple[str, ...]
    results: tuple[Result, ...]
    limits: str
    cautions: tuple[Caution, ...]
    source: str


@dataclass(frozen=True)
class Judged:
    """What the results make likely.

    Attributes
    ----------
    classes:
        Chance of each of :data:`CLASSES`; they sum to 1.
    tannin_pct:
        Tannin of the air-dry material, 5th, 50th and 95th percentile.
    tannin_before_pct:
        The same before any test.
    hardly_any:
        Chance that there is less than 3 % of it, too little to tan with.
    verdict:
        What to do, in plain words.
    reasons:
        What each result did to the belief.
    limits:
        What the tests cannot tell.
    sources:
        Keys of the sources behind the likelihoods and the prior.
    """

    classes: Mapping[str, float]
    tannin_pct: Range
    tannin_before_pct: Range
    hardly_any: float
    verdict: str
    reasons: tuple[str, ...]
    limits: tuple[str, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[str, ...]


def home_tests() -> tuple[HomeTest, ...]:
    """All tests: those for home first, then those that need a laboratory."""
    raise NotImplementedError


def judge(part: str, results: Mapping[str, str], material_id: str | None = None) -> Judged:
    """Belief about class and strength after the tests.

    Parameters
    ----------
    part:
        Part of the plant: bark, leaf, gall.
    results:
        Id of the result seen, by id of the test.
    material_id:
        The plant, when it is known; otherwise an unknown plant of that part.

    Raises
    ------
    InputError
        For an unknown part, test or result, or a test that is not for home.
    UnknownMaterialError
        For an unknown material.
    """
    raise NotImplementedError

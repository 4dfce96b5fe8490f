"""What lying out has done to the bark of a dead or felled trunk."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tanwright.errors import InputError

RAINS = ("none", "some", "much")
FRESH_DAYS = 28
"""So long after felling rain has hardly reached the bark from within (from memory)."""
LEACHED_DAYS = 168
"""24 weeks: bark on spruce logs had lost more than half by then (jyske2020)."""
PEELS_DAYS = 7
"""So long after felling bark in its season still comes off well (from memory)."""
LONGEST_YEARS = 100


@dataclass(frozen=True)
class Lying:
    """Since when a trunk is dead or felled, and the rain it had since.

    Attributes
    ----------
    since:
        Day it died, fell or was felled; ``None`` when nobody knows.
    seen:
        Day for which it is asked.
    rain:
        ``"none"`` (under a roof, or no rain fell), ``"some"``, ``"much"``, or ``None``.

    Raises InputError for days that cannot be or a word that is not known.
    """

    since: date | None
    seen: date
    rain: str | None = None

    def __post_init__(self) -> None:
        if self.rain is not None and self.rain not in RAINS:
            raise InputError(
                f'rain "{self.rain}" is not known',
                place="rain",
                remedy="write " + ", ".join(RAINS),
            )
        if self.since is not None and not 0 <= (self.seen - self.since).days <= 366 * LONGEST_YEARS:
            raise InputError(
                f"a trunk cannot lie since {self.since} when it is seen on {self.seen}",
                place="since",
                remedy="write the day it fell or died, up to 100 years before",
            )

    @property
    def days(self) -> int | None:
        """Days since it died or was felled."""
        return None if self.since is None else (self.seen - self.since).days


@dataclass(frozen=True)
class Weathered:
    """What that means for the bark.

    ``rained_chance`` is the chance that it is to be taken as rained on, as the tables mean it:
    in so many draws the reference's loss is applied.
    """

    rained_chance: float
    peels: str
    strength: str
    sources: tuple[str, ...]


def weathered(lying: Lying) -> Weathered:
    """What lying out has done, in chances and in words."""
    chance = _chance(lying)
    if chance >= 0.95:
        strength = (
            "rain has been at it: bark left out lost half to two thirds within months, so count "
            "on weak bark and test a little first"
        )
    elif chance <= 0.05:
        strength = "taken as if peeled fresh: hardly any rain has been at it"
    else:
        strength = "rain may have been at it: both are reckoned with, so the range is wide"
    return Weathered(
        rained_chance=chance,
        peels=_peels(lying.days),
        strength=strength,
        sources=("jyske2020", "fir-storage2026", "fowler1949", "memory"),
    )


def _chance(lying: Lying) -> float:
    """Chance of being rained out: the words of the person first, else the days it lay (memory)."""
    said = {"none": 0.0, "some": 0.5, "much": 1.0}
    days = lying.days
    if lying.rain is not None:
        if days is not None and days <= FRESH_DAYS and lying.rain == "some":
            return 0.25
        return said[lying.rain]
    if days is None:
        return 0.5
    return min(1.0, max(0.0, (days - FRESH_DAYS) / (LEACHED_DAYS - FRESH_DAYS)))


def _peels(days: int | None) -> str:
    if days is None:
        return "nobody knows how long it is dead: try at a cut whether the bark still comes away"
    if days <= PEELS_DAYS:
        return "in its season the bark comes away best on the day of felling: peel now"
    if days <= 2 * FRESH_DAYS:
        return "the bark tightens as the trunk dries: expect to work for it"
    return "the bark has dried on: it has to be beaten or shaved off, or falls off with rot"

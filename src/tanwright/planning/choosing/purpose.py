"""What somebody wants a plant for: the skin, the leather, the place and the day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import date
from typing import TYPE_CHECKING

from tanwright.errors import InputError
from tanwright.planning.choosing import amount
from tanwright.reference import animals, leathers
from tanwright.reference.seasons import FIRST_YEAR, LAST_YEAR
from tanwright.science.phenology import HIGHEST_M, LOWEST_M

if TYPE_CHECKING:
    from tanwright.reference.world import Place


@dataclass(frozen=True)
class Near:
    """Where a plant was seen: km to the nearest place, and how often within reach."""

    km: float
    count: int


@dataclass(frozen=True)
class Weights:
    """How much each part counts; only their proportions matter. Each is 0 to 10.

    The defaults (from memory): quality before all, since a plant that makes poor leather is no
    help however near; then the source, the amount and the evidence alike; effort last.
    Raises InputError for a weight outside 0 to 10 or when all are nought.
    """

    quality: float = 4.0
    amount: float = 2.0
    evidence: float = 2.0
    source: float = 2.0
    effort: float = 1.0

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if not 0.0 <= value <= 10.0:
                raise InputError(
                    f"a weight of {value:g} is not known",
                    place=each.name,
                    remedy="write a number from 0 (counts for nothing) to 10",
                )
        if not any(self.shares().values()):
            raise InputError(
                "all weights are nought", place="quality", remedy="give one of them more than 0"
            )

    def shares(self) -> dict[str, float]:
        """Each weight as a share of their sum; all nought when the sum is."""
        values = {each.name: float(getattr(self, each.name)) for each in fields(self)}
        whole = sum(values.values()) or 1.0
        return {name: value / whole for name, value in values.items()}


@dataclass(frozen=True)
class Purpose:
    """What the plant is for.

    Attributes
    ----------
    place:
        Where it should grow; ``None`` ranks the plants of the whole world.
    latitude:
        Degrees north, for the season; ``None`` takes the days as the sources tell them, turned by
        half a year for a place of the south; no days for a place between the tropics.
    day:
        The day on which one goes out.
    leather:
        Aim: soft, bag, firm or sole.
    animal:
        A name that the tool knows: goat, rabbit, cattle.
    skin_kg:
        Green weight of all skins together, kg.
    reach_km:
        How far one goes; ``None`` when it does not matter.
    seen:
        Material ids that were seen near, and how near. Empty when nothing is known.
    beginner:
        Proven materials come before curiosities.
    weights:
        How much each part counts.
    altitude_m:
        Height above the sea, for the season; not looked at without a latitude.

    Raises
    ------
    InputError
        For an unknown leather or animal, a weight that is not above 0 (or above 2000 kg) or that no
        skin of the animal has, a latitude beyond 90 degrees, a height beyond -500 to 6000 m, a
        year far away, or a reach that is not above 0.
    """

    place: Place | None
    latitude: float | None
    day: date
    leather: str
    animal: str
    skin_kg: float
    reach_km: float | None = None
    seen: Mapping[str, Near] = field(default_factory=dict)
    beginner: bool = False
    weights: Weights = field(default_factory=Weights)
    altitude_m: float = 0.0

    def __post_init__(self) -> None:
        leathers.leather(self.leather)
        animals.animal(self.animal)
        if not 0.0 < self.skin_kg <= 2000.0:
            raise InputError(
                f"{self.skin_kg:g} kg of skin cannot be",
                place="skin_kg",
                remedy="write the green weight, above 0 and up to 2000 kg",
            )
        amount.check_skins(self.animal, self.skin_kg, self.leather)
        if self.latitude is not None and not -90.0 <= self.latitude <= 90.0:
            raise InputError(
                f"{self.latitude:g} is no latitude",
                place="latitude",
                remedy="write degrees from -90 (south) to 90 (north)",
            )
        if not LOWEST_M <= self.altitude_m <= HIGHEST_M:
            raise InputError(
                f"a height of {self.altitude_m:g} m cannot be",
                place="altitude_m",
                remedy=f"write metres above the sea, {LOWEST_M:g} to {HIGHEST_M:g}",
            )
        if not FIRST_YEAR < self.day.year < LAST_YEAR:
            raise InputError(
                f"the year {self.day.year} cannot be used",
                place="day",
                remedy="write a day such as 2026-05-01",
            )
        if self.reach_km is not None and not 0.0 < self.reach_km <= 20_000.0:
            raise InputError(
                f"{self.reach_km:g} km cannot be gone",
                place="reach_km",
                remedy="write how many km you go, above 0",
            )

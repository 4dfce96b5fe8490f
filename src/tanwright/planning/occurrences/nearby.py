"""What was seen within reach of a position: how often, how near, in which months, when last."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.occurrences.naming import Level
from tanwright.planning.occurrences.tallying import Tallies
from tanwright.reference.materials import Material, materials
from tanwright.science.sphere import great_circle_km

LONGEST_REACH_KM = 200.0


@dataclass(frozen=True)
class Seen:
    """A plant seen within reach.

    Attributes
    ----------
    taxon, level:
        Scientific name of the reference; a genus where only that matched.
    count:
        Records (one may stand for many plants, and many for one tree that all look at).
    nearest_km:
        From the position to the middle of the nearest cell; right to about 0.8 km.
    months:
        Records by month, January first: twelve numbers.
    latest:
        Day of the latest record.
    """

    taxon: str
    level: Level
    count: int
    nearest_km: float
    months: tuple[int, ...]
    latest: date

    @property
    def materials(self) -> tuple[Material, ...]:
        """Its parts that the reference knows, as :func:`materials_of` gives them."""
        return materials_of(self.taxon, self.level)


def near(tallies: Tallies, latitude: float, longitude: float, km: float) -> tuple[Seen, ...]:
    """Plants seen within ``km`` of a position (degrees), the most seen first.

    Species come before genera. Raises InputError for a position or a reach that cannot be.
    """
    if not 0.0 < km <= LONGEST_REACH_KM:
        raise InputError(
            f"a reach of {km:g} km cannot be used",
            remedy=f"write a number from 1 to {LONGEST_REACH_KM:g} km",
        )
    if not len(tallies):
        return ()
    away = great_circle_km(latitude, longitude, tallies.latitude, tallies.longitude)
    kept = np.flatnonzero(away <= km)
    plant, month = tallies.plant[kept], tallies.month[kept]
    count, latest, away = tallies.count[kept], tallies.latest[kept], away[kept]
    found = []
    for index in np.unique(plant).tolist():
        of_it = plant == index
        match = tallies.plants[index]
        months = np.bincount(month[of_it], weights=count[of_it], minlength=13)[1:]
        found.append(
            Seen(
                taxon=match.taxon,
                level=match.level,
                count=int(count[of_it].sum()),
                nearest_km=float(away[of_it].min()),
                months=tuple(int(number) for number in months),
                latest=date.fromordinal(int(latest[of_it].max())),
            )
        )
    return tuple(sorted(found, key=lambda it: (it.level == "genus", -it.count, it.taxon)))


def materials_of(taxon: str, level: Level = "species") -> tuple[Material, ...]:
    """Materials of a plant of the reference, or of all plants of a genus, by id."""
    if level == "genus":
        return tuple(item for item in materials() if item.genus == taxon)
    return tuple(item for item in materials() if item.scientific_name == taxon)

"""Usual outlines of offcuts: legs, neck, belly and the rest, scaled to the skin."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.animals import Animal
from tanwright.reference.loader import record, table


@dataclass(frozen=True)
class OffcutShape:
    """One usual piece; length and widths as shares of the side of a square as large as the skin."""

    id: str
    name: str
    region: str
    on_a_skin: float
    length: float
    width_1: float
    width_2: float
    width_3: float
    width_4: float
    width_5: float
    note: str
    source: str

    @property
    def widths(self) -> tuple[float, ...]:
        """Widths across at five evenly spaced places, from the skin's middle outwards."""
        return self.width_1, self.width_2, self.width_3, self.width_4, self.width_5

    def measures_cm(self, skin_area_m2: float) -> tuple[float, tuple[float, ...]]:
        """Length and widths in cm on a skin of ``skin_area_m2``."""
        side = 100.0 * math.sqrt(skin_area_m2)
        return self.length * side, tuple(width * side for width in self.widths)


@lru_cache(maxsize=1)
def offcut_shapes() -> tuple[OffcutShape, ...]:
    """All usual pieces, in the order of the table."""
    return tuple(record(OffcutShape, row) for row in table("offcuts"))


def offcut_shape(id: str) -> OffcutShape:
    """One usual piece. Raises InputError with the names for an unknown one."""
    for item in offcut_shapes():
        if item.id == id:
            return item
    raise InputError(
        f'no usual offcut is called "{id}"',
        remedy="write one of " + ", ".join(item.id for item in offcut_shapes()),
    )


def area_of_skin_m2(animal: Animal, green_kg: float | None = None) -> float:
    """Area of a skin of ``animal``: between its usual limits as the green weight lies between its.

    Taken to grow with the power 2/3 of the weight, as bodies alike in shape do; the middle of the
    limits without a weight.
    """
    low, high = float(animal.area_low_m2), float(animal.area_high_m2)
    if green_kg is None:
        return (low + high) / 2.0
    if not 0.0 < green_kg < 200.0:
        raise InputError(f"a skin of {green_kg:g} kg is absurd", remedy="write its weight in kg")
    ends = [kg ** (2.0 / 3.0) for kg in (animal.green_low_kg, animal.green_high_kg)]
    share = (green_kg ** (2.0 / 3.0) - ends[0]) / (ends[1] - ends[0])
    return float(low + min(max(share, -0.2), 1.2) * (high - low))

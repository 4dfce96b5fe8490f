"""What is still wanted of lots and plants, as areas further up say it.

Stock stands below the tannages and cannot ask them; whoever knows of amounts to be cooked hands a
function over when the yard starts, as the areas do with their folds.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Claim:
    """So much of one plant is still to be cooked for the tannages that are open.

    Attributes
    ----------
    lot_ids:
        Lots that they mean to cook it from; none when it is yet to be gathered.
    low_kg, likely_kg, high_kg:
        What is still to be cooked, kg as it lies: 5th, 50th and 95th percentile.
    left_kg:
        What is left of these lots.
    chance_short:
        Chance that what is left does not suffice, 0 to 1.
    whom:
        (title, address) of the tannages.
    """

    material_id: str
    lot_ids: tuple[uuid.UUID, ...]
    low_kg: float
    likely_kg: float
    high_kg: float
    left_kg: float
    chance_short: float
    whom: tuple[tuple[str, str], ...]

    SHORT = 0.2
    """More than one chance in five is worth a word."""

    @property
    def is_short(self) -> bool:
        """Whether it may well not suffice."""
        return self.chance_short > self.SHORT


Asker = Callable[[], tuple[Claim, ...]]
_askers: list[Asker] = []


def ask_with(asker: Asker) -> None:
    """Let ``asker()`` tell what is still wanted; asked twice, it counts once."""
    if asker not in _askers:
        _askers.append(asker)


def wanted() -> tuple[Claim, ...]:
    """What all areas still want, in no order."""
    return tuple(claim for asker in _askers for claim in asker())

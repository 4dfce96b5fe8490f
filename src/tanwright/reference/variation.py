"""What is said to make one lot stronger or weaker than another."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tanwright.reference.loader import record, table
from tanwright.reference.materials import Material


@dataclass(frozen=True)
class Variation:
    """One statement; ``low`` and ``high`` in ``unit`` where the source gives figures."""

    id: str
    topic: str
    plant: str
    statement: str
    low: float | None
    high: float | None
    unit: str
    source: str
    provenance: str


@lru_cache(maxsize=1)
def variations() -> tuple[Variation, ...]:
    """All statements."""
    return tuple(record(Variation, row) for row in table("variation"))


def variations_of(item: Material) -> tuple[Variation, ...]:
    """Statements whose plant is of the material's genus."""
    if not item.genus:
        return ()
    return tuple(part for part in variations() if item.genus in part.plant.split())

"""Bark of standing trees: biomass by diameter, water, density and share of bark."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tanwright.reference.loader import record, table
from tanwright.reference.materials import material


@dataclass(frozen=True)
class AllometryGroup:
    """Above-ground oven-dry mass, kg = exp(b0 + b1 ln(diameter in cm)) (jenkins2003)."""

    id: str
    name: str
    genera: tuple[str, ...]
    kind: str
    b0: float
    b1: float
    check_at_20_cm_kg: float
    source: str


@dataclass(frozen=True)
class ComponentRatio:
    """Share of a component in the above-ground mass = exp(a0 + a1/diameter in cm)."""

    component: str
    kind: str
    a0: float
    a1: float
    source: str


@dataclass(frozen=True)
class BarkProperties:
    """Bark of one species: water on dry mass (%), basic specific gravity, % of stem volume."""

    species: str
    common_name: str
    material_id: str
    allometry_group: str
    kind: str
    green_moisture_pct: float
    basic_sg: float
    bark_share_pct: float
    source: str

    @property
    def water_share(self) -> float:
        """Share of water in the green bark."""
        return self.green_moisture_pct / (100.0 + self.green_moisture_pct)


@lru_cache(maxsize=1)
def allometry_groups() -> tuple[AllometryGroup, ...]:
    """All groups of trees."""
    return tuple(record(AllometryGroup, row) for row in table("allometry"))


def allometry_group(material_id: str) -> AllometryGroup | None:
    """Group of the trees that a material comes from, or None when no group holds its genus."""
    genus = material(material_id).genus
    return next((group for group in allometry_groups() if genus and genus in group.genera), None)


def component_ratio(component: str, kind: str) -> ComponentRatio:
    """Ratio of ``"stem bark"``, ``"stem wood"``, ``"foliage"`` or ``"coarse roots"``.

    ``kind`` is ``"softwood"`` or ``"hardwood"``. Raises KeyError for another one.
    """
    return _ratios()[component, kind]


@lru_cache(maxsize=1)
def bark_properties() -> tuple[BarkProperties, ...]:
    """Measured barks of the forest inventory (fia-refspecies)."""
    return tuple(record(BarkProperties, row) for row in table("bark_properties"))


@lru_cache(maxsize=1)
def _ratios() -> dict[tuple[str, str], ComponentRatio]:
    found = (record(ComponentRatio, row) for row in table("allometry_ratios"))
    return {(ratio.component, ratio.kind): ratio for ratio in found}

"""What was seen near the yard's own place, by material, for the ranking and a plant's page."""

from __future__ import annotations

from tanwright.planning.choosing import Near
from tanwright.planning.occurrences import Seen
from tanwright.reference.materials import materials
from tanwright.yard.plants.here_queries import seen_near
from tanwright.yard.plants.models import HomePlace


def seen_by_material(home: HomePlace | None) -> dict[str, Seen]:
    """What was seen within reach of the yard, by the id of each material of the plant.

    As many queries as :func:`here_queries.seen_near` takes.
    """
    of = {seen.taxon: seen for seen in seen_near(home) if seen.level == "species"}
    if not of:
        return {}
    return {item.id: of[item.scientific_name] for item in materials() if item.scientific_name in of}


def near_by_material(home: HomePlace | None) -> dict[str, Near]:
    """The same as the ranking takes it: how far to the nearest, and how often."""
    return {id: Near(seen.nearest_km, seen.count) for id, seen in seen_by_material(home).items()}

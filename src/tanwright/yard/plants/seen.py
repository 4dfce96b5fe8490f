"""What was seen near the yard's own place, by material, for the ranking and a plant's page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tanwright.planning.choosing import Near
from tanwright.planning.occurrences import Seen
from tanwright.yard.plants.here_queries import seen_near
from tanwright.yard.plants.models import HomePlace, SightingsImport

Key = tuple[object, ...]

_kept: dict[Key, Mapping[str, Seen]] = {}
"""Counted lately: imports and the yard's place change seldom, and counting takes long."""
MOST_KEPT: Final = 4


def seen_by_material(home: HomePlace | None) -> Mapping[str, Seen]:
    """What was seen within reach of the yard, by the id of each material of the plant.

    1 query, and one more after an import or when the yard's place has changed.
    """
    if home is None or not home.has_position:
        return {}
    imports = SightingsImport.objects.filter(state=SightingsImport.State.DONE)
    key: Key = (
        home.latitude,
        home.longitude,
        home.reach_km,
        *imports.order_by("id").values_list("id", "ended_at"),
    )
    if key not in _kept:
        while len(_kept) >= MOST_KEPT:
            _kept.pop(next(iter(_kept)), None)
        _kept[key] = {
            item.id: seen
            for seen in seen_near(home)
            if seen.level == "species"
            for item in seen.materials
        }
    return _kept[key]


def near_by_material(home: HomePlace | None) -> dict[str, Near]:
    """The same as the ranking takes it: how far to the nearest, and how often."""
    return {id: Near(seen.nearest_km, seen.count) for id, seen in seen_by_material(home).items()}

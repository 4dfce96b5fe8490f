"""What was seen near the yard's own place, for the ranking."""

from __future__ import annotations

from tanwright.planning.choosing import Near
from tanwright.yard.plants.models import HomePlace


def seen_near(home: HomePlace | None) -> dict[str, Near]:
    """Materials seen within reach of the yard, with the nearest place and how often."""
    return {}

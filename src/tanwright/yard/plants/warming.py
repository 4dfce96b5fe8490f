"""What the pages of plants work out once for the process, done before anybody asks for it."""

from __future__ import annotations

from datetime import date

from tanwright.planning.choosing import Purpose, rank
from tanwright.yard.plants.almanac_views import all_contradictions
from tanwright.yard.plants.catalogue import catalogue
from tanwright.yard.plants.choosing_forms import usual_kg

ANIMAL, LEATHER = "goat", "soft"


def warm() -> None:
    """Fill what is kept of the reference and of the ranking (half a second; no database)."""
    catalogue()
    rank(
        Purpose(
            place=None,
            latitude=None,
            day=date(2026, 5, 1),  # no part in what is kept
            leather=LEATHER,
            animal=ANIMAL,
            skin_kg=usual_kg(ANIMAL),
        )
    )
    all_contradictions()

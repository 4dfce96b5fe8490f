"""How long a ranking takes: a thousand materials, cold and warm, and the whole almanac."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date

from tanwright.planning import almanac
from tanwright.planning.choosing import Purpose, rank
from tanwright.reference import materials
from tanwright.reference.world import place

MADE = 1000
WARM_RUNS = 5


def choosing_rows() -> list[tuple[str, str, str]]:
    """Rows (what, figure, remark)."""
    purpose = Purpose(place("Germany"), 51.0, date(2026, 5, 3), "bag", "goat", 2.3)
    everywhere = replace(purpose, place=None)
    made = tuple(
        replace(item, id=f"{item.id}-{copy}" if copy else item.id)
        for copy in range(1 + MADE // len(materials.materials()))
        for item in materials.materials()
    )[:MADE]
    cold = _ms(lambda: rank(everywhere, materials=made))
    warm = min(_ms(lambda: rank(everywhere, materials=made)) for _ in range(WARM_RUNS))
    heavier = _ms(lambda: rank(replace(everywhere, skin_kg=3.1), materials=made))
    here = min(_ms(lambda: rank(purpose)) for _ in range(WARM_RUNS))
    sources, sides = _ms(almanac.sources), _ms(almanac.contradictions)
    return [
        (f"rank {MADE} materials, warm", f"{warm:.0f} ms", "bar 200 ms; one skin, the whole world"),
        (
            f"rank {MADE} materials, another skin",
            f"{heavier:.0f} ms",
            "its need worked out anew",
        ),
        (f"rank {MADE} materials, cold", f"{cold:.0f} ms", "tables, priors and cooks as well"),
        ("rank the plants of one country, warm", f"{here:.1f} ms", "Germany"),
        ("sources of the almanac, cold", f"{sources:.0f} ms", ""),
        ("contradictions of the almanac, cold", f"{sides:.0f} ms", ""),
    ]


def _ms(run: Callable[[], object]) -> float:
    begun = time.perf_counter()
    run()
    return 1000.0 * (time.perf_counter() - begun)

"""Trunks that were measured at a place: checked, and how much bark and skin they should give."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.planning.answers import Range
from tanwright.planning.gathering.lying import Lying
from tanwright.reference import materials
from tanwright.yard.gathering.models import Place
from tanwright.yard.journal.checking import number
from tanwright.yard.journal.kinds import Data

MOST_TRUNKS: Final = 24
"""Kinds of trunk in one entry; alike ones are counted."""
MOST_OF_IT: Final = 0.5
"""Share of a diameter that the bark of both sides may be; 0.4 of a very old trunk (from memory)."""
_SIZES: Final = {"diameter_cm": (1.0, 400.0), "length_m": (0.1, 60.0), "bark_mm": (0.5, 150.0)}


@dataclass(frozen=True)
class Bark:
    """What trunks should give: 5th, 50th and 95th percentile.

    ``bark_kg`` is air-dry bark, ``skin_kg`` the green skin that it should tan.
    """

    bark_kg: tuple[float, float, float]
    skin_kg: tuple[float, float, float]


def clean_trunks(data: Mapping[str, Any]) -> Data:
    """Trunks with their plant, and the bark they give (kept as it was told when written).

    Raises InputError for trunks that cannot be.
    """
    material = materials.material(str(data.get("material_id", "")))
    rows = data.get("trunks")
    if not isinstance(rows, list) or not 1 <= len(rows) <= MOST_TRUNKS:
        raise InputError(
            "no trunk was measured",
            place="diameter_cm",
            remedy="write how thick at least one trunk is",
        )
    trunks = [_clean_trunk(row) for row in rows]
    kept: Data = {"material_id": material.id, "trunks": trunks}
    if "bark_kg" in data and "skin_kg" in data:
        return {**kept, "bark_kg": _three(data, "bark_kg"), "skin_kg": _three(data, "skin_kg")}
    found = bark_of([(material.id, trunks)])
    return {**kept, "bark_kg": list(found.bark_kg), "skin_kg": list(found.skin_kg)}


def bark_of(
    measured: Iterable[tuple[str, Sequence[Mapping[str, Any]]]], lying: Lying | None = None
) -> Bark:
    """Bark and skin of trunks of each plant (some 15 ms a plant); ``lying`` is since when and in
    what rain. Raises InputError."""
    # The engine is heavy to import; a page that measures nothing should not wait for it.
    from tanwright.planning.gathering.trunks import Trunks, pile_yield
    from tanwright.planning.trees import Trunk

    pile = [
        Trunks(
            material_id,
            Trunk(row["diameter_cm"], row.get("length_m"), row.get("bark_mm")),
            int(row.get("count", 1)),
        )
        for material_id, rows in measured
        for row in rows
    ]
    found = pile_yield(pile, lying=lying)
    return Bark(_percentiles(found.air_dry_kg), _percentiles(found.skin_kg))


def lying_of(place: Place, seen: date) -> Lying | None:
    """Since when its trunks are dead and the rain they had; ``None`` when nobody said either."""
    rain = _RAINS.get(place.rain_words)
    if place.ended_on is None and rain is None:
        return None
    since = place.ended_on if place.ended_on is None or place.ended_on <= seen else None
    try:
        return Lying(since, seen, rain)
    except InputError:
        return Lying(None, seen, rain)  # dead for longer than anybody would peel it


_RAINS: Final = {"shower": "some", "days": "some", "weeks": "much"}


def _percentiles(amount: Range) -> tuple[float, float, float]:
    return amount.p05, amount.p50, amount.p95


def _clean_trunk(row: Any) -> Data:
    if not isinstance(row, Mapping):
        raise InputError("this is no trunk", place="diameter_cm", remedy="reload the page")
    kept: Data = {"count": int(number(row, "count", 1, 1000, needed=False) or 1)}
    for key, (low, high) in _SIZES.items():
        found = number(row, key, low, high, needed=key == "diameter_cm")
        if found is not None:
            kept[key] = found
    if 2.0 * kept.get("bark_mm", 0.0) >= MOST_OF_IT * 10.0 * kept["diameter_cm"]:
        raise InputError(
            "no trunk is half bark",
            place="bark_mm",
            remedy="write the thickness of the bark in mm, of the trunk in cm",
        )
    return kept


def _three(data: Mapping[str, Any], key: str) -> list[float]:
    values = data[key]
    if not isinstance(values, list) or len(values) != 3:
        raise InputError("this is no range", place=key, remedy="reload the page and try again")
    return [number({key: value}, key, 0.0, 1e7) or 0.0 for value in values]

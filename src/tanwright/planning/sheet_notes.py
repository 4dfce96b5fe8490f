"""What is worth saying of the skins of a sheet before anything is reckoned."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tanwright.reference import animals
from tanwright.units import format_range, rounded

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tanwright.planning.sheet import Skin

THICKNESS_TOLD = 2.0
"""A thickness so many times outside of the animal's range is told, and used."""


def skin_notes(raw: Mapping[str, object], skins: tuple[Skin, ...]) -> tuple[str, ...]:
    """Notes about hair, frost and thickness; ``raw`` is the sheet as it was written."""
    value = raw.get("skin", [])
    rows: list[Mapping[str, object]] = value if isinstance(value, list) else [value]  # type: ignore[list-item]
    return (*_hair_notes(rows, skins), *_frozen_notes(rows), *_thick_notes(skins))


def _hair_notes(rows: list[Mapping[str, object]], skins: tuple[Skin, ...]) -> list[str]:
    notes: list[str] = []
    for data, skin in zip(rows, skins, strict=True):
        if "hair" in data or skin.animal is None or skin.stage in ("limed", "delimed"):
            continue
        if animals.animal(skin.animal).hair_on:
            notes.append(
                f"Hair was not mentioned: planned with the hair off, though {skin.animal} is mostly"
                ' tanned with it on; if so, write hair = "on".'
            )
    return notes


def _frozen_notes(rows: list[Mapping[str, object]]) -> tuple[str, ...]:
    for row in rows:
        if str(row.get("stage", "")).strip().lower() == "frozen":
            return (
                "A frozen skin is taken as green: thaw it slowly in cold salt water, below 10 °C, "
                "never in warm water or by a fire (common practice), and start the same day.",
            )
    return ()


def _thick_notes(skins: tuple[Skin, ...]) -> list[str]:
    """Thicknesses far outside of what the animal has; they are used as given."""
    notes: list[str] = []
    for skin in skins:
        mm = skin.thickness_mm
        if mm is None or skin.animal is None:
            continue
        low, high = animals.animal(skin.animal).thickness_mm
        if not low / THICKNESS_TOLD <= mm <= high * THICKNESS_TOLD:
            word = "thick" if mm > high else "thin"
            notes.append(
                f"{rounded(mm)} mm is very {word} for {skin.animal} (usually "
                f"{format_range(low, high, 'thickness')}); it is used as given, and time "
                "grows with its square: measure again, without hair or fat."
            )
    return notes

"""What of a sheet cannot be, and what of it is unusual, once every value has been read."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from tanwright.errors import InputError
from tanwright.reference import animals
from tanwright.science.hide import PELT_DENSITY_KG_PER_L
from tanwright.units import format_mass, format_range, format_volume, rounded

if TYPE_CHECKING:
    from tanwright.planning.sheet import Leather, Sheet, Skin
    from tanwright.planning.sheet_source import Where

WEIGHT_REFUSED: Final = 6.0
"""A weight so many times outside of the animal's range cannot be that animal."""
WEIGHT_TOLD: Final = 1.5
"""A weight so many times outside of the range is told, and used."""
SNUG_L_PER_KG: Final = 3.0
"""Below so many litres for a kg of wet skin the skins lie folded (common practice)."""
WARM_C: Final = 30.0
"""Raw pelt is kept below this (Procter 1903, and common practice)."""
FISH_WARM_C: Final = 20.0
"""Skin of cold-water fish is kept below this: it shrinks far earlier (from memory)."""
_HEAVY: Final = frozenset({"cattle", "bull"})
_MIDDLE: Final = frozenset({"calf", "pig", "elk", "red-deer"})


def default_leather(skins: tuple[Skin, ...]) -> tuple[Leather, str]:
    """The leather to plan for when none was named, and why: soft unless the skin is heavy."""
    firmest: Leather = "soft"
    for skin in skins:
        mm = skin.thickness_mm
        heavy = skin.animal in _HEAVY or (skin.animal is None and mm is not None and mm > 4.5)
        middle = skin.animal in _MIDDLE or (skin.animal is None and mm is not None and mm > 3.0)
        if heavy:
            firmest = "firm"
        elif middle and firmest == "soft":
            firmest = "bag"
    why = {
        "soft": "as light skins usually are",
        "bag": "as skins of middling weight usually are",
        "firm": "as heavy hides usually are",
    }
    return firmest, why[firmest]


def check_sheet(sheet: Sheet, where: Where) -> Sheet:
    """The sheet with notes about what is unusual in it. Raises InputError for what cannot be."""
    notes = list(sheet.notes)
    for index, skin in enumerate(sheet.skins):
        notes += _check_weight(skin, where("skin", index, "weight"))
        notes += _check_thickness(skin, where("skin", index, "thickness"))
    notes += _check_room(sheet, where("vat", None, "volume"))
    limit = raw_limit_c(sheet)
    warm = [spell.temperature_c for spell in sheet.vat.temperature if spell.temperature_c >= limit]
    if warm:
        raw = "skin of cold-water fish" if limit < WARM_C else "raw pelt"
        notes.append(
            f"The vat at {max(warm):.0f} °C: {raw} is safe only below {limit:.0f} °C; "
            "above it the skin may shrink and the liquor may turn."
        )
    return replace(sheet, notes=tuple(notes))


def raw_limit_c(sheet: Sheet) -> float:
    """Warmth that every raw skin of the sheet still bears, °C: the least of its kinds."""
    return FISH_WARM_C if any(skin.animal == "fish" for skin in sheet.skins) else WARM_C


def _check_weight(skin: Skin, place: str) -> list[str]:
    if skin.weight_kg is None or skin.animal is None:
        if skin.weight_kg is not None and skin.weight_kg > 200.0:
            raise InputError(
                f"{format_mass(skin.weight_kg)} is more than any one skin weighs",
                place=place,
                remedy="give the weight of one skin, and how many as count",
            )
        return []
    low, high = _weight_range_kg(skin)
    usual = format_range(low, high, "mass")
    kg = skin.weight_kg
    if not low / WEIGHT_REFUSED <= kg <= high * WEIGHT_REFUSED:
        many = (
            "; is it the weight of several skins?"
            if kg > high
            else "; a piece of one? Then leave the animal out and give the thickness"
        )
        raise InputError(
            f"{format_mass(kg)} is not the weight of one {skin.stage} {skin.animal} skin"
            f" (usually {usual})",
            place=place,
            remedy=f"check the number, the unit and the stage{many}",
        )
    if not low / WEIGHT_TOLD <= kg <= high * WEIGHT_TOLD:
        much = "heavy" if kg > high else "light"
        return [
            f"{format_mass(kg)} is {much} for one {skin.stage} {skin.animal} skin "
            f"(usually {usual}); it is used as given."
        ]
    return []


def _check_thickness(skin: Skin, place: str) -> list[str]:
    mm = skin.thickness_mm
    if mm is None:
        return []
    if not 0.05 <= mm <= 40.0:
        raise InputError(
            f"{rounded(mm)} mm is not the thickness of a skin",
            place=place,
            remedy="write it like 2 mm; skins are 0.3 to 20 mm thick",
        )
    return []


def _weight_range_kg(skin: Skin) -> tuple[float, float]:
    """The animal's usual range at the skin's stage."""
    assert skin.animal is not None
    low, high = animals.animal(skin.animal).green_kg
    ratio = animals.stage(skin.stage).to_green
    return low * ratio[0], high * ratio[1]


def wet_volume_l(skin: Skin) -> float | None:
    """Least volume that all the skins of one entry fill when wet, L; ``None`` if unknown."""
    if skin.weight_kg is not None:
        wet_kg = skin.weight_kg / max(animals.stage(skin.stage).to_green)
        return skin.count * wet_kg / PELT_DENSITY_KG_PER_L
    if skin.area_m2 is not None and skin.thickness_mm is not None:
        return skin.count * skin.area_m2 * skin.thickness_mm
    if skin.animal is not None:
        return skin.count * animals.animal(skin.animal).green_kg[0] / PELT_DENSITY_KG_PER_L
    return None


def _check_room(sheet: Sheet, place: str) -> list[str]:
    vat_l = sheet.vat.volume_l
    if vat_l is None:
        return []
    known = [volume for volume in map(wet_volume_l, sheet.skins) if volume is not None]
    skins_l = sum(known)
    if vat_l <= skins_l:
        raise InputError(
            f"a vat of {format_volume(vat_l)} is smaller than the wet skins"
            f" ({format_volume(skins_l)})",
            place=place,
            remedy=f"use a vat of {format_volume(4.0 * skins_l)} or more, or fewer skins at a time",
        )
    if skins_l and vat_l < SNUG_L_PER_KG * PELT_DENSITY_KG_PER_L * skins_l:
        return [
            f"{format_volume(vat_l)} is a tight vat for these skins: they will lie folded, and"
            " folds stay pale. Move them often, or use more liquor."
        ]
    return []

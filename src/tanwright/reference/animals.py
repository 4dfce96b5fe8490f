"""Skins by animal, stage and region: usual sizes, each a range. A measured value always wins."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import table

Span = tuple[float, float]


@dataclass(frozen=True)
class Animal:
    """Usual sizes of one skin as (low, high).

    ``skin_share`` is what is left of the green weight once hair, fat and flesh are off.
    """

    id: str
    name: str
    aliases: tuple[str, ...]
    green_kg: Span
    area_m2: Span
    thickness_mm: Span
    skin_share: Span
    hair_on: bool
    note: str
    source: str


@dataclass(frozen=True)
class Region:
    """Region of a cattle hide: share of the area, thickness against the butt."""

    id: str
    name: str
    area_share: Span
    thickness_ratio: Span
    fibre: str
    behaviour: str
    source: str


@dataclass(frozen=True)
class Stage:
    """Stage of a skin: weight over green weight, water and hide substance as shares."""

    id: str
    label: str
    to_green: Span
    water_share: Span
    hide_share: Span
    note: str
    source: str


@dataclass(frozen=True)
class WeightRatio:
    """Multiply a weight at ``from_stage`` by the ratio to get the weight at ``to_stage``."""

    id: str
    from_stage: str
    to_stage: str
    ratio: Span
    note: str
    source: str


def animal(name: str) -> Animal:
    """Animal by name or alias. Raises InputError with near matches."""
    wanted = " ".join(name.lower().replace("-", " ").split())
    names = _animal_names()
    for form in (wanted, wanted.removesuffix(" skin"), wanted.removesuffix("s")):
        if form in names:
            return names[form]
    near = difflib.get_close_matches(wanted, list(names), n=3, cutoff=0.6)
    raise InputError(
        f"no animal is called '{name}'",
        remedy=(f"did you mean {', '.join(near)}, or " if near else "")
        + ("" if near else "write one of " + ", ".join(item.name for item in animals()) + ", or ")
        + "give the thickness of the skin",
    )


@lru_cache(maxsize=1)
def animals() -> tuple[Animal, ...]:
    """All animals of the table."""
    return tuple(
        Animal(
            id=row.text("id"),
            name=row.text("name"),
            aliases=row.words("aliases"),
            green_kg=(row.number("green_low_kg"), row.number("green_high_kg")),
            area_m2=(row.number("area_low_m2"), row.number("area_high_m2")),
            thickness_mm=(row.number("thickness_low_mm"), row.number("thickness_high_mm")),
            skin_share=(row.number("skin_share_low"), row.number("skin_share_high")),
            hair_on=row.text("hair_on") == "yes",
            note=row.text("note"),
            source=row.text("source"),
        )
        for row in table("animals")
    )


@lru_cache(maxsize=1)
def regions() -> tuple[Region, ...]:
    """Regions of a hide, butt first."""
    return tuple(
        Region(
            id=row.text("id"),
            name=row.text("name"),
            area_share=(row.number("area_share_low"), row.number("area_share_high")),
            thickness_ratio=(row.number("thickness_low"), row.number("thickness_high")),
            fibre=row.text("fibre"),
            behaviour=row.text("behaviour"),
            source=row.text("source"),
        )
        for row in table("regions")
    )


def stage(name: str) -> Stage:
    """Stage of a skin by its id (green, salted, dry-salted, dried, soaked, limed, delimed).

    Raises InputError with the names for an unknown one.
    """
    wanted = "-".join(name.lower().replace("-", " ").split())
    for item in stages():
        if item.id == wanted:
            return item
    raise InputError(
        f"no stage of a skin is called '{name}'",
        remedy="write one of " + ", ".join(item.id for item in stages()),
    )


@lru_cache(maxsize=1)
def stages() -> tuple[Stage, ...]:
    """All stages, in the order of the work."""
    return tuple(
        Stage(
            id=row.text("id"),
            label=row.text("label"),
            to_green=(row.number("to_green_low"), row.number("to_green_high")),
            water_share=(row.number("water_low"), row.number("water_high")),
            hide_share=(row.number("hide_share_low"), row.number("hide_share_high")),
            note=row.text("note"),
            source=row.text("source"),
        )
        for row in table("stages")
    )


@lru_cache(maxsize=1)
def weight_ratios() -> tuple[WeightRatio, ...]:
    """Further weight conversions, to leather among them."""
    return tuple(
        WeightRatio(
            id=row.text("id"),
            from_stage=row.text("from_stage"),
            to_stage=row.text("to_stage"),
            ratio=(row.number("ratio_low"), row.number("ratio_high")),
            note=row.text("note"),
            source=row.text("source"),
        )
        for row in table("weights")
    )


@lru_cache(maxsize=1)
def _animal_names() -> dict[str, Animal]:
    names: dict[str, Animal] = {}
    for item in animals():
        for name in (item.id.replace("-", " "), item.name, *item.aliases):
            names.setdefault(name, item)
    return names

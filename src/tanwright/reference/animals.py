"""Skins by animal, stage and region: usual sizes, each a range. A measured value always wins."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import record, table

Span = tuple[float, float]


@dataclass(frozen=True)
class Animal:
    """Usual sizes of one skin.

    ``skin_share`` is what is left of the green weight once hair, fat and flesh are off.
    """

    id: str
    name: str
    aliases: tuple[str, ...]
    green_low_kg: float
    green_high_kg: float
    area_low_m2: float
    area_high_m2: float
    thickness_low_mm: float
    thickness_high_mm: float
    skin_share_low: float
    skin_share_high: float
    hair_on: bool
    note: str
    source: str

    @property
    def green_kg(self) -> Span:
        """Weight as it comes off the animal, low and high."""
        return self.green_low_kg, self.green_high_kg

    @property
    def area_m2(self) -> Span:
        """Area, low and high."""
        return self.area_low_m2, self.area_high_m2

    @property
    def thickness_mm(self) -> Span:
        """Mean raw thickness, low and high."""
        return self.thickness_low_mm, self.thickness_high_mm

    @property
    def skin_share(self) -> Span:
        """Share of the green weight left without hair, fat and flesh, low and high."""
        return self.skin_share_low, self.skin_share_high


@dataclass(frozen=True)
class Region:
    """Region of a cattle hide: share of the area, thickness against the butt."""

    id: str
    name: str
    area_share_low: float
    area_share_high: float
    thickness_low: float
    thickness_high: float
    fibre: str
    behaviour: str
    source: str

    @property
    def area_share(self) -> Span:
        """Share of the area, low and high."""
        return self.area_share_low, self.area_share_high

    @property
    def thickness_ratio(self) -> Span:
        """Thickness over that of the butt, low and high."""
        return self.thickness_low, self.thickness_high


@dataclass(frozen=True)
class Stage:
    """Stage of a skin: weight over green weight, water and hide substance as shares."""

    id: str
    label: str
    to_green_low: float
    to_green_high: float
    water_low: float
    water_high: float
    hide_share_low: float
    hide_share_high: float
    note: str
    source: str

    @property
    def water_share(self) -> Span:
        """Water over the weight at this stage, low and high."""
        return self.water_low, self.water_high

    @property
    def to_green(self) -> Span:
        """Weight at this stage over the green weight, low and high."""
        return self.to_green_low, self.to_green_high

    @property
    def hide_share(self) -> Span:
        """Hide substance over the weight at this stage, low and high."""
        return self.hide_share_low, self.hide_share_high


@dataclass(frozen=True)
class WeightRatio:
    """Multiply a weight at ``from_stage`` by the ratio to get the weight at ``to_stage``."""

    id: str
    from_stage: str
    to_stage: str
    ratio_low: float
    ratio_high: float
    note: str
    source: str

    @property
    def ratio(self) -> Span:
        """Low and high."""
        return self.ratio_low, self.ratio_high


def animal(name: str) -> Animal:
    """Animal by name or alias. Raises InputError with near matches."""
    wanted, names = _plain(name), _animal_names()
    ends = ("", " skin", " skins", " hide", " hides", "s", "es")
    for form in (wanted.removesuffix(end) for end in ends):
        if form in names:
            return names[form]
    near = difflib.get_close_matches(wanted, list(names), n=3, cutoff=0.6)
    known = ", ".join(near or (item.name for item in animals()))
    raise InputError(
        f'no animal is called "{name}"',
        remedy=f"{'did you mean' if near else 'write one of'} {known}?"
        " For any other give the thickness of the skin",
    )


@lru_cache(maxsize=1)
def animals() -> tuple[Animal, ...]:
    """All animals of the table."""
    return tuple(record(Animal, row) for row in table("animals"))


@lru_cache(maxsize=1)
def regions() -> tuple[Region, ...]:
    """Regions of a hide, butt first."""
    return tuple(record(Region, row) for row in table("regions"))


def stage(name: str) -> Stage:
    """Stage of a skin by its id (green, salted, dry-salted, dried, soaked, limed, delimed).

    Raises InputError with the names for an unknown one.
    """
    wanted = "-".join(name.lower().replace("-", " ").split())
    for item in stages():
        if item.id == wanted:
            return item
    raise InputError(
        f'no stage of a skin is called "{name}"',
        remedy="write one of " + ", ".join(item.id for item in stages()),
    )


@lru_cache(maxsize=1)
def stages() -> tuple[Stage, ...]:
    """All stages, in the order of the work."""
    return tuple(record(Stage, row) for row in table("stages"))


@lru_cache(maxsize=1)
def weight_ratios() -> tuple[WeightRatio, ...]:
    """Further weight conversions, to leather among them."""
    return tuple(record(WeightRatio, row) for row in table("weights"))


@lru_cache(maxsize=1)
def _animal_names() -> dict[str, Animal]:
    names: dict[str, Animal] = {}
    for item in animals():
        for name in (item.id, item.name, *item.aliases):
            names.setdefault(_plain(name), item)
    return names


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())

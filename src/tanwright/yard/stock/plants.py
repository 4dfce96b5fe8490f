"""Plants by the names that people write, for choosing one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

from tanwright.errors import TanwrightError, UnknownMaterialError
from tanwright.reference import materials, world
from tanwright.reference.materials import PARTS, Material
from tanwright.yard.plants.models import HomePlace
from tanwright.yard.plants.wording import TRACKS

MOST_NAMED: Final = 5
"""Plants that a refusal names; more are not read."""
_TRACK_ORDER: Final = {track: place for place, track in enumerate(TRACKS)}


@dataclass(frozen=True)
class Choice:
    """One plant part of the list: what is written in the box, and what stands beside it."""

    written: str
    beside: str


@lru_cache(maxsize=1)
def choices() -> tuple[Choice, ...]:
    """Every plant part, those that nobody could name last."""
    known = [Choice(written_name(item), item.scientific_name) for item in materials.materials()]
    unknown = [
        Choice(f"unknown {part.replace('-', ' ')}", "nobody could name it") for part in PARTS
    ]
    return (*sorted(known, key=lambda choice: choice.written.lower()), *unknown)


@lru_cache(maxsize=512)
def written_name(item: Material) -> str:
    """Its everyday name where that names it alone, else its id."""
    try:
        if materials.find(item.name).id == item.id:
            return item.name
    except UnknownMaterialError:
        pass
    return item.id


def name_of(material_id: str) -> str:
    """Everyday name of a plant part; the id itself for one that the tables no longer hold."""
    try:
        return materials.material(material_id).name
    except UnknownMaterialError:
        return material_id


def ids_named(text: str) -> list[str]:
    """Ids of the plant parts that ``text`` may mean, for a search."""
    return [item.id for item in materials.search(text)]


def unclear(text: str) -> UnknownMaterialError:
    """Why ``text`` names no plant part alone, with the names that may be meant.

    Those that grow where the yard is come first, then the best proved (1 query).
    """
    asked = " ".join(text.split())
    found = _at_home_first(materials.search(asked))
    named = ", ".join(written_name(item) for item in found[:MOST_NAMED])
    if len(found) > 1:
        return UnknownMaterialError(
            f'"{asked}" may be {len(found)} plant parts',
            remedy=f"write which one: {named}{' or another' if len(found) > MOST_NAMED else ''}",
        )
    near = get_close_matches(asked.lower(), _written(), 3, 0.6)
    meant = named or " or ".join(_written()[name] for name in near)
    return UnknownMaterialError(
        f'no plant part is called "{asked}"',
        remedy=f"perhaps it is {meant}; else write unknown bark or unknown leaf"
        if meant
        else "write a name like English oak bark, or unknown bark",
    )


@lru_cache(maxsize=1)
def _written() -> dict[str, str]:
    return {choice.written.lower(): choice.written for choice in choices()}


def _at_home_first(found: Sequence[Material]) -> list[Material]:
    home = HomePlace.objects.filter(pk=HomePlace.THE_ONE).first()
    try:
        where = world.place(home.place_code) if home is not None and home.place_code else None
    except TanwrightError:  # a code that the tables no longer hold
        where = None
    return sorted(
        found,
        key=lambda item: (
            where is not None and not world.grows_in(item, where),
            _TRACK_ORDER[item.track_record],
            item.id,
        ),
    )

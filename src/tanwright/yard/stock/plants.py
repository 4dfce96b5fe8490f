"""Plants by the names that people write, for choosing one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import UnknownMaterialError
from tanwright.reference import materials
from tanwright.reference.materials import PARTS, Material


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

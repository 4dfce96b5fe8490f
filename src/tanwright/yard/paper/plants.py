"""Names of plants for paper."""

from __future__ import annotations

from tanwright.errors import InputError
from tanwright.reference import materials


def plant_name(material_id: str) -> str:
    """The common name and part of the material; its id when the reference lost it."""
    try:
        return materials.material(material_id).name
    except InputError:
        return material_id

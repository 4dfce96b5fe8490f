"""A jar as the tables of a sheet, so that the engine can plan and forecast it like a vat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from tanwright.planning.trials.jars import JarPlan, Pieces

LEAST_KG: Final = 1e-3
"""What a sheet takes for an amount at all."""


@dataclass(frozen=True)
class Facts:
    """What all jars of a trial share; texts as a sheet takes them, empty when nobody said."""

    start: date
    leather: str = ""
    animal: str = ""
    hair_on: bool = False
    temperature_c: float | None = None
    move: str = ""
    water: str = ""
    tools: Mapping[str, Any] = field(default_factory=dict)
    materials: Mapping[str, Sequence[Mapping[str, Any]]] = field(default_factory=dict)
    """Material id to rows of [[material]] that say more of it (state, tannin, history)."""


def jar_tables(jar: JarPlan, pieces: Pieces, facts: Facts) -> dict[str, Any]:
    """The sheet of one jar: its patches as one skin of their thickness, delimed."""
    skin: dict[str, Any] = {
        "name": "the patches",
        "thickness": f"{pieces.thickness_mm:.4g} mm",
        "area": f"{max(jar.area_m2, LEAST_KG):.4g} m2",
        "stage": "delimed",
        "hair": "on" if facts.hair_on else "off",
    }
    if facts.hair_on:
        skin["stage"] = "soaked"
    if facts.animal:
        skin["animal"] = facts.animal
    vat: dict[str, Any] = {"volume": f"{jar.litres + jar.pelt_kg / 1.08:.5g} L"}
    if facts.temperature_c is not None:
        vat["temperature"] = f"{facts.temperature_c:.4g} C"
    if facts.move:
        vat["move"] = facts.move
    if facts.water:
        vat["water"] = facts.water
    aim = {"start": facts.start.isoformat()}
    if facts.leather:
        aim["leather"] = facts.leather
    tables: dict[str, Any] = {
        "skin": [skin],
        "material": [_material(id, kg, facts) for id, kg in jar.dry_kg.items() if kg >= LEAST_KG],
        "vat": vat,
        "aim": aim,
    }
    if facts.tools:
        tables["tools"] = dict(facts.tools)
    return tables


def _material(id: str, kg: float, facts: Facts) -> dict[str, Any]:
    """Air-dry kg of one material; what its lot says of its strength and history is kept."""
    table: dict[str, Any] = {"id": id, "have": f"{kg:.6g} kg"}
    known = facts.materials.get(id) or ()
    if known:
        # Fresh lots are filled in as their air-dry weight, with their tannin left to the prior.
        first = dict(known[0])
        skip = {"id", "have", "want", "state"} | (
            {"tannin"} if first.get("state") == "fresh" else set()
        )
        table |= {key: value for key, value in first.items() if key not in skip}
    return table

"""Lots and containers as the tables of a sheet."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.utils import timezone

from tanwright.planning.sheet import Container as Measure
from tanwright.reference import materials
from tanwright.yard.stock.models import Container, Lot


def material_table(lot: Lot) -> dict[str, Any]:
    """The lot as a row of a sheet's [[material]]: plant, what is left, figure and history."""
    table: dict[str, Any] = {
        "id": lot.material_id,
        "name": lot.name or f"{materials.material(lot.material_id).name} ({lot.code})",
        "state": lot.state,
        **lot.history,
    }
    if lot.ground:
        table["grind"] = lot.ground
    if lot.left_kg is not None and lot.left_kg >= 1e-3:
        table["have"] = f"{lot.left_kg:.6g} kg"
    if lot.tannin_low_pct is not None and lot.tannin_high_pct is not None:
        table["tannin"] = f"{lot.tannin_low_pct:.4g}-{lot.tannin_high_pct:.4g} %"
    if "stored_years" not in table and (years := stored_years(lot.gathered_on)):
        table["stored_years"] = years
    return table


def stored_years(gathered_on: date | None) -> float | None:
    """Years in store, to a tenth; ``None`` when unknown or hardly any."""
    if gathered_on is None:
        return None
    years = round((timezone.localdate() - gathered_on).days / 365.25, 1)
    return years if 0.0 < years <= 200.0 else None


def container_tables() -> dict[str, dict[str, str]]:
    """The yard's own measures as the [container.NAME] tables of a sheet."""
    found: dict[str, dict[str, str]] = {}
    for item in Container.objects.all():
        holds = f"{item.holds_l:.6g} L" if item.holds_kg is None else f"{item.holds_kg:.6g} kg"
        found[item.name] = {"holds": holds, **({"of": item.of} if item.of else {})}
    return found


def measures() -> tuple[Measure, ...]:
    """The yard's own measures, as the engine counts in them."""
    return tuple(
        Measure(item.name, item.holds_kg, item.holds_l, item.of) for item in Container.objects.all()
    )

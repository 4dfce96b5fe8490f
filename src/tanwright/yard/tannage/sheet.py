"""A tannage as the tables of a sheet, as docs/sheet.md describes them."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.utils import timezone

from tanwright.planning.sheet import STAGES
from tanwright.yard.journal.models import Entry
from tanwright.yard.liquors.tables import tool_table
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.tables import container_tables, material_table
from tanwright.yard.tannage.models import Tannage


def tables_of(tannage: Tannage) -> dict[str, Any]:
    """The sheet of ``tannage``. A table that nobody said anything for is left out."""
    tables: dict[str, Any] = {
        "skin": [skin_table(skin) for skin in tannage.skins.order_by("number")],
        "material": _materials(tannage),
        "vat": _vat(tannage),
        "aim": _aim(tannage),
        "tools": tool_table(),
    }
    if containers := container_tables():
        tables["container"] = containers
    return {name: table for name, table in tables.items() if table}


def skin_table(skin: Skin) -> dict[str, Any]:
    """One skin as a row of [[skin]]."""
    table: dict[str, Any] = {
        "name": skin.title,
        "hair": "on" if skin.hair_on else "off",
        "count": skin.count,
    }
    if skin.animal:
        table["animal"] = skin.animal
    if skin.weight_kg is not None:
        table["weight"] = f"{skin.weight_kg:.6g} kg"
        stage = skin.weighed_at_stage
        table["stage"] = stage if stage in STAGES else "green"
    elif skin.stage in STAGES:
        table["stage"] = skin.stage
    if skin.thickness_mm is not None:
        table["thickness"] = f"{skin.thickness_mm:.4g} mm"
    if skin.area_m2 is not None:
        table["area"] = f"{skin.area_m2:.4g} m2"
    return table


def _materials(tannage: Tannage) -> list[dict[str, Any]]:
    found = []
    for use in tannage.materials.select_related("lot").order_by("pk"):
        table: dict[str, Any] = {"id": use.material_id}
        if use.lot is not None:
            table = dict(use.as_believed) or material_table(use.lot)
        if use.have_kg is not None:
            # What lay there when the tannage began: what was cooked since is in the log.
            table["have"] = f"{use.have_kg:.6g} kg"
        if use.want:
            table["want"] = True
        found.append(table)
    if not found and tannage.state == Tannage.State.DRAFT:
        # Nobody has named a plant yet: any bark gives a first, wide answer.
        return [{"id": "unknown-bark"}]
    return found


def _vat(tannage: Tannage) -> dict[str, Any]:
    table: dict[str, Any] = {}
    if tannage.vat_volume_l is not None:
        table["volume"] = f"{tannage.vat_volume_l:.6g} L"
    if tannage.temperature_c is not None:
        table["temperature"] = f"{tannage.temperature_c:.4g} C"
    if tannage.move:
        table["move"] = tannage.move
    if tannage.water:
        table["water"] = tannage.water
    return table


def _aim(tannage: Tannage) -> dict[str, Any]:
    table: dict[str, Any] = {"start": started_on(tannage).isoformat()}
    if tannage.leather:
        table["leather"] = tannage.leather
    if tannage.wanted_by is not None:
        table["wanted_by"] = tannage.wanted_by.isoformat()
    if tannage.degree_low and tannage.degree_high:
        table["degree"] = f"{tannage.degree_low:g}-{tannage.degree_high:g}"
    return table


def started_on(tannage: Tannage) -> date:
    """The day the skins went in by the log, else the planned one, else today."""
    return begun_on(tannage) or tannage.start or timezone.localdate()


def begun_on(tannage: Tannage) -> date | None:
    """The day the skins went in by the log; ``None`` before that."""
    began = (
        Entry.objects.filter(
            record_id=tannage.pk, kind="tannage.started", standing=Entry.Standing.LIVE
        )
        .order_by("happened_at")
        .first()
    )
    return timezone.localtime(began.happened_at).date() if began is not None else None

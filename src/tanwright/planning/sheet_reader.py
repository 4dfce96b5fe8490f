"""Reads a sheet from TOML or from command options into checked records."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, cast

from tanwright import units
from tanwright.errors import InputError
from tanwright.planning import sheet as s
from tanwright.planning.containers import container, mass_in, volume_in
from tanwright.planning.known_tannin import read_known
from tanwright.planning.sheet_checks import check_sheet, default_leather
from tanwright.planning.sheet_fields import Fields, parse_pair
from tanwright.planning.sheet_notes import skin_notes
from tanwright.planning.sheet_source import (
    Where,
    file_place,
    keys_given,
    load_toml,
    merge,
    option_place,
    record_place,
)
from tanwright.reference import animals, lots, materials
from tanwright.reference.lots import Lot as History

if TYPE_CHECKING:
    from collections.abc import Mapping

TABLES = ("skin", "material", "vat", "aim", "tools", "container", "known")
SKIN_KEYS = ("animal", "name", "weight", "stage", "thickness", "area", "hair", "count")
MATERIAL_KEYS = (
    "id", "name", "have", "want", "state", "tannin", "rained_on", "mouldy", "stored_years",
    "tree_age", "part_of_trunk", "light", "grind", "soil",
)  # fmt: skip
VAT_KEYS = ("volume", "temperature", "move", "water")
CONTAINER_KEYS = ("holds", "of")
AIM_KEYS = ("leather", "start", "wanted_by", "degree")
TOOL_KEYS = ("strength", "scale", "calibrated_at", "pot", "litre_scale")

_STAGES = {
    "raw": "green",
    "frozen": "green",
    "fresh": "green",
    "wet-salted": "salted",
    "dry": "dried",
}
_STAGES |= {"rehydrated": "soaked", "washed": "soaked", "pelt": "delimed", "bated": "delimed"}
_HAIR = {"true": "on", "false": "off", "yes": "on", "no": "off"}
_STATES = {"air-dry": "dry", "dried": "dry", "green": "fresh", "wet": "fresh"}
_TRUNK_PARTS = {"butt": "bottom", "stem": "middle", "twigs": "branches"}
_LIGHTS = {"sun": "open", "full sun": "open", "half-shade": "shade"}
_GRINDS = {"powder": "fine", "ground": "fine", "chips": "coarse", "whole": "coarse"}
_TOOLS = {"barkometer": "hydrometer", "brix": "refractometer", "nothing": "none"}
_SCALES = {
    "barkometer": "bk", "°bk": "bk", "specific gravity": "sg", "gravity": "sg", "twaddell": "tw",
    "°tw": "tw", "baume": "be", "baumé": "be", "°bé": "be", "°p": "plato",
}  # fmt: skip
_MOVES = {"none": "still", "never": "still", "stirred": "often", "paddled": "often"}


def read_sheet(path: Path, *, today: date, options: Mapping[str, object] | None = None) -> s.Sheet:
    """Read and check the sheet in the TOML file ``path``.

    Parameters
    ----------
    path:
        The sheet.
    today:
        The start when the sheet gives none.
    options:
        Tables given on the command line (see
        :func:`tanwright.planning.sheet_source.tables_from_options`); they win over the file.

    Raises
    ------
    InputError
        File missing or unreadable, malformed TOML (with line and column), or a value that cannot
        be used (with its table and key).
    """
    raw = load_toml(path, "write a sheet there first, see docs/sheet.md")
    over = dict(options or {})
    given = keys_given(over)

    def where(table: str, index: int | None, key: str) -> str:
        if (table, key) in given:
            return option_place(table, key)
        return file_place(path.name, table, index, key)

    return _build(merge(raw, over), where, path.name, today, path.parent)


def sheet_from_options(options: Mapping[str, object], *, today: date) -> s.Sheet:
    """A sheet made of tables given on the command line alone. Raises InputError."""

    def where(table: str, index: int | None, key: str) -> str:
        return option_place(table, key)

    return _build(dict(options), where, "command line", today, Path())


def sheet_from_records(tables: Mapping[str, object], *, today: date) -> s.Sheet:
    """A sheet made of records kept elsewhere, as a sheet's tables. Raises InputError."""
    return _build(dict(tables), record_place, "the records", today, Path())


def _build(raw: dict[str, object], where: Where, source: str, today: date, folder: Path) -> s.Sheet:
    Fields(raw, partial(where, "", None), TABLES)
    containers = _containers(_table(raw, "container", where), where)
    skins = tuple(
        _skin(Fields(data, partial(where, "skin", index), SKIN_KEYS))
        for index, data in enumerate(_rows(raw, "skin", where))
    )
    if not skins:
        place = where("skin", None, "")
        if source != "command line":
            place = source
        raise InputError(
            "there is no skin yet",
            place=place,
            remedy='write --skin goat, or [[skin]] with animal = "goat" in a sheet',
        )
    lots = tuple(
        _lot(Fields(data, partial(where, "material", index), MATERIAL_KEYS), containers)
        for index, data in enumerate(_rows(raw, "material", where))
    )
    if not lots:
        raise InputError(
            "there is no plant material yet",
            place=where("material", None, "") if source == "command line" else source,
            remedy='write --material unknown-bark, or [[material]] with id = "unknown-bark"',
        )
    vat = _vat(Fields(_table(raw, "vat", where), partial(where, "vat", None), VAT_KEYS), containers)
    aim_fields = Fields(_table(raw, "aim", where), partial(where, "aim", None), AIM_KEYS)
    aim, leather_note = _aim(aim_fields, skins, today)
    tools = _tools(
        Fields(_table(raw, "tools", where), partial(where, "tools", None), TOOL_KEYS), containers
    )
    known = read_known(_table(raw, "known", where), partial(where, "known", None), folder)
    built = s.Sheet(
        source=source,
        skins=skins,
        lots=lots,
        vat=vat,
        aim=aim,
        tools=tools,
        containers=containers,
        known=known,
        left_out=_left_out(raw, skins, lots),
        notes=leather_note + skin_notes(raw, skins),
    )
    return check_sheet(built, where)


def _rows(raw: Mapping[str, object], table: str, where: Where) -> list[dict[str, object]]:
    value = raw.get(table, [])
    if isinstance(value, dict):
        value = [value]
    if not isinstance(value, list) or not all(isinstance(row, dict) for row in value):
        raise InputError(
            f"[[{table}]] must be a table",
            place=where(table, None, ""),
            remedy=f"write [[{table}]]",
        )
    return value


def _table(raw: Mapping[str, object], table: str, where: Where) -> dict[str, object]:
    value = raw.get(table, {})
    if not isinstance(value, dict):
        raise InputError(
            f"{table} must be one table", place=where(table, None, ""), remedy=f"write [{table}]"
        )
    return value


def _skin(fields: Fields) -> s.Skin:
    said = fields.text("animal")
    thickness = fields.quantity("thickness", units.length_mm, "2 mm")
    area = fields.quantity("area", units.area_m2, "0.6 m2")
    animal: str | None = None
    if said is not None:
        try:
            animal = animals.animal(said).id
        except InputError as error:
            if thickness is None:
                raise InputError(
                    error.what,
                    place=fields.place("animal"),
                    remedy=error.remedy or 'give its thickness, like "2 mm"',
                ) from None
    elif thickness is None:
        fields.refuse("", "needs an animal or a thickness", 'write animal = "goat"')
    stage = fields.choice("stage", s.STAGES, _STAGES) or "green"
    hair_on = fields.choice("hair", ("on", "off"), _HAIR) == "on"
    if hair_on and stage in ("limed", "delimed"):
        fields.refuse(
            "hair",
            f"a {stage} skin has lost its hair",
            'write hair = "off", or give the stage before liming, such as "soaked"',
        )
    return s.Skin(
        name=fields.text("name") or said or "skin",
        animal=animal,
        weight_kg=fields.quantity("weight", units.mass_kg, "2 kg"),
        stage=cast("s.Stage", stage),
        thickness_mm=thickness,
        area_m2=area,
        hair_on=hair_on,
        count=fields.whole("count") or 1,
    )


def _lot(fields: Fields, containers: tuple[s.Container, ...]) -> s.Lot:
    said = fields.text("id")
    if said is None:
        fields.refuse("id", "needs an id", 'write one, such as id = "unknown-bark"')
    try:
        material = materials.find(said)
    except InputError as error:
        raise type(error)(error.what, place=fields.place("id"), remedy=error.remedy) from None
    have = fields.quantity("have", lambda text: mass_in(text, containers), "6 kg")
    want = fields.yes_no("want")
    return s.Lot(
        material_id=material.id,
        name=fields.text("name") or material.name,
        have_kg=have,
        want=have is None if want is None else want,
        tannin=fields.tannin("tannin"),
        history=History(
            state=fields.choice("state", lots.STATES, _STATES) or "dry",
            part_of_trunk=fields.choice("part_of_trunk", lots.TRUNK_PARTS, _TRUNK_PARTS),
            tree_age=_tree_age(fields),
            light=fields.choice("light", lots.LIGHTS, _LIGHTS),
            rained_on=fields.yes_no("rained_on"),
            age_years=fields.years("stored_years", most=200.0),
            mouldy=fields.yes_no("mouldy"),
            grind=fields.choice("grind", lots.GRINDS, _GRINDS),
            soil=fields.choice("soil", lots.SOILS),
        ),
    )


def _tree_age(fields: Fields) -> float | str | None:
    if fields.raw("tree_age") in lots.TREE_AGES:
        return fields.text("tree_age")
    return fields.years("tree_age", most=3000.0)


def _containers(table: Mapping[str, object], where: Where) -> tuple[s.Container, ...]:
    found: list[s.Container] = []
    for name, data in table.items():
        fields = Fields(
            data if isinstance(data, dict) else {"holds": data},
            partial(where, f"container.{name}", None),
            CONTAINER_KEYS,
        )
        holds = fields.text("holds")
        if holds is None:
            fields.refuse("holds", "is missing", 'write holds = "8 kg"')
        of = fields.text("of") or ""
        found.append(container(name, holds, of=of, place=fields.place("holds")))
    return tuple(found)


def _vat(fields: Fields, containers: tuple[s.Container, ...]) -> s.Vat:
    spells: list[s.Spell] = []
    value = fields.raw("temperature")
    if isinstance(value, list):
        for index, entry in enumerate(value):
            if not isinstance(entry, dict):
                fields.refuse(
                    "temperature",
                    f"entry {index + 1} is not a table",
                    'write {from = 2026-03-01, temperature = "8 C"}',
                )
            inner = Fields(
                entry,
                lambda key, n=index + 1: f"{fields.place('temperature')} {n}, {key}",  # type: ignore[misc]
                ("from", "temperature"),
            )
            degrees = inner.temperature("temperature", units.temperature_c, -20.0, 45.0)
            if degrees is None:
                inner.refuse("temperature", "is missing", 'write temperature = "8 C"')
            since = inner.day("from")
            if since is None and index > 0:
                inner.refuse("from", "is missing", "say from which date, like 2026-03-01")
            spells.append(s.Spell(since, degrees))
        spells.sort(key=lambda spell: spell.since or date.min)
    else:
        degrees = fields.temperature("temperature", units.temperature_c, -20.0, 45.0)
        if degrees is not None and degrees < 0.0:
            fields.refuse(
                "temperature",
                f'a vat that stays at "{value}" is ice, and nothing tans in ice',
                "give the warmth of the liquor where the vat will stand, or start after the frost",
            )
        if degrees is not None:
            spells.append(s.Spell(None, degrees))
    return s.Vat(
        volume_l=fields.quantity("volume", lambda text: volume_in(text, containers), "40 L"),
        temperature=tuple(spells),
        move=cast("s.Movement | None", fields.choice("move", s.MOVEMENTS, _MOVES)),
        water=cast("s.Water | None", fields.choice("water", s.WATERS)),
    )


def _aim(fields: Fields, skins: tuple[s.Skin, ...], today: date) -> tuple[s.Aim, tuple[str, ...]]:
    leather = fields.choice("leather", s.LEATHERS)
    notes: tuple[str, ...] = ()
    if leather is None:
        leather, why = default_leather(skins)
        notes = (f'Leather was not named: planned as "{leather}", {why}.',)
    start = fields.day("start")
    wanted_by = fields.day("wanted_by")
    if wanted_by is not None and wanted_by < (start or today):
        fields.refuse(
            "wanted_by",
            f"{wanted_by} is before the start, {start or today}",
            "write a later date or an earlier start",
        )
    low = high = None
    value = fields.raw("degree")
    if value is not None:
        pair = parse_pair(str(value)) if not isinstance(value, bool) else None
        if pair is None or not 0.0 < pair[0] <= pair[1] <= 120.0:
            fields.refuse(
                "degree",
                f'"{value}" is not a degree of tannage',
                'write g of tannin per 100 g of hide substance, like "30-45"',
            )
        low, high = pair
    return s.Aim(cast("s.Leather", leather), start or today, wanted_by, low, high), notes


def _tools(fields: Fields, containers: tuple[s.Container, ...]) -> s.Tools:
    said = fields.raw("strength")
    strength = fields.choice("strength", s.INSTRUMENTS, _TOOLS) or "none"
    scale = fields.choice("scale", s.SCALE_NAMES, _SCALES)
    if scale is None:
        by_tool = {"hydrometer": "bk" if said == "barkometer" else "sg", "refractometer": "brix"}
        scale = by_tool.get(strength)
    return s.Tools(
        strength=cast("s.Instrument", strength),
        scale=cast("s.ScaleName | None", scale),
        calibrated_at_c=fields.temperature("calibrated_at", units.temperature_c, 0.0, 45.0),
        pot_l=fields.quantity("pot", lambda text: volume_in(text, containers), "10 L"),
        litre_scale=fields.yes_no("litre_scale") or False,
    )


def _left_out(
    raw: Mapping[str, object], skins: tuple[s.Skin, ...], lots: tuple[s.Lot, ...]
) -> tuple[str, ...]:
    found: list[str] = []
    if any(skin.weight_kg is None for skin in skins):
        found.append("skin.weight")
    if any(skin.thickness_mm is None for skin in skins):
        found.append("skin.thickness")
    if all(lot.have_kg is None for lot in lots):
        found.append("material.have")
    for table, keys in (
        ("vat", ("volume", "temperature", "move")),
        ("aim", ("leather", "start")),
        ("tools", ("strength", "pot")),
    ):
        data = raw.get(table, {})
        found += [f"{table}.{k}" for k in keys if not isinstance(data, dict) or k not in data]
    return tuple(found)

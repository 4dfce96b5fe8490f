"""The TOML file of a trial: the question, the pieces, the vat whose ratios are kept, the lots."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, Final, cast

from tanwright import units
from tanwright.errors import InputError
from tanwright.planning.sheet import LEATHERS, MOVEMENTS, WATERS
from tanwright.planning.sheet_fields import Fields, did_you_mean
from tanwright.planning.trials import treatments as ask
from tanwright.planning.trials.files import shares_of, treatments_from, trial_tables
from tanwright.planning.trials.jars import InHand, Pieces, Ratios
from tanwright.planning.trials.ratios import usual_ratios
from tanwright.planning.trials.records import Treatment
from tanwright.planning.trials.sheet import Facts
from tanwright.reference import materials
from tanwright.reference.animals import regions

TABLES: Final = ("trial", "patch", "patches", "vat", "material", "treatment", "tools")
TRIAL_KEYS: Final = (
    "question", "usual", "plants", "dose", "doses", "span", "ways", "graders", "jars_each",
    "leather", "start", "seed",
)  # fmt: skip
PATCH_KEYS: Final = ("size", "thickness", "hair", "animal")
VAT_KEYS: Final = ("liquor", "temperature", "move", "water")
DEFAULT_PIECES: Final = Pieces(5.0, 5.0, 2.0)
MOST_GRADERS: Final = 20


@dataclass(frozen=True)
class TrialFile:
    """A trial as its file says it.

    ``blocks`` are counts of patches by region, empty when the patches stand in their own file.
    """

    source: str
    question: ask.Question
    treatments: tuple[Treatment, ...]
    pieces: Pieces
    ratios: Ratios
    facts: Facts
    lots: tuple[InHand, ...]
    blocks: Mapping[str, int]
    graders: int
    jars_each: int
    seed: int
    efficiency: float
    """Of the blends, 1 for other questions."""


def read_trial(path: Path, *, today: date) -> TrialFile:
    """Read and check the file ``path``. Raises InputError naming the key that is wrong."""
    return trial_from(trial_tables(path), path.name, today=today)


def trial_from(tables: Mapping[str, object], source: str, *, today: date) -> TrialFile:
    """As :func:`read_trial` from tables that were read."""
    for name in tables:
        if name not in TABLES:
            raise InputError(
                f'there is no table "{name}" in a trial',
                place=source,
                remedy="write one of: " + ", ".join(TABLES),
            )
    trial = _fields(tables, "trial", source, TRIAL_KEYS)
    patch = _fields(tables, "patch", source, PATCH_KEYS)
    vat = _fields(tables, "vat", source, VAT_KEYS)
    question = cast("ask.Question", trial.choice("question", ask.QUESTIONS) or "which")
    pieces = _pieces(patch)
    rows = _rows(tables, source)
    facts = _facts(trial, patch, vat, rows, tables, today)
    usual = _usual(trial, rows)
    liquor = _number(vat, "liquor", 0.5, 300.0)
    dose = _number(trial, "dose", 0.02, 20.0)
    ratios = usual_ratios(usual, pieces, facts, today=today, dose=dose, litres_per_kg=liquor)
    lots = tuple(_lot(row, index) for index, row in enumerate(rows, 1))
    found = treatments_from(tables, source, needed="treatment" in tables)
    efficiency = 1.0
    if not found:
        found, efficiency = _asked(trial, question, usual, ratios)
    return TrialFile(
        source=source,
        question=question,
        treatments=found,
        pieces=pieces,
        ratios=ratios,
        facts=facts,
        lots=lots,
        blocks=_blocks(tables, source),
        graders=_graders(trial),
        jars_each=trial.whole("jars_each") or 1,
        seed=trial.whole("seed") or 1,
        efficiency=efficiency,
    )


def treatments_asked(tables: Mapping[str, object], source: str) -> tuple[Treatment, ...]:
    """The treatments that the question of ``tables`` makes, without the engine being asked."""
    trial = _fields(tables, "trial", source, TRIAL_KEYS)
    question = cast("ask.Question", trial.choice("question", ask.QUESTIONS) or "which")
    usual = _usual(trial, _rows(tables, source))
    dose = _number(trial, "dose", 0.02, 20.0) or 1.0
    return _asked(trial, question, usual, Ratios(5.0, dose, usual))[0]


def _asked(
    trial: Fields, question: ask.Question, usual: Mapping[str, float], ratios: Ratios
) -> tuple[tuple[Treatment, ...], float]:
    plants = _texts(trial, "plants")
    try:
        if question == "dose":
            span = _number(trial, "span", 1.1, 100.0) or 4.0
            return ask.dose(usual, ratios.dose, trial.whole("doses") or 4, span), 1.0
        if question == "pretreatment":
            return ask.pretreatment(usual, _texts(trial, "ways")), 1.0
        ids = [materials.find(name).id for name in plants]
        if question == "which":
            return ask.which(usual, ids), 1.0
        return ask.blend(usual, [*usual, *ids])
    except InputError as error:
        key = {"plants": "plants", "ways": "ways"}.get(error.place, "")
        raise type(error)(error.what, place=trial.place(key), remedy=error.remedy) from None


def _fields(tables: Mapping[str, object], name: str, source: str, keys: Sequence[str]) -> Fields:
    raw = tables.get(name, {})
    if not isinstance(raw, dict):
        raise InputError(f"{name} must be one table", place=source, remedy=f"write [{name}]")
    return Fields(raw, partial(_place, f"{source}, [{name}]"), keys)


def _place(table: str, key: str) -> str:
    return f"{table} {key}".strip()


def _rows(tables: Mapping[str, object], source: str) -> list[dict[str, Any]]:
    raw = tables.get("material", [])
    rows = [raw] if isinstance(raw, dict) else raw
    if not isinstance(rows, list) or not all(isinstance(row, dict) and "id" in row for row in rows):
        raise InputError(
            "material must be tables with an id", place=source, remedy="write [[material]]"
        )
    return [dict(row) for row in rows]


def _usual(trial: Fields, rows: Sequence[Mapping[str, Any]]) -> dict[str, float]:
    if trial.has("usual"):
        return shares_of(trial, "usual")
    if rows:
        return {materials.find(str(rows[0]["id"])).id: 1.0}
    return trial.refuse(
        "usual", "nobody said what is usual", "write usual = { quercus-robur-bark = 1 }"
    )


def _pieces(patch: Fields) -> Pieces:
    size = patch.text("size")
    width, height = DEFAULT_PIECES.width_cm, DEFAULT_PIECES.height_cm
    if size is not None:
        parts = [part for part in re.split(r"\s*[x×]\s*", size) if part]
        if not 1 <= len(parts) <= 2:
            patch.refuse("size", f'"{size}" is not a size', 'write "5 cm" or "6 cm x 4 cm"')
        sides = [patch.convert("size", part, units.length_cm, "5 cm") for part in parts]
        width, height = sides[0], sides[-1]
        if not all(0.5 <= side <= 60.0 for side in sides):
            patch.refuse("size", f'"{size}" cannot be right', "check the unit and the number")
    thick = patch.quantity("thickness", units.length_mm, "2 mm")
    if thick is not None and not 0.3 <= thick <= 20.0:
        patch.refuse("thickness", f"{thick:g} mm cannot be right", "check the unit, as in 2 mm")
    return Pieces(width, height, DEFAULT_PIECES.thickness_mm if thick is None else thick)


def _facts(
    trial: Fields,
    patch: Fields,
    vat: Fields,
    rows: Sequence[Mapping[str, Any]],
    tables: Mapping[str, object],
    today: date,
) -> Facts:
    tools = tables.get("tools", {})
    by_id: dict[str, list[Mapping[str, Any]]] = {}
    for row in rows:
        by_id.setdefault(materials.find(str(row["id"])).id, []).append(row)
    return Facts(
        start=trial.day("start") or today,
        leather=trial.choice("leather", LEATHERS) or "",
        animal=patch.text("animal") or "",
        hair_on=patch.choice("hair", ("on", "off")) == "on",
        temperature_c=vat.temperature("temperature", units.temperature_c, -5.0, 45.0),
        move=vat.choice("move", MOVEMENTS) or "",
        water=vat.choice("water", WATERS) or "",
        tools=dict(tools) if isinstance(tools, dict) else {},
        materials=by_id,
    )


def _lot(row: Mapping[str, Any], index: int) -> InHand:
    found = materials.find(str(row["id"]))
    have = row.get("have")
    kg = None if have is None else units.mass_kg(have, place=f"[[material]] {index} have")
    state = "fresh" if str(row.get("state", "dry")) == "fresh" else "dry"
    return InHand(str(index), str(row.get("name") or found.name), found.id, state, kg)


def _blocks(tables: Mapping[str, object], source: str) -> dict[str, int]:
    raw = tables.get("patches", {})
    if not isinstance(raw, dict):
        raise InputError(
            "patches must be one table", place=source, remedy="write [patches] and shoulder = 6"
        )
    found = {}
    known = [item.id for item in regions()]
    for region, many in raw.items():
        if region not in known:
            raise InputError(
                f'no region of a skin is called "{region}"',
                place=f"{source}, [patches]",
                remedy=did_you_mean(region, known),
            )
        if isinstance(many, bool) or not isinstance(many, int) or not 0 <= many <= 200:
            raise InputError(
                f"{many!r} is not a number of patches",
                place=f"{source}, [patches] {region}",
                remedy="write a whole number, like 6",
            )
        found[str(region)] = many
    return found


def _graders(trial: Fields) -> int:
    many = trial.whole("graders") or 1
    if many > MOST_GRADERS:
        trial.refuse("graders", f"{many} cannot be right", f"write up to {MOST_GRADERS}")
    return many


def _number(fields: Fields, key: str, low: float, high: float) -> float | None:
    value = fields.raw(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
        fields.refuse(key, f"{value!r} cannot be right", f"write a number from {low:g} to {high:g}")
    return float(value)


def _texts(fields: Fields, key: str) -> list[str]:
    value = fields.raw(key)
    if value is None:
        return []
    if not isinstance(value, list) or not all(isinstance(part, str) for part in value):
        fields.refuse(key, "must be a list of texts", f'write {key} = ["..."]')
    return value

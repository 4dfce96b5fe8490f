"""What may be noted of a skin: checks of the data, and how it reads in the log."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.planning.beamwork import LOOKS
from tanwright.planning.preparation import STAGES
from tanwright.reference import animals
from tanwright.reference.work import stage_row
from tanwright.units import System, format_mass, format_temperature, format_volume
from tanwright.yard.journal.changes import changed_kind
from tanwright.yard.journal.checking import number, one_of, text
from tanwright.yard.journal.kinds import Data, Kind, declare
from tanwright.yard.shell.templatetags.words import area, moment, thickness

FORMS: Final = "tanwright.yard.skins.forms"
KEEPINGS: Final = {
    "fresh": "fresh, as it came off",
    "frozen": "frozen",
    "salted": "salted, still damp",
    "dry-salted": "salted and dried",
    "dried": "dried without salt",
}
"""How a raw skin may lie, keys of planning.preparation.STAGES."""
FLAWS: Final = {
    "cut": "cut or score of the knife",
    "hole": "hole",
    "scar": "scar or scratch",
    "insects": "marks of ticks, warbles or mange",
    "hair-slip": "hair slips",
    "rot": "smell, slime or green spots",
    "salt-stain": "stains of salt",
    "thin": "thin place",
    "other": "something else",
}
PARTS: Final = {
    "butt": "rump",
    "back": "back",
    "neck": "neck",
    "belly": "belly",
    "leg": "leg",
}
"""Where a thickness was measured; "rump" is the butt of a large hide."""
LOOKED: Final = {
    "done": "the end test was met",
    "not-yet": "not done yet",
    "trouble": "something is wrong",
}
FIELD_LABELS: Final = {
    "name": "name",
    "animal": "animal",
    "count": "how many",
    "hair_on": "hair stays on",
    "origin": "where from",
    "taken_on": "taken off the animal on",
    "unhair": "way of unhairing",
    "delime": "way of deliming",
    "bate": "bated",
}


def _weighed(data: Mapping[str, Any]) -> Data:
    kept: Data = {
        "kg": number(data, "kg", 0.005, 10_000.0),
        "stage": one_of(data, "stage", (item.id for item in animals.stages())),
    }
    on_scale = number(data, "on_scale", 1, 1000, needed=False)
    if on_scale is not None and on_scale != 1.0:
        kept["on_scale"] = int(on_scale)
    if not 0.005 <= one_weighs(kept) <= 200.0:
        raise InputError(
            f"{format_mass(one_weighs(kept))} is no weight of one skin",
            place="kg",
            remedy="check the number, the unit and how many were on the scale",
        )
    return kept


def one_weighs(data: Mapping[str, Any]) -> float:
    """Weight of one skin, kg, from what the scale showed."""
    return float(data["kg"]) / float(data.get("on_scale") or 1)


def _measured(data: Mapping[str, Any]) -> Data:
    kept: Data = {}
    for key, low, high in (("thickness_mm", 0.1, 30.0), ("area_m2", 0.005, 12.0)):
        value = number(data, key, low, high, needed=False)
        if value is not None:
            kept[key] = value
    if not kept:
        raise InputError(
            "neither thickness nor area is given",
            place="thickness_mm",
            remedy="write at least one of them",
        )
    if part := one_of(data, "part", PARTS, needed=False):
        kept["part"] = part
    return kept


def _moved(data: Mapping[str, Any]) -> Data:
    kept: Data = {}
    if place := text(data, "place", most=60):
        kept["place"] = place
    if keeping := one_of(data, "keeping", STAGES, needed=False):
        kept["keeping"] = keeping
    if not kept:
        raise InputError(
            "nothing is said of where or how it lies", place="place", remedy="write at least one"
        )
    return kept


def _flaw(data: Mapping[str, Any]) -> Data:
    kept: Data = {"what": one_of(data, "what", FLAWS)}
    if where := text(data, "where", most=80):
        kept["where"] = where
    return kept


def _begun(data: Mapping[str, Any]) -> Data:
    temperature = number(data, "temperature_c", 0.1, 60.0)
    kept: Data = {"step": stage_row(text(data, "step", needed=True)).id}
    kept["temperature_c"] = temperature
    amounts = data.get("amounts") or []
    if not isinstance(amounts, list) or len(amounts) > 12:
        raise InputError("these are no amounts", place="amounts", remedy="reload the page")
    kept["amounts"] = [_amount(row) for row in amounts]
    if place := text(data, "place", most=60):
        kept["place"] = place
    return kept


def _amount(row: Any) -> Data:
    if not isinstance(row, dict):
        raise InputError("this is no amount", place="amounts", remedy="reload the page")
    unit = "kg" if "kg" in row else "l"
    return {"what": text(row, "what", most=80, needed=True), unit: number(row, unit, 1e-5, 1e4)}


def _ended(data: Mapping[str, Any]) -> Data:
    kept: Data = {
        "step": stage_row(text(data, "step", needed=True)).id,
        "looked": one_of(data, "looked", LOOKS),
    }
    if (kg := number(data, "kg", 0.005, 200.0, needed=False)) is not None:
        kept["kg"] = kg
    if again := data.get("look_again_at"):
        kept["look_again_at"] = _time(again)
    return kept


def _time(value: Any) -> str:
    try:
        when = value if isinstance(value, datetime) else datetime.fromisoformat(str(value))
    except ValueError:
        when = None
    if when is None or when.tzinfo is None or not 1900 <= when.year <= 2200:
        raise InputError(
            f'"{value}" is no time', place="look_again_at", remedy="write a day and an hour"
        )
    return when.isoformat()


def _nothing(data: Mapping[str, Any]) -> Data:
    return {}


def _say_weighed(data: Mapping[str, Any], system: System) -> str:
    stage = animals.stage(data["stage"]).label
    total = format_mass(data["kg"], system)
    if data.get("on_scale"):
        each = format_mass(one_weighs(data), system)
        return f"{data['on_scale']} together {total}, so {each} each, {stage}"
    return f"{total}, {stage}"


def _say_measured(data: Mapping[str, Any], system: System) -> str:
    at = f" at the {PARTS[data['part']]}" if data.get("part") else ""
    parts = []
    if "thickness_mm" in data:
        parts.append(f"{thickness(data['thickness_mm'], system)} thick{at}")
    if "area_m2" in data:
        parts.append(f"{area(data['area_m2'], system)} large")
    return ", ".join(parts)


def _say_moved(data: Mapping[str, Any], system: System) -> str:
    how = KEEPINGS.get(data.get("keeping", ""), "")
    return ", ".join(part for part in (data.get("place", ""), how) if part)


def _say_flaw(data: Mapping[str, Any], system: System) -> str:
    where = f": {data['where']}" if data.get("where") else ""
    return f"{FLAWS[data['what']].capitalize()}{where}"


def _say_begun(data: Mapping[str, Any], system: System) -> str:
    amounts = "".join(f"; {said_amount(row, system)}" for row in data.get("amounts") or [])
    at = format_temperature(data["temperature_c"], system)
    place = f", {data['place']}" if data.get("place") else ""
    return f"{stage_row(data['step']).name} at {at}{amounts}{place}"


def said_amount(row: Mapping[str, Any], system: System) -> str:
    """One amount that was used, like ``"0.12 kg slaked lime"``."""
    if "kg" in row:
        return f"{format_mass(row['kg'], system)} {row['what']}"
    return f"{format_volume(row['l'], system)} {row['what']}"


def _say_ended(data: Mapping[str, Any], system: System) -> str:
    name, looked = stage_row(data["step"]).name, LOOKED[data["looked"]]
    weighed = f"; {format_mass(data['kg'], system)} now" if "kg" in data else ""
    again = ""
    if data["looked"] != "done" and data.get("look_again_at"):
        again = f"; look again {moment(datetime.fromisoformat(data['look_again_at']))}"
    return f"{name}: {looked}{weighed}{again}"


def _say(words: str, data: Mapping[str, Any], system: System) -> str:
    return words


def say_change(change: Callable[[Mapping[str, Any], System], str]) -> Any:
    """Changes as :mod:`journal.changes` tells them, an unnamed animal as "another"."""

    def said(data: Mapping[str, Any], system: System) -> str:
        shown = {
            side: {
                key: "another" if key == "animal" and not value else value
                for key, value in data[side].items()
            }
            for side in ("before", "after")
        }
        return change(shown, system)

    return said


def _changed() -> Kind:
    plain = changed_kind("skin", FIELD_LABELS)
    return Kind(
        plain.name, plain.label, "skin", plain.clean, say_change(plain.say), helper_may=False
    )


KINDS: Final = (
    Kind("skin.weighed", "Weighed", "skin", _weighed, _say_weighed, f"{FORMS}.WeighedForm"),
    Kind("skin.measured", "Measured", "skin", _measured, _say_measured, f"{FORMS}.MeasuredForm"),
    Kind("skin.moved", "Where it lies", "skin", _moved, _say_moved, f"{FORMS}.MovedForm"),
    Kind("skin.flaw", "Flaw", "skin", _flaw, _say_flaw, f"{FORMS}.FlawForm"),
    Kind("skin.stage_begun", "Begun", "skin", _begun, _say_begun, f"{FORMS}.BegunForm"),
    Kind("skin.stage_ended", "Looked at", "skin", _ended, _say_ended, f"{FORMS}.EndedForm"),
    Kind("skin.photo", "Photo", "skin", _nothing, partial(_say, "")),
    Kind("skin.note", "Note", "skin", _nothing, partial(_say, ""), f"{FORMS}.NoteForm"),
    _changed(),
)


def declare_kinds() -> None:
    """Make the kinds of this area known."""
    declare(*KINDS)

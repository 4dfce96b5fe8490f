"""What may be noted of a tannage: checks of the data, and how it reads in the log."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.planning.looks import liquor_looks
from tanwright.units import System, format_mass, format_temperature, format_volume
from tanwright.yard.journal.changes import changed_kind
from tanwright.yard.journal.checking import number
from tanwright.yard.journal.checking import text as words
from tanwright.yard.journal.kinds import Data, Kind, declare
from tanwright.yard.liquors.strengths import as_read, corrected_bk, shown

FORMS: Final = "tanwright.yard.tannage.forms"
SCALES: Final = ("bk", "sg", "tw", "be", "brix", "plato", "litre")
CUT_PLACES: Final = ("neck", "haunch", "belly", "leg", "elsewhere")
SMELLS: Final = ("sweet, of bark", "sour", "musty", "foul")
WEIGHED: Final = ("pelt", "wet leather", "dry leather")
FIELD_LABELS: Final = {
    "name": "name",
    "vat": "vat",
    "vat_volume_l": "litres in the vat",
    "temperature_c": "warmth in °C",
    "move": "how often moved",
    "water": "water",
    "leather": "leather",
    "start": "start",
    "wanted_by": "wanted by",
    "degree_low": "degree from",
    "degree_high": "degree to",
}
EVENTS: Final = {
    "turned": ("Turned", "turned the skins"),
    "frozen": ("Frozen", "frozen"),
    "thawed": ("Thawed", "thawed"),
    "away": ("Away", "nobody is there to move the skins"),
    "back": ("Back", "somebody is there again"),
    "heat": ("A hot spell", "a hot spell"),
    "put_back": ("Put back", "back in the vat"),
    "done": ("Done", "all three questions of the gate were answered yes"),
    "not_done": ("Not done yet", "the gate was asked, and the answer was no"),
    "note": ("Note", ""),
    "photo": ("Photo", ""),
}
"""Kinds that carry no amount of their own: label, and how they read."""


def _choice(data: Mapping[str, Any], key: str, of: tuple[str, ...], *, needed: bool = True) -> Any:
    value = data.get(key)
    if value is None and not needed:
        return None
    if value not in of:
        raise InputError("choose one of these", place=key, remedy="write one of: " + ", ".join(of))
    return value


def _strength(data: Mapping[str, Any]) -> Data:
    kept: Data = {
        "value": number(data, "value", 0.0, 2000.0),
        "scale": _choice(data, "scale", SCALES),
    }
    for key, low, high in (("liquor_c", -5.0, 105.0), ("calibrated_at_c", 0.0, 40.0)):
        if (found := number(data, key, low, high, needed=False)) is not None:
            kept[key] = found
    return {**kept, "bk": corrected_bk(kept)}


def _cut(data: Mapping[str, Any]) -> Data:
    kept: Data = {"share": number(data, "share", 0.0, 1.0)}
    if place := _choice(data, "place", CUT_PLACES, needed=False):
        kept["place"] = place
    return kept


def _look(data: Mapping[str, Any]) -> Data:
    return {"look": _choice(data, "look", liquor_looks())}


def _one_number(key: str, low: float, high: float, data: Mapping[str, Any]) -> Data:
    return {key: number(data, key, low, high)}


def _smell(data: Mapping[str, Any]) -> Data:
    return {"smell": _choice(data, "smell", SMELLS)}


def _weight(data: Mapping[str, Any]) -> Data:
    return {"kg": number(data, "kg", 1e-3, 1e3), "what": _choice(data, "what", WEIGHED)}


def _strengthened(data: Mapping[str, Any]) -> Data:
    """Either ``litres`` of a ready liquor (``bk`` its strength), or ``lots`` kg cooked."""
    kept: Data = {"how": _choice(data, "how", ("swap", "top-up"), needed=False) or "swap"}
    lots = data.get("lots")
    if isinstance(lots, dict) and lots:
        kept["lots"] = {str(lot): number(lots, lot, 1e-3, 1e5) for lot in lots}
        kept["plants"] = {str(lot): str(id) for lot, id in dict(data.get("plants") or {}).items()}
        if (litres := number(data, "in_litres", 1e-3, 1e5, needed=False)) is not None:
            kept["in_litres"] = litres
        return kept
    if data.get("litres") is None:
        raise InputError(
            "neither a liquor nor a cook was named",
            place="litres",
            remedy="write how many litres of which liquor, or how much of which lot was cooked",
        )
    kept["litres"] = number(data, "litres", 1e-3, 1e5)
    if (bk := number(data, "bk", 0.0, 300.0, needed=False)) is not None:
        kept["bk"] = bk
    if material := words(data, "material_id", most=60):
        kept["material_id"] = material
    return kept


def _moved(data: Mapping[str, Any]) -> Data:
    kept: Data = {}
    if (c := number(data, "temperature_c", -20.0, 60.0, needed=False)) is not None:
        kept["temperature_c"] = c
    if where := words(data, "where", most=60):
        kept["where"] = where
    if not kept:
        raise InputError("nothing changed", place="where", remedy="write where to, or how warm")
    return kept


def _taken_out(data: Mapping[str, Any]) -> Data:
    skins = data.get("skins") or []
    if not isinstance(skins, list):
        raise InputError("these are no skins", place="skins", remedy="choose skins of this vat")
    return {"skins": [str(skin) for skin in skins]} if skins else {}


def _started(data: Mapping[str, Any]) -> Data:
    return {"skins": [str(skin) for skin in data.get("skins") or []]}


def _event(data: Mapping[str, Any]) -> Data:
    c = number(data, "temperature_c", -30.0, 60.0, needed=False)
    return {} if c is None else {"temperature_c": c}


def _say_strength(data: Mapping[str, Any], system: System) -> str:
    text = as_read(data)
    if data.get("liquor_c") is not None:
        text += f" at {format_temperature(data['liquor_c'], system)}"
    return text


def _say_cut(data: Mapping[str, Any], system: System) -> str:
    share = float(data["share"])
    where = f" at the {data['place']}" if data.get("place") else ""
    if share >= 0.995:
        return f"struck through{where}"
    return f"{100 * (1 - share):.0f} % still pale{where}"


def _say_strengthened(data: Mapping[str, Any], system: System) -> str:
    if lots := data.get("lots"):
        kg = format_mass(sum(lots.values()), system)
        inside = format_volume(data["in_litres"], system) if data.get("in_litres") else ""
        return f"{kg} cooked" + (f" in {inside} of its liquor" if inside else "")
    text = f"{format_volume(data['litres'], system)} put in"
    if data.get("bk") is not None:
        text += f" of {shown(data['bk'])}"
    return text + (" and as much taken out" if data.get("how") == "swap" else ", nothing taken out")


def _say_moved(data: Mapping[str, Any], system: System) -> str:
    c = data.get("temperature_c")
    return "; ".join(
        part
        for part in (
            f"to {data['where']}" if data.get("where") else "",
            f"now {format_temperature(c, system)}" if c is not None else "",
        )
        if part
    )


def _say_event(text: str, data: Mapping[str, Any], system: System) -> str:
    c = data.get("temperature_c")
    return text if c is None else f"{text}, {format_temperature(c, system)}"


def _kind(
    what: str,
    label: str,
    clean: Callable[[Mapping[str, Any]], Data],
    say: Callable[[Mapping[str, Any], System], str],
    form: str,
    *,
    helper_may: bool = True,
) -> Kind:
    path = f"{FORMS}.{form}" if form else ""
    return Kind(f"tannage.{what}", label, "tannage", clean, say, path, helper_may)


def declare_kinds() -> None:
    """Hand every kind of a tannage over to the journal."""
    declare(
        _kind("started", "Started", _started, lambda data, system: "the skins went in", ""),
        _kind("strength", "Strength", _strength, _say_strength, "StrengthForm"),
        _kind("cut", "Cut", _cut, _say_cut, "CutForm"),
        _kind("look", "Look", _look, lambda data, system: str(data["look"]), "LookForm"),
        _kind("ph", "pH", partial(_one_number, "ph", 0.0, 14.0),
              lambda data, system: f"{data['ph']:g}", "AcidityForm"),
        _kind("temperature", "Warmth", partial(_one_number, "temperature_c", -20.0, 60.0),
              lambda data, system: format_temperature(data["temperature_c"], system), "WarmthForm"),
        _kind("smell", "Smell", _smell, lambda data, system: str(data["smell"]), "SmellForm"),
        _kind("weight", "Weight", _weight,
              lambda data, system: f"{format_mass(data['kg'], system)}, {data['what']}",
              "WeightForm"),
        _kind("strengthened", "Strengthened", _strengthened, _say_strengthened, ""),
        _kind("topped_up", "Topped up with water", partial(_one_number, "litres", 1e-3, 1e5),
              lambda data, system: format_volume(data["litres"], system), "ToppedUpForm"),
        _kind("moved", "Moved", _moved, _say_moved, "MovedForm"),
        _kind("taken_out", "Taken out", _taken_out,
              lambda data, system: "some of the skins" if data.get("skins") else "all the skins",
              ""),
        *(
            _kind(what, label, _event, partial(_say_event, text), "EventForm")
            for what, (label, text) in EVENTS.items()
        ),
        changed_kind("tannage", FIELD_LABELS),
    )  # fmt: skip

"""What may be noted of a trial: checks of the data, and how it reads in the log.

The kinds of grading stand in :mod:`tanwright.yard.trials.grading_kinds`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.planning.looks import liquor_looks
from tanwright.units import System, format_mass, format_temperature
from tanwright.yard.journal.changes import changed_kind
from tanwright.yard.journal.checking import number, one_of, text
from tanwright.yard.journal.kinds import Data, Kind, declare
from tanwright.yard.liquors.strengths import SCALES, as_read, corrected_bk
from tanwright.yard.trials.grading_kinds import GRADING_KINDS

FORMS: Final = "tanwright.yard.trials.jar_forms"
FIELD_LABELS: Final = {"name": "name", "leather": "leather"}
MOST_JARS: Final = 48
Say = Callable[[Mapping[str, Any], System], str]


def _jar(data: Mapping[str, Any]) -> int:
    value = number(data, "jar", 1, MOST_JARS)
    assert value is not None
    return int(value)


def _designed(data: Mapping[str, Any]) -> Data:
    kept: Data = {}
    for key, high in (("seed", 2**31), ("patches", 1000), ("treatments", 100), ("jars", 100)):
        value = number(data, key, 0, high)
        kept[key] = int(value or 0)
    return kept


def _strength(data: Mapping[str, Any]) -> Data:
    kept: Data = {
        "jar": _jar(data),
        "value": number(data, "value", 0.0, 2000.0),
        "scale": one_of(data, "scale", SCALES),
    }
    for key, low, high in (("liquor_c", -5.0, 105.0), ("calibrated_at_c", 0.0, 40.0)):
        if (found := number(data, key, low, high, needed=False)) is not None:
            kept[key] = found
    return {**kept, "bk": corrected_bk(kept)}


def _look(data: Mapping[str, Any]) -> Data:
    return {"jar": _jar(data), "look": one_of(data, "look", liquor_looks())}


def _cut(data: Mapping[str, Any]) -> Data:
    return {"jar": _jar(data), "share": number(data, "share", 0.0, 1.0)}


def _temperature(data: Mapping[str, Any]) -> Data:
    return {"temperature_c": number(data, "temperature_c", -20.0, 60.0)}


def _lots(data: Mapping[str, Any]) -> Data:
    """Part of each jar's own material that was cooked, and what that took of the lots, kg."""
    kept: Data = {"part": number(data, "part", 0.001, 1.0)}
    lots = data.get("lots") or {}
    if not isinstance(lots, dict):
        raise InputError("these are no lots", place="lots", remedy="reload the page")
    kept["lots"] = {str(lot): number(lots, lot, 0.0, 1e4) for lot in lots}
    return kept


def _taken_out(data: Mapping[str, Any]) -> Data:
    return {"jar": _jar(data)}


def _chosen(data: Mapping[str, Any]) -> Data:
    kept: Data = {"treatment": text(data, "treatment", most=40, needed=True)}
    for key in ("label", "tannage"):
        if found := text(data, key, most=80):
            kept[key] = found
    return kept


def _nothing(data: Mapping[str, Any]) -> Data:
    return {}


def _say(words: str, data: Mapping[str, Any], system: System) -> str:
    return words


def _say_designed(data: Mapping[str, Any], system: System) -> str:
    return (
        f"{data['patches']} patches, {data['treatments']} treatments in {data['jars']} jars, "
        f"seed {data['seed']}"
    )


def _say_strength(data: Mapping[str, Any], system: System) -> str:
    said = f"jar {data['jar']}: {as_read(data)}"
    if data.get("liquor_c") is not None:
        said += f" at {format_temperature(data['liquor_c'], system)}"
    return said


def _say_look(data: Mapping[str, Any], system: System) -> str:
    return f"jar {data['jar']}: {data['look']}"


def _say_cut(data: Mapping[str, Any], system: System) -> str:
    share = float(data["share"])
    if share >= 0.995:
        return f"jar {data['jar']}: struck through"
    return f"jar {data['jar']}: {100 * (1 - share):.0f} % still pale"


def _say_temperature(data: Mapping[str, Any], system: System) -> str:
    return format_temperature(data["temperature_c"], system)


def _say_lots(data: Mapping[str, Any], system: System) -> str:
    said = f"{100 * data['part']:.0f} % of each jar's material"
    kg = sum(data["lots"].values())
    return f"{said}, {format_mass(kg, system)} in all" if kg > 0.0 else said


def _say_out(data: Mapping[str, Any], system: System) -> str:
    return f"jar {data['jar']}: its patches came out"


def _say_chosen(data: Mapping[str, Any], system: System) -> str:
    return str(data.get("label") or data["treatment"])


def _kind(
    what: str, label: str, clean: Any, say: Say, form: str = "", *, helper_may: bool = True
) -> Kind:
    path = f"{FORMS}.{form}" if form else ""
    return Kind(f"trial.{what}", label, "trial", clean, say, path, helper_may)


KINDS: tuple[Kind, ...] = (
    _kind("designed", "Designed", _designed, _say_designed, helper_may=False),
    _kind("started", "Into the jars", _nothing, partial(_say, "the patches went into the jars")),
    _kind("strength", "Strength", _strength, _say_strength, "StrengthForm"),
    _kind("look", "Look", _look, _say_look, "LookForm"),
    _kind("cut", "Cut", _cut, _say_cut, "CutForm"),
    _kind("temperature", "Warmth", _temperature, _say_temperature, "WarmthForm"),
    _kind("cooked", "Cooked for all jars", _lots, _say_lots),
    _kind("turned", "Turned", _nothing, partial(_say, "all patches moved or turned"), "NoteForm"),
    _kind("taken_out", "Out of the jar", _taken_out, _say_out),
    _kind("chosen", "Chosen", _chosen, _say_chosen, helper_may=False),
    _kind("note", "Note", _nothing, partial(_say, ""), "NoteForm"),
    _kind("photo", "Photo", _nothing, partial(_say, "")),
    changed_kind("trial", FIELD_LABELS),
    *GRADING_KINDS,
)


def declare_kinds() -> None:
    """Make the kinds of this area known."""
    declare(*KINDS)

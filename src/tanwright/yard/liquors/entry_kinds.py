"""What may be noted of a liquor: checks of the data, and how it reads in the log."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import asdict
from functools import partial
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.reference import liquors as looks
from tanwright.units import System, format_mass, format_temperature, format_volume
from tanwright.yard.journal.changes import changed_kind
from tanwright.yard.journal.checking import number
from tanwright.yard.journal.checking import text as words
from tanwright.yard.journal.kinds import Data, Kind, declare
from tanwright.yard.liquors.expecting import expected_of
from tanwright.yard.liquors.strengths import as_read, corrected_bk, shown

FORMS: Final = "tanwright.yard.liquors.forms"
MOST_L: Final = 1e5
MOST_LOTS: Final = 3
FIELD_LABELS: Final = {"name": "name"}


def clean_cooked(data: Mapping[str, Any]) -> Data:
    """A cook: ``lots`` kg by lot, ``plants`` the [[material]] of each as it was believed then."""
    lots, plants = data.get("lots"), data.get("plants")
    if not isinstance(lots, dict) or not 1 <= len(lots) <= MOST_LOTS:
        raise InputError(
            f"a cook takes one to {MOST_LOTS} lots", place="lot_1", remedy="choose a lot"
        )
    if not isinstance(plants, dict) or plants.keys() != lots.keys():
        raise InputError("a lot of this cook is not known", place="lot_1", remedy="choose it again")
    kg = {_id(lot): number(lots, lot, 1e-3, 1e5) or 0.0 for lot in lots}
    kept: Data = {"lots": kg, "plants": {lot: dict(plants[lot]) for lot in kg}}
    kept["water_l"] = number(data, "water_l", 0.0, MOST_L)
    for key, low, high in (
        ("volume_l", 1e-3, MOST_L),
        ("temperature_c", 0.0, 105.0),
        ("hours", 0.05, 2000.0),
        ("in_litres", 1e-3, MOST_L),
    ):
        if (found := number(data, key, low, high, needed=False)) is not None:
            kept[key] = found
    kept["which"] = int(number(data, "which", 1.0, 12.0, needed=False) or 1)
    if where := words(data, "where", most=60):
        kept["where"] = where
    expected = expected_of(
        [(kept["plants"][lot], kg[lot]) for lot in kg],
        kept["water_l"] + kept.get("in_litres", 0.0),
        temperature_c=kept.get("temperature_c"),
        hours=kept.get("hours", 3.0),
        which=kept["which"],
    )
    kept["expected"] = {key: value for key, value in asdict(expected).items() if key != "to_first"}
    kept["materials"] = _materials(kept, expected.to_first)
    return kept


def _materials(kept: Data, to_first: float) -> dict[str, float]:
    found: dict[str, float] = {}
    for lot, kg in kept["lots"].items():
        id = str(kept["plants"][lot]["id"])
        found[id] = found.get(id, 0.0) + kg * to_first
    return found


def _id(text: object) -> str:
    try:
        return str(uuid.UUID(str(text)))
    except ValueError:
        raise InputError("this is not a lot", place="lot_1", remedy="choose it again") from None


def _strength(data: Mapping[str, Any]) -> Data:
    kept: Data = {"value": data.get("value"), "scale": data.get("scale")}
    for key, low, high in (("liquor_c", 0.0, 100.0), ("calibrated_at_c", 0.0, 45.0)):
        if (found := number(data, key, low, high, needed=False)) is not None:
            kept[key] = found
    kept["bk"] = corrected_bk(kept)
    return kept


def _look(data: Mapping[str, Any]) -> Data:
    look = looks.look(words(data, "look", most=40, needed=True))
    return {"look": look.words[0], "low_bk": look.low_bk, "high_bk": look.high_bk}


def _litres(least: float, data: Mapping[str, Any]) -> Data:
    return {"litres": number(data, "litres", least, MOST_L)}


def _some_or_all(data: Mapping[str, Any]) -> Data:
    """Litres, or all that is left when none are named."""
    kept: Data = {}
    if (litres := number(data, "litres", 1e-3, MOST_L, needed=False)) is not None:
        kept["litres"] = litres
    for key, most in (("where", 60), ("to", 120)):
        if text := words(data, key, most=most):
            kept[key] = text
    return kept


def _from_vat(data: Mapping[str, Any]) -> Data:
    kept = _some_or_all({**data, "litres": number(data, "litres", 1e-3, MOST_L)})
    if (bk := number(data, "bk", 0.0, 400.0, needed=False)) is not None:
        kept["bk"] = bk
    share = data.get("materials")
    if isinstance(share, dict):
        kept["materials"] = {str(id): number(share, id, 0.0, 1e5) for id in share}
    return kept


def _moved(data: Mapping[str, Any]) -> Data:
    return {"where": words(data, "where", most=60, needed=True)}


def _nothing(data: Mapping[str, Any]) -> Data:
    return {}


def _say_cooked(data: Mapping[str, Any], system: System) -> str:
    plants = " and ".join(
        f"{format_mass(kg, system)} of {data['plants'][lot].get('name', 'a lot')}"
        for lot, kg in data["lots"].items()
    )
    parts = [format_volume(data["water_l"], system) + " of water"] if data["water_l"] else []
    if "in_litres" in data:
        parts.append(format_volume(data["in_litres"], system) + " of an older liquor")
    warm = (
        f" at {format_temperature(data['temperature_c'], system)}"
        if "temperature_c" in data
        else ""
    )
    hours = f" for {data['hours']:g} hours" if "hours" in data else ""
    got = f"; {format_volume(data['volume_l'], system)} came out" if "volume_l" in data else ""
    water = "" if data["which"] == 1 else f"{ordinal(data['which'])} water, "
    return f"{water}{plants} cooked in {' and '.join(parts) or 'what was there'}{warm}{hours}{got}"


def ordinal(number: int) -> str:
    """``"first"``, ``"second"``, ``"third"``, ``"4th"``."""
    return {1: "first", 2: "second", 3: "third"}.get(number, f"{number}th")


def _say_strength(data: Mapping[str, Any], system: System) -> str:
    warm = (
        f", liquor at {format_temperature(data['liquor_c'], system)}" if "liquor_c" in data else ""
    )
    plain = data["scale"] == "bk" and "liquor_c" not in data
    corrected = "" if plain else f": {shown(data['bk'])} at {format_temperature(15.6, system)}"
    return f"{as_read(data)}{warm}{corrected}"


def _say_litres(before: str, after: str, data: Mapping[str, Any], system: System) -> str:
    litres = data.get("litres")
    amount = "all of it" if litres is None else format_volume(litres, system)
    where = f", to stand in {data['where']}" if data.get("where") else ""
    to = f": {data['to']}" if data.get("to") else ""
    return f"{before}{amount}{after}{to}{where}"


def _say_from_vat(data: Mapping[str, Any], system: System) -> str:
    strength = f" at {shown(data['bk'])}" if "bk" in data else ""
    return _say_litres("", strength, data, system)


def _say_look(data: Mapping[str, Any], system: System) -> str:
    return f"like {data['look']}, about {data['low_bk']:.0f} to {data['high_bk']:.0f} °Bk"


def _say_moved(data: Mapping[str, Any], system: System) -> str:
    return f"to {data['where']}"


def _say(text: str, data: Mapping[str, Any], system: System) -> str:
    return text


def _kind(what: str, label: str, clean: Any, say: Any, form: str, *, helper: bool = True) -> Kind:
    dotted = f"{FORMS}.{form}" if form else ""
    return Kind(f"liquor.{what}", label, "liquor", clean, say, dotted, helper)


KINDS: Final = (
    _kind("cooked", "Cooked", clean_cooked, _say_cooked, "CookedForm", helper=False),
    _kind("from_vat", "Kept from a vat", _from_vat, _say_from_vat, "FromVatForm", helper=False),
    _kind("strength", "Strength", _strength, _say_strength, "StrengthForm"),
    _kind("look", "Look", _look, _say_look, "LookForm"),
    _kind("joined", "Joined", _some_or_all, partial(_say_litres, "with ",
          " of another liquor"), "JoinedForm"),
    _kind("split", "Split off", _some_or_all, partial(_say_litres, "", " of another liquor"),
          "SplitForm", helper=False),
    _kind("thinned", "Thinned", partial(_litres, 1e-3), partial(_say_litres, "with ",
          " of water"), "ThinnedForm"),
    _kind("measured", "Looked how much is left", partial(_litres, 0.0),
          partial(_say_litres, "", ""), "MeasuredForm"),
    _kind("moved", "Moved", _moved, _say_moved, "MovedForm"),
    _kind("spent", "Spent", _nothing, partial(_say, "kept for a first bath"),
          "NothingForm"),
    _kind("thrown", "Thrown away", _some_or_all, partial(_say_litres, "", ""),
          "ThrownForm"),
    _kind("used_up", "Used up", _nothing, partial(_say, ""), "NothingForm"),
    _kind("note", "Note", _nothing, partial(_say, ""), "NoteForm"),
    _kind("photo", "Photo", _nothing, partial(_say, ""), ""),
    changed_kind("liquor", FIELD_LABELS),
)  # fmt: skip


def declare_kinds() -> None:
    """Make the kinds of this area known."""
    declare(*KINDS)

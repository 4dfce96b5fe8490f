"""What may be noted of a place: checks of the data, and how it reads in the log."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.reference import materials
from tanwright.units import System, format_range
from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.trunks import clean_trunks
from tanwright.yard.gathering.wording import day_words, trunk_words
from tanwright.yard.journal.changes import changed_kind
from tanwright.yard.journal.checking import number, one_of
from tanwright.yard.journal.checking import text as words
from tanwright.yard.journal.kinds import Data, Kind, declare
from tanwright.yard.stock.account import GATHERED
from tanwright.yard.stock.entry_kinds import clean_got, say_got
from tanwright.yard.stock.plants import name_of

FORMS: Final = "tanwright.yard.gathering.forms"
RAINS: Final = {"shower": "a shower", "days": "days of rain", "weeks": "weeks of rain"}
FIELD_LABELS: Final = {
    "name": "name",
    "what": "what it is",
    "whose": "whose it is",
    "plants": "plants",
    "latitude": "latitude",
    "longitude": "longitude",
    "way": "how to get there",
    "ended_on": "felled, fallen or dead since",
    "compartments": "parts cut in turn",
    "area_m2": "area in m²",
    "stools": "stools",
}


def _day(data: Mapping[str, Any], key: str) -> str:
    """``data[key]`` as an ISO day, empty when it is not there. Raises InputError."""
    value = data.get(key)
    if isinstance(value, date):
        return value.isoformat()
    if not value:
        return ""
    try:
        return date.fromisoformat(str(value)).isoformat()
    except ValueError:
        raise InputError(
            f'"{str(value)[:40]}" is no day', place=key, remedy="write it like 2026-05-20"
        ) from None


def _visited(data: Mapping[str, Any]) -> Data:
    kept: Data = {}
    if again := _day(data, "again_on"):
        kept["again_on"] = again
    return kept


def _permission(data: Mapping[str, Any]) -> Data:
    kept: Data = {"permission": one_of(data, "permission", Place.Permission.values)}
    if by := words(data, "by_role", most=60):
        kept["by_role"] = by
    if until := _day(data, "until"):
        kept["until"] = until
    return kept


def _rained(data: Mapping[str, Any]) -> Data:
    return {"rain": one_of(data, "rain", RAINS)}


def _cut(data: Mapping[str, Any]) -> Data:
    kept: Data = {}
    if (share := number(data, "share_pct", 0.1, 100.0, needed=False)) is not None:
        kept["share_pct"] = share
    if part := words(data, "part", most=60):
        kept["part"] = part
    return kept


def _gathered(data: Mapping[str, Any]) -> Data:
    kept = clean_got(data)
    kept["material_id"] = materials.material(str(data.get("material_id", ""))).id
    return kept


def _gone(data: Mapping[str, Any]) -> Data:
    why = words(data, "why")
    return {"why": why} if why else {}


def _nothing(data: Mapping[str, Any]) -> Data:
    return {}


def _say_visited(data: Mapping[str, Any], system: System) -> str:
    return f"look again on {day_words(data['again_on'])}" if "again_on" in data else ""


def _say_permission(data: Mapping[str, Any], system: System) -> str:
    words = str(Place.Permission(data["permission"]).label)
    by = f" by {data['by_role']}" if "by_role" in data else ""
    until = f", until {day_words(data['until'])}" if "until" in data else ""
    return f"{words}{by}{until}"


def _say_trunks(data: Mapping[str, Any], system: System) -> str:
    sizes = "; ".join(trunk_words(row, system) for row in data["trunks"])
    low, _, high = data["bark_kg"]
    bark = format_range(low, high, "mass", system)
    return f"{name_of(data['material_id'])}, {sizes}: {bark} of dry bark"


def _say_rained(data: Mapping[str, Any], system: System) -> str:
    return RAINS[data["rain"]]


def _say_cut(data: Mapping[str, Any], system: System) -> str:
    share = f"{data['share_pct']:g} % of it" if "share_pct" in data else ""
    return ", ".join(word for word in (data.get("part", ""), share) if word)


def _say_gathered(data: Mapping[str, Any], system: System) -> str:
    return f"{name_of(data['material_id'])}, {say_got(data, system)}"


def _say_gone(data: Mapping[str, Any], system: System) -> str:
    return str(data.get("why", ""))


def _say_nothing(data: Mapping[str, Any], system: System) -> str:
    return ""


KINDS: Final = (
    Kind(
        "place.found", "Put on the list", "place", _nothing, _say_nothing, f"{FORMS}.AnyNoteForm",
        helper_may=False,
    ),
    Kind("place.visited", "Looked", "place", _visited, _say_visited, f"{FORMS}.VisitedForm"),
    Kind(
        "place.permission", "Leave to gather", "place", _permission, _say_permission,
        f"{FORMS}.PermissionForm", helper_may=False,
    ),
    Kind(
        "place.trunks", "Trunks measured", "place", clean_trunks, _say_trunks,
        f"{FORMS}.TrunksForm",
    ),
    Kind("place.rained", "Rained on", "place", _rained, _say_rained, f"{FORMS}.RainedForm"),
    Kind("place.cut", "Cut", "place", _cut, _say_cut, f"{FORMS}.CutForm"),
    Kind(GATHERED, "Gathered", "place", _gathered, _say_gathered, f"{FORMS}.GatheredAgainForm"),
    Kind("place.gone", "Nothing left there", "place", _gone, _say_gone, f"{FORMS}.GoneForm"),
    Kind("place.note", "Note", "place", _nothing, _say_nothing, f"{FORMS}.NoteForm"),
    Kind("place.photo", "Photo", "place", _nothing, _say_nothing),
    changed_kind("place", FIELD_LABELS),
)  # fmt: skip


def declare_kinds() -> None:
    """Make the kinds of this area known."""
    declare(*KINDS)

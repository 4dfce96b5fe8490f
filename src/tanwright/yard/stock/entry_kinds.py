"""What may be noted of a lot: checks of the data, and how it reads in the log."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.reference.lots import GRINDS
from tanwright.units import System, format_mass
from tanwright.yard.journal.changes import changed_kind
from tanwright.yard.journal.checking import number, one_of
from tanwright.yard.journal.checking import text as words
from tanwright.yard.journal.kinds import Data, Kind, declare
from tanwright.yard.stock.account import CAUSES

STATES: Final = ("dry", "fresh")
MOST_KG: Final = 1e5
FORMS: Final = "tanwright.yard.stock.forms"
FIELD_LABELS: Final = {
    "name": "name",
    "material_id": "plant",
    "gathered_on": "gathered on",
    "history": "history",
}


def _weighed(least: float, data: Mapping[str, Any]) -> Data:
    kept: Data = {"kg": number(data, "kg", least, MOST_KG)}
    if why := words(data, "why"):
        kept["why"] = why
    return kept


def _lost(data: Mapping[str, Any]) -> Data:
    kept = _weighed(1e-4, data)
    if cause := one_of(data, "cause", CAUSES, needed=False):
        kept["cause"] = cause
    return kept


def _ground(data: Mapping[str, Any]) -> Data:
    kept: Data = {"grind": one_of(data, "grind", GRINDS)}
    kg = number(data, "kg", 1e-4, MOST_KG, needed=False)
    return kept if kg is None else {**kept, "kg": kg}


def clean_got(data: Mapping[str, Any]) -> Data:
    """What came: ``kg`` as it lies (left out: not weighed), ``state``, ``where``, ``counted``."""
    kept: Data = {}
    kg = number(data, "kg", 1e-4, MOST_KG, needed=False)
    if kg is not None:
        kept["kg"] = kg
    state = data.get("state") or "dry"
    if state not in STATES:
        raise InputError(f'"{state}" is neither dry nor fresh', place="state")
    kept["state"] = state
    for key, most in (("where", 60), ("counted", 60)):
        if text := words(data, key, most=most):
            kept[key] = text
    return kept


def _dried(data: Mapping[str, Any]) -> Data:
    kg = number(data, "kg", 1e-4, MOST_KG, needed=False)
    return {} if kg is None else {"kg": kg}


def _moved(data: Mapping[str, Any]) -> Data:
    return {"where": words(data, "where", most=60, needed=True)}


def tannin_figure(data: Mapping[str, Any]) -> tuple[float, float]:
    """``low_pct`` and ``high_pct`` of a tannin figure. Raises InputError."""
    low, high = number(data, "low_pct", 0.01, 80.0), number(data, "high_pct", 0.01, 80.0)
    if low is None or high is None or low > high:
        raise InputError(
            "the lower figure stands above the higher one",
            place="high_pct",
            remedy="write the lower one first, like 7 and 11",
        )
    return low, high


def _tannin(data: Mapping[str, Any]) -> Data:
    low, high = tannin_figure(data)
    return {"low_pct": low, "high_pct": high, "how": words(data, "how", most=120)}


def _trial(data: Mapping[str, Any]) -> Data:
    from tanwright.yard.stock.trials import clean_trial

    return clean_trial(data)


def _nothing(data: Mapping[str, Any]) -> Data:
    return {}


def say_got(data: Mapping[str, Any], system: System) -> str:
    """``"9 kg (3 buckets), dry, put in loft"``."""
    state = "fresh" if data.get("state") == "fresh" else "dry"
    where = f", put in {data['where']}" if data.get("where") else ""
    if "kg" not in data:
        return f"some, {state}, not weighed{where}"
    counted = f" ({data['counted']})" if data.get("counted") else ""
    return f"{format_mass(data['kg'], system)}{counted}, {state}{where}"


def _say_lost(data: Mapping[str, Any], system: System) -> str:
    cause = CAUSES.get(str(data.get("cause")), "") if data.get("cause") != "other" else ""
    why = ": ".join(word for word in (cause, data.get("why") or "") if word)
    return f"{format_mass(data['kg'], system)}{f': {why}' if why else ''}"


def _say_ground(data: Mapping[str, Any], system: System) -> str:
    weighed = f", now {format_mass(data['kg'], system)}" if "kg" in data else ""
    return f"{data['grind']}{weighed}"


def _say_stocktake(data: Mapping[str, Any], system: System) -> str:
    if not data["kg"]:
        return "nothing"
    return format_mass(data["kg"], system)


def _say_dried(data: Mapping[str, Any], system: System) -> str:
    return f"now {format_mass(data['kg'], system)}" if "kg" in data else "not weighed again"


def _say_tannin(data: Mapping[str, Any], system: System) -> str:
    how = f", {data['how']}" if data.get("how") else ""
    return f"{data['low_pct']:.2g} to {data['high_pct']:.2g} % as it lies{how}"


def _say_trial(data: Mapping[str, Any], system: System) -> str:
    return f"tannin {data['low_pct']:.2g} to {data['high_pct']:.2g} % as it lies"


def _say_moved(data: Mapping[str, Any], system: System) -> str:
    return f"to {data['where']}"


def _say_nothing(data: Mapping[str, Any], system: System) -> str:
    return ""


KINDS: Final = (
    Kind("lot.got", "Got", "lot", clean_got, say_got, f"{FORMS}.GotForm"),
    Kind(
        "lot.stocktake", "Weighed what is left", "lot", partial(_weighed, 0.0), _say_stocktake,
        f"{FORMS}.StocktakeForm",
    ),
    Kind("lot.lost", "Lost", "lot", _lost, _say_lost, f"{FORMS}.LostForm"),
    Kind("lot.dried", "Dried", "lot", _dried, _say_dried, f"{FORMS}.DriedForm"),
    Kind("lot.ground", "Ground", "lot", _ground, _say_ground, f"{FORMS}.GroundForm"),
    Kind("lot.moved", "Moved", "lot", _moved, _say_moved, f"{FORMS}.MovedForm"),
    Kind("lot.trial", "Trial cook", "lot", _trial, _say_trial, f"{FORMS}.TrialForm"),
    Kind(
        "lot.tannin", "Tannin figure", "lot", _tannin, _say_tannin, f"{FORMS}.TanninForm",
        helper_may=False,
    ),
    Kind("lot.note", "Note", "lot", _nothing, _say_nothing, f"{FORMS}.NoteForm"),
    Kind("lot.photo", "Photo", "lot", _nothing, _say_nothing),
    changed_kind("lot", FIELD_LABELS),
)  # fmt: skip


def declare_kinds() -> None:
    """Make the kinds of this area known."""
    declare(*KINDS)

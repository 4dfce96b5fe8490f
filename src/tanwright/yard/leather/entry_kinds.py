"""What may be noted of a leather: checks of the data, and how it reads in the log."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.planning.beamwork import LOOKS
from tanwright.planning.finishing import TESTS, judge_test
from tanwright.reference.work import stage_row
from tanwright.units import System, format_mass, format_temperature
from tanwright.yard.journal.changes import changed_kind
from tanwright.yard.journal.checking import number, one_of, text
from tanwright.yard.journal.kinds import Data, Kind, declare
from tanwright.yard.shell.templatetags.words import area, thickness

FORMS: Final = "tanwright.yard.leather.forms"
GRADED: Final = tuple(kind for kind, unit in TESTS.items() if unit == "grade")
MEASURED: Final = tuple(kind for kind in TESTS if kind not in GRADED)
WEIGHED: Final = {"damp": "pressed damp", "dry": "air-dry"}
TEST_LABELS: Final = {
    "shrinkage": "Shrinkage temperature",
    "boil": "Boiling water",
    "water_drop": "Drop of water",
    "cut": "Cut",
    "bend": "Bend",
    "feel": "Feel",
}
LOOK_WORDS: Final = {
    "done": "the end test is met",
    "not-yet": "not yet",
    "trouble": "something is wrong",
}
FIELD_LABELS: Final = {"name": "name", "aim": "leather"}


def _stage(data: Mapping[str, Any]) -> str:
    stage = text(data, "stage", most=20, needed=True)
    return stage_row(stage).id


def _begun(data: Mapping[str, Any]) -> Data:
    kept: Data = {"stage": _stage(data)}
    for key, low, high in (("temperature_c", 1.0, 60.0), ("used_kg", 1e-4, 100.0)):
        if (found := number(data, key, low, high, needed=False)) is not None:
            kept[key] = found
    return kept


def _ended(data: Mapping[str, Any]) -> Data:
    return {"stage": _stage(data), "looked": one_of(data, "looked", LOOKS)}


def _weighed(data: Mapping[str, Any]) -> Data:
    return {"kg": number(data, "kg", 0.005, 200.0), "state": one_of(data, "state", WEIGHED)}


def _measured(data: Mapping[str, Any]) -> Data:
    kept: Data = {}
    for key, low, high in (("thickness_mm", 0.1, 30.0), ("area_m2", 0.001, 20.0)):
        if (found := number(data, key, low, high, needed=False)) is not None:
            kept[key] = found
    if not kept:
        raise InputError(
            "nothing was measured",
            place="thickness_mm",
            remedy="write the thickness, the area or both",
        )
    if place := text(data, "place", most=60):
        kept["place"] = place
    return kept


def _judged(of: tuple[str, ...], data: Mapping[str, Any]) -> Data:
    test = one_of(data, "test", of)
    value = number(data, "value", -40.0, 5000.0)
    assert value is not None
    try:
        judge_test(test, value)
    except InputError as error:
        raise InputError(error.what, place="value", remedy=error.remedy) from None
    return {"test": test, "value": value}


def _tested(data: Mapping[str, Any]) -> Data:
    return _judged(MEASURED, data)


def _graded(data: Mapping[str, Any]) -> Data:
    return _judged(GRADED, data)


def _nothing(data: Mapping[str, Any]) -> Data:
    return {}


def _say_begun(data: Mapping[str, Any], system: System) -> str:
    said = stage_row(data["stage"]).name
    if "temperature_c" in data:
        said += f" at {format_temperature(data['temperature_c'], system)}"
    if "used_kg" in data:
        said += f", used {format_mass(data['used_kg'], system)}"
    return said


def _say_ended(data: Mapping[str, Any], system: System) -> str:
    return f"{stage_row(data['stage']).name}: {LOOK_WORDS[data['looked']]}"


def _say_weighed(data: Mapping[str, Any], system: System) -> str:
    return f"{format_mass(data['kg'], system)} {WEIGHED[data['state']]}"


def _say_measured(data: Mapping[str, Any], system: System) -> str:
    parts = [thickness(data.get("thickness_mm"), system), area(data.get("area_m2"), system)]
    place = f" at the {data['place']}" if data.get("place") else ""
    return ", ".join(part for part in parts if part) + place


def said_value(test: str, value: float, system: System) -> str:
    """A value of a test with its unit, in the reader's units."""
    if test == "shrinkage":
        return format_temperature(value, system)
    if test == "boil":
        return f"{value:g} % of its length left"
    if test == "water_drop":
        return f"{value:g} s"
    return f"{value:.0f} of 5"


def _say_judged(data: Mapping[str, Any], system: System) -> str:
    test, value = data["test"], float(data["value"])
    verdict = judge_test(test, value)
    word = verdict.anchor if test in GRADED else verdict.grade
    return f"{TEST_LABELS[test]} {said_value(test, value, system)}: {word}"


def _say_nothing(data: Mapping[str, Any], system: System) -> str:
    return ""


KINDS: Final = (
    Kind("leather.stage_begun", "Begun", "leather", _begun, _say_begun, f"{FORMS}.BegunForm"),
    Kind("leather.stage_ended", "Looked", "leather", _ended, _say_ended, f"{FORMS}.EndedForm"),
    Kind("leather.weighed", "Weighed", "leather", _weighed, _say_weighed, f"{FORMS}.WeighedForm"),
    Kind("leather.measured", "Measured", "leather", _measured, _say_measured,
         f"{FORMS}.MeasuredForm"),
    Kind("leather.tested", "Tested", "leather", _tested, _say_judged, f"{FORMS}.TestedForm"),
    Kind("leather.graded", "Graded", "leather", _graded, _say_judged, f"{FORMS}.GradedForm"),
    Kind("leather.note", "Note", "leather", _nothing, _say_nothing, f"{FORMS}.NoteForm"),
    Kind("leather.photo", "Photo", "leather", _nothing, _say_nothing),
    changed_kind("leather", FIELD_LABELS),
)  # fmt: skip


def declare_kinds() -> None:
    """Make the kinds of this area known."""
    declare(*KINDS)

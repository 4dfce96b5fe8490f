"""What may be noted while the patches of a trial are graded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.reference.grading import grading_measure, grading_scale
from tanwright.units import System
from tanwright.yard.journal.checking import text
from tanwright.yard.journal.kinds import Data, Kind

MOST_PATCHES: Final = 1000
LONGEST_NAME: Final = 40


def grader_named(name: str) -> str:
    """``name`` in one line without stray spaces. Raises InputError when it is empty or long."""
    cleaned = " ".join(name.replace("\x00", " ").split())
    if not 0 < len(cleaned) <= LONGEST_NAME:
        raise InputError(
            "who grades is not said", place="grader", remedy=f"write up to {LONGEST_NAME} letters"
        )
    return cleaned


def _grader(data: Mapping[str, Any]) -> str:
    return grader_named(text(data, "grader"))


def _patch(number: object) -> int:
    try:
        found = int(str(number))
    except ValueError:
        found = 0
    if not 1 <= found <= MOST_PATCHES:
        raise InputError(f'"{number}" is no patch', place="patches", remedy="reload the page")
    return found


def _graded(data: Mapping[str, Any]) -> Data:
    scale = grading_scale(text(data, "quality", most=40, needed=True))
    grades = data.get("grades")
    if not isinstance(grades, Mapping) or not grades:
        raise InputError("no patch was graded", place="grades", remedy="grade one patch at least")
    kept = {}
    for number, grade in grades.items():
        if isinstance(grade, bool) or not isinstance(grade, int):
            raise InputError(f'"{grade}" is no step', place="grades", remedy="choose a step")
        kept[str(_patch(number))] = scale.checked(grade, place="grades")
    return {"grader": _grader(data), "quality": scale.id, "grades": kept}


def _laid(data: Mapping[str, Any]) -> Data:
    scale = grading_scale(text(data, "quality", most=40, needed=True))
    order = data.get("order")
    if not isinstance(order, list) or not all(isinstance(heap, list) and heap for heap in order):
        raise InputError("this is no row", place="order", remedy="number the patches from 1")
    kept = [[_patch(number) for number in heap] for heap in order]
    flat = [number for heap in kept for number in heap]
    if len(set(flat)) != len(flat):
        raise InputError("a patch lies twice in the row", place="order", remedy="name each once")
    if len(kept) < 2:
        raise InputError(
            "a row needs two patches that differ", place="order", remedy="number them from 1"
        )
    return {"grader": _grader(data), "quality": scale.id, "order": kept}


def _measured(data: Mapping[str, Any]) -> Data:
    measure = grading_measure(text(data, "measure", most=40, needed=True))
    figures = data.get("figures")
    if not isinstance(figures, Mapping) or not figures:
        raise InputError("nothing was measured", place="figures", remedy="write one figure")
    kept = {}
    for number, value in figures.items():
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise InputError(f'"{value}" is no number', place="figures", remedy="write a number")
        kept[str(_patch(number))] = measure.checked(float(value), place="figures")
    return {"measure": measure.id, "figures": kept}


def _nothing(data: Mapping[str, Any]) -> Data:
    return {}


def _many(count: int) -> str:
    return "1 patch" if count == 1 else f"{count} patches"


def _say_graded(data: Mapping[str, Any], system: System) -> str:
    """The grades stay out of the log: the next grader may read it."""
    name = grading_scale(data["quality"]).name
    return f"{data['grader']} graded {_many(len(data['grades']))} for {name}"


def _say_laid(data: Mapping[str, Any], system: System) -> str:
    name = grading_scale(data["quality"]).name
    count = sum(len(heap) for heap in data["order"])
    return f"{data['grader']} laid {_many(count)} in a row for {name}"


def _say_measured(data: Mapping[str, Any], system: System) -> str:
    name = grading_measure(data["measure"]).name
    return f"{name} of {_many(len(data['figures']))}"


def _say_unblinded(data: Mapping[str, Any], system: System) -> str:
    return "which patch had which treatment was uncovered"


def _say_finished(data: Mapping[str, Any], system: System) -> str:
    return "the grading is over"


GRADING_KINDS: Final[tuple[Kind, ...]] = (
    Kind("trial.graded", "Graded", "trial", _graded, _say_graded),
    Kind("trial.laid", "Laid in a row", "trial", _laid, _say_laid),
    Kind("trial.measured", "Measured", "trial", _measured, _say_measured),
    Kind("trial.unblinded", "Uncovered", "trial", _nothing, _say_unblinded, "", False),
    Kind("trial.finished", "Grading over", "trial", _nothing, _say_finished, "", False),
)

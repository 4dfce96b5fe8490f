"""From the vat to leather: the finishing stages, the tests of leather, and the account of masses.

Figures stand in the tables ``work_stages``, ``work_doses``, ``leathers`` and ``leather_readings``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tanwright.errors import InputError
from tanwright.planning.beamwork import (
    After,
    Due,
    Hours,
    Quantity,
    WorkStage,
    after,
    due,
    positive_kg,
    work_stage,
)
from tanwright.planning.leather_account import Estimate, MassAccount, MassInput, mass_account
from tanwright.reference.leathers import leather
from tanwright.reference.work import Reading, leather_readings

__all__ = [
    "TESTS", "After", "Due", "Estimate", "Hours", "MassAccount", "MassInput", "Quantity",
    "Verdict", "WetLeather", "WorkStage", "after", "due", "finish", "judge_test", "mass_account",
    "scale",
]  # fmt: skip

TESTS = {
    "shrinkage": "°C", "boil": "% of length", "water_drop": "s", "cut": "grade", "bend": "grade",
    "feel": "grade",
}  # fmt: skip
"""Tests of leather and the unit of their value; grades are whole numbers from 1 to 5."""


@dataclass(frozen=True)
class WetLeather:
    """One skin from the vat, pressed damp; ``leather`` is an aim: soft, bag, firm or sole."""

    weight_kg: float
    leather: str = "bag"
    hair_on: bool = False


@dataclass(frozen=True)
class Verdict:
    """How one value reads: the grade, what it looks like and what it means."""

    kind: str
    value: float
    unit: str
    grade: str
    anchor: str
    means: str
    source: str


def finish(
    wet: WetLeather, *, temperature_c: float = 18.0, coats: int = 2
) -> tuple[WorkStage, ...]:
    """Finishing stages of this skin, in order; oil is told for all ``coats`` together.

    Raises InputError for an unknown aim, a weight no skin has, or coats other than 1 to 3.
    """
    weight = positive_kg(wet.weight_kg, "a damp leather")
    if coats not in (1, 2, 3):
        raise InputError("oil goes on in 1 to 3 coats", place="coats")
    aim = leather(wet.leather)
    if wet.hair_on and aim.id in ("firm", "sole"):
        raise InputError("a fur is not finished firm", place="leather", remedy="choose soft or bag")
    last = {"firm": ("dry", "grease"), "sole": ("roll", "dry")}.get(aim.id, ("dry", "stake"))
    oiling = "oil-fur" if wet.hair_on else "oil"
    keys = ("rinse-leather", "sammy", oiling, *last)
    stages = []
    for place, key in enumerate(keys):
        stage = work_stage(
            key, weight, temperature_c, next_key=keys[place + 1] if place + 1 < len(keys) else ""
        )
        if key == oiling:
            stage = _oiled(stage, weight, aim.oil_pct, coats, aim.fat_advice)
        stages.append(stage)
    return tuple(stages)


def scale(kind: str) -> tuple[Reading, ...]:
    """Readings of a test, lowest first. Raises InputError for an unknown test."""
    if kind not in TESTS:
        raise InputError(
            f'"{kind}" is no test of leather kept here', remedy="write one of " + ", ".join(TESTS)
        )
    return tuple(part for part in leather_readings() if part.kind == kind)


def judge_test(kind: str, value: float) -> Verdict:
    """What a value of a test means. Raises InputError for a value off its scale."""
    rows = scale(kind)
    top = rows[-1].high
    graded = TESTS[kind] == "grade"
    if not math.isfinite(value) or not rows[0].low <= value < top or (graded and value % 1):
        ends = "a whole number from 1 to 5" if graded else f"from {rows[0].low:g} to below {top:g}"
        raise InputError(
            f"{value:g} is off the scale of this test",
            place=kind.replace("_", " "),
            remedy=f"write {ends}" + ("" if graded else f" {TESTS[kind]}"),
        )
    row = next(part for part in rows if part.low <= value < part.high)
    return Verdict(kind, value, row.unit, row.grade, row.anchor, row.means, row.source)


def _oiled(
    stage: WorkStage, weight: float, oil_pct: tuple[float, float], coats: int, advice: str
) -> WorkStage:
    low, high = oil_pct
    oil = Quantity(
        "neatsfoot, cod or other animal oil", 10.0 * low * weight, 10.0 * high * weight, "g",
        f"{10 * low:g} to {10 * high:g} g per kg of damp pressed leather, in all; "
        f"{coats} coat{'s' if coats > 1 else ''} of {10 * low * weight / coats:.0f} to "
        f"{10 * high * weight / coats:.0f} g: {advice}",
        "memory",
    )  # fmt: skip
    return WorkStage(
        stage.key, stage.name, stage.do, (oil, *stage.quantities), stage.hours, stage.end_test,
        stage.not_yet, stage.trouble, stage.warnings, stage.cautions, stage.next_key,
        stage.expected_kg, stage.source,
    )  # fmt: skip

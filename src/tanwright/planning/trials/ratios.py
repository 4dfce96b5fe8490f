"""What a whole vat would take of material, asked of the engine when nobody has said."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from tanwright.errors import InputError
from tanwright.planning.trials.jars import LITRES_PER_KG, JarPlan, Pieces, Ratios
from tanwright.planning.trials.schedule import MEMBERS, ask
from tanwright.planning.trials.sheet import Facts, jar_tables

_AREA_M2 = 0.1
"""Of the skin that the engine is asked about; large enough that nothing is rounded away."""


def usual_ratios(
    shares: Mapping[str, float],
    pieces: Pieces,
    facts: Facts,
    *,
    today: date,
    dose: float | None = None,
    litres_per_kg: float | None = None,
) -> Ratios:
    """Ratios of the usual way; a ``dose`` of ``None`` is the engine's middle figure.

    Raises InputError when the engine cannot say.
    """
    litres = LITRES_PER_KG if litres_per_kg is None else litres_per_kg
    if dose is None:
        dose = asked_dose(shares, pieces, facts, litres, today)
    return Ratios(litres, dose, shares)


def asked_dose(
    shares: Mapping[str, float], pieces: Pieces, facts: Facts, litres_per_kg: float, today: date
) -> float:
    """Dry kg to a kg of wet pelt that skin of this thickness takes, the middle of the worlds."""
    many = _AREA_M2 / pieces.area_m2
    pelt_kg = many * pieces.kg
    main = max(shares, key=lambda id: shares[id])
    jar = JarPlan(1, "control", int(many), pelt_kg, _AREA_M2, litres_per_kg * pelt_kg, {main: 1.0})
    tables: dict[str, Any] = jar_tables(jar, pieces, facts)
    for row in tables["material"]:
        row.pop("have", None)
        row["want"] = True
    answer, problem = ask(tables, "", today, MEMBERS)
    if answer is None:
        raise InputError(
            f"the engine cannot say how much material is usual ({problem})",
            place="dose",
            remedy="write how many kg of dry material you use to a kg of wet pelt",
        )
    return round(answer.needs[0].need_kg.p50 / pelt_kg, 2)

"""One step of hand work on one skin, shared by preparation and finishing.

The figures stand in the tables ``work_stages`` and ``work_doses``; nothing here reads a clock.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from tanwright.errors import InputError
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.reference.work import Dose, StageRow, doses_of, stage_row
from tanwright.science.beamhouse import (
    CAOH2_PER_CAO,
    DELIMING_AGENTS,
    acid_ml_per_g_cao,
    deliming_agent_g,
)

VINEGAR_G_PER_L = 50.0
"""Acetic acid in household vinegar of 5 %, g/L."""

LOOKS = ("done", "not-yet", "trouble")
"""What a person may say after looking: the end test is met, not met, or something is wrong."""


@dataclass(frozen=True)
class Quantity:
    """An amount for this skin; ``unit`` is kg, g or L, ``how`` tells what it was reckoned from."""

    what: str
    low: float
    high: float
    unit: str
    how: str
    source: str


@dataclass(frozen=True)
class Hours:
    """Time that a stage takes at ``temperature_c``, hours; ``why`` tells how warmth acts."""

    low: float
    likely: float
    high: float
    temperature_c: float
    why: str


@dataclass(frozen=True)
class WorkStage:
    """One stage as a page shows it; ``expected_kg`` is the usual weight of the skin after it."""

    key: str
    name: str
    do: str
    quantities: tuple[Quantity, ...]
    hours: Hours
    end_test: str
    not_yet: str
    trouble: str
    warnings: tuple[str, ...]
    cautions: tuple[Caution, ...]
    next_key: str
    expected_kg: tuple[float, float] | None
    source: str


class Due(NamedTuple):
    """Look from ``earliest`` on; done most likely at ``likely``; not past ``latest``."""

    earliest: datetime
    likely: datetime
    latest: datetime


@dataclass(frozen=True)
class After:
    """What follows a look: ``key`` of the stage to be at (empty: all done) and why."""

    key: str
    words: str


def hours_at(row: StageRow, temperature_c: float) -> Hours:
    """Hours of a stage at a temperature, °C, held at the ends of the range in which it works.

    Raises InputError for a temperature at which water freezes or nobody works skins.
    """
    if not math.isfinite(temperature_c) or not 0.0 < temperature_c <= 60.0:
        raise InputError(
            f"a skin cannot be worked at {temperature_c:g} °C",
            place="temperature",
            remedy="write the warmth of the bath or room, above 0 and up to 60 °C",
        )
    factor, why = 1.0, "Warmth is not known to change the time enough to reckon with it."
    if row.halving_c is not None:
        held = min(max(temperature_c, row.coldest_c), row.warmest_c)
        factor = 2.0 ** ((row.at_c - held) / row.halving_c)
        why = (
            f"Ten degrees warmer takes about {2.0 ** (-10.0 / row.halving_c):.0%} of the time, "
            f"between {row.coldest_c:g} and {row.warmest_c:g} °C (from memory, not measured)."
        )
    return Hours(
        row.hours_low * factor, row.hours_likely * factor, row.hours_high * factor,
        temperature_c, why,
    )  # fmt: skip


def warnings_at(row: StageRow, temperature_c: float) -> tuple[str, ...]:
    """What is wrong with that temperature for that stage."""
    if temperature_c > row.warmest_c:
        return (
            f"{temperature_c:g} °C is too warm here: above {row.warmest_c:g} °C the skin spoils "
            "or is hurt. Cool the bath; no time is gained by warmth beyond that.",
        )
    if temperature_c < row.coldest_c:
        return (
            f"{temperature_c:g} °C is colder than this works well (from {row.coldest_c:g} °C): "
            "it may take longer than told. Judge by the end test.",
        )
    return ()


def quantities(
    doses: Iterable[Dose], weight_kg: float, given: Mapping[str, tuple[float, float]] | None = None
) -> tuple[Quantity, ...]:
    """Doses for a skin of ``weight_kg`` at that stage; ``given`` replaces ranges by dose id."""
    found = []
    for dose in doses:
        low, high = (given or {}).get(dose.id, per_kg(dose))
        found.append(
            Quantity(
                dose.what, low * weight_kg, high * weight_kg, dose.unit,
                f"{low:.3g} to {high:.3g} {dose.unit} per kg of skin; {dose.how}", dose.source,
            )
        )  # fmt: skip
    return tuple(found)


def per_kg(dose: Dose) -> tuple[float, float]:
    """Amount of a dose per kg of skin, in its unit, turned from lime where it counts lime."""
    if not dose.agent:
        return dose.low, dose.high
    if dose.agent == "slaked":
        return dose.low * CAOH2_PER_CAO, dose.high * CAOH2_PER_CAO
    agent = DELIMING_AGENTS[dose.agent]
    if dose.unit == "L":
        litres = float(acid_ml_per_g_cao(agent, VINEGAR_G_PER_L)) / 1000.0
        return dose.low * litres, dose.high * litres
    return float(deliming_agent_g(dose.low, agent)), float(deliming_agent_g(dose.high, agent))


def work_stage(
    key: str,
    weight_kg: float,
    temperature_c: float,
    *,
    next_key: str = "",
    expected_kg: tuple[float, float] | None = None,
    more_topics: tuple[str, ...] = (),
    given: Mapping[str, tuple[float, float]] | None = None,
) -> WorkStage:
    """Stage ``key`` for a skin that weighs ``weight_kg`` now."""
    row = stage_row(key)
    return WorkStage(
        key=key, name=row.name, do=row.do,
        quantities=quantities(doses_of(key), weight_kg, given),
        hours=hours_at(row, temperature_c), end_test=row.end_test, not_yet=row.not_yet,
        trouble=row.trouble, warnings=warnings_at(row, temperature_c),
        cautions=cautions_for((*row.topics, *more_topics)), next_key=next_key,
        expected_kg=expected_kg, source=row.source,
    )  # fmt: skip


def due(stage: WorkStage | str, begun_at: datetime, temperature_c: float) -> Due:
    """When to look at a stage begun at ``begun_at`` and kept at ``temperature_c``."""
    hours = hours_at(stage_row(stage if isinstance(stage, str) else stage.key), temperature_c)
    return Due(*(begun_at + timedelta(hours=h) for h in (hours.low, hours.likely, hours.high)))


def after(stages: tuple[WorkStage, ...], key: str, looked: str) -> After:
    """Where a look (one of :data:`LOOKS`) leads on the way ``stages``."""
    stage = next((part for part in stages if part.key == key), None)
    if stage is None:
        raise InputError(f'"{key}" is no stage of this way', place="stage")
    if looked not in LOOKS:
        raise InputError(
            f'"{looked}" is no outcome of a look', remedy="write one of " + ", ".join(LOOKS)
        )
    if looked == "done":
        return After(stage.next_key, "The end test is met: go on.")
    return After(key, stage.not_yet if looked == "not-yet" else stage.trouble)


def positive_kg(weight_kg: float, what: str) -> float:
    """A weight that a skin can have, kg. Raises InputError otherwise."""
    if not math.isfinite(weight_kg) or not 0.005 <= weight_kg <= 200.0:
        raise InputError(
            f"{weight_kg:g} kg is no weight of {what}",
            place="weight",
            remedy="write the weight of one skin, between 0.005 and 200 kg",
        )
    return weight_kg

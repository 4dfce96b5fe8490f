"""One schedule for all jars, and what the engine says of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

import numpy as np

from tanwright.errors import TanwrightError
from tanwright.planning.answers import Answer, DateRange
from tanwright.planning.trials.jars import JarPlan, Pieces
from tanwright.planning.trials.records import CONTROL
from tanwright.planning.trials.sheet import Facts, jar_tables

MEMBERS: Final = 200
"""Worlds behind each jar: its percentiles move by some 5 % from seed to seed."""
NEVER: Final = DateRange(None, None, None)
_ALL_AT_ONCE: Final = ("start", "strengthen", "look", "gate")


@dataclass(frozen=True)
class JarForecast:
    """What the engine says of one jar.

    Attributes
    ----------
    first_bk, last_bk:
        Strength of the first liquor and the strongest one on the way, middle of the worlds.
    enough:
        Probability that its material is enough for its patches.
    finish:
        When its patches are tanned through, 5th, 50th and 95th percentile.
    struck:
        Share of the cut that is tanned now, in the middle of the worlds.
    tannin_pct:
        What is believed of each material, % of it air-dry, 5th and 95th percentile.
    problem:
        What the engine refused, in one line; the others are then empty.
    """

    number: int
    treatment: str
    first_bk: float | None = None
    last_bk: float | None = None
    enough: float | None = None
    finish: DateRange = NEVER
    struck: float | None = None
    tannin_pct: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    problem: str = ""


@dataclass(frozen=True)
class Day:
    """One day's work on all jars together.

    Attributes
    ----------
    on:
        The day.
    action:
        As in an answer's schedule: start, strengthen, look, gate.
    share:
        Part of each jar's liquor that is drawn off and replaced by stronger one of its own plant.
    material:
        Part of each jar's own material that is cooked on that day.
    what, why:
        In words.
    """

    on: date
    action: str
    what: str
    why: str
    share: float | None = None
    material: float | None = None


@dataclass(frozen=True)
class Schedule:
    """What to do on which day, and what the engine says of each jar."""

    days: tuple[Day, ...]
    jars: tuple[JarForecast, ...]
    done_from: date | None
    done_to: date | None
    notes: tuple[str, ...]


def make_schedule(
    jars: Sequence[JarPlan],
    pieces: Pieces,
    facts: Facts,
    *,
    today: date,
    members: int = MEMBERS,
    readings: Mapping[int, str] | None = None,
) -> Schedule:
    """Ask the engine about every jar, and lay the control's steps on all of them.

    ``readings`` is the log of each jar by its number as a readings file, for jars that run. All
    jars are strengthened on the same days and by the same part of their liquor, each with its
    own material: else the days would differ along with the plants.
    """
    found: list[JarForecast] = []
    lead: tuple[JarPlan, Answer] | None = None
    for jar in jars:
        log = (readings or {}).get(jar.number, "")
        answer, problem = ask(jar_tables(jar, pieces, facts), log, today, members)
        found.append(forecast_of(jar, answer, problem))
        if answer is not None and (lead is None or jar.treatment == CONTROL):
            lead = (jar, answer)
    days: tuple[Day, ...] = ()
    if lead is not None:
        parts = cooked_parts(jar_tables(lead[0], pieces, facts), today)
        log = (readings or {}).get(lead[0].number, "")
        days = _days(lead[1], lead[0].litres, parts, _cooks_in(log))
    ends = [item.finish for item in found]
    first = [end.p05 for end in ends if end.p05]
    last = [end.p95 for end in ends]
    return Schedule(
        days=days,
        jars=tuple(found),
        done_from=min(first, default=None),
        done_to=None if None in last else max((day for day in last if day), default=None),
        notes=tuple(_notes(found)),
    )


def ask(
    tables: Mapping[str, Any], readings_csv: str, today: date, members: int
) -> tuple[Answer | None, str]:
    """The engine's answer to one jar, or what it refused in one line."""
    from tanwright.planning.forecast import make_forecast
    from tanwright.planning.plan import make_plan
    from tanwright.planning.readings_reader import parse_readings
    from tanwright.planning.renewal import sheet_of

    try:
        sheet = sheet_of(tables, today)
        if not readings_csv.strip():
            return make_plan(sheet, today=today, members=members), ""
        readings = parse_readings(
            readings_csv, source="the log", start=sheet.aim.start, sheet=sheet
        )
        return make_forecast(sheet, readings, today=today, members=members), ""
    except TanwrightError as error:
        return None, str(error)


def forecast_of(jar: JarPlan, answer: Answer | None, problem: str = "") -> JarForecast:
    """What is kept of an answer about ``jar``."""
    if answer is None:
        return JarForecast(jar.number, jar.treatment, problem=problem)
    fan = answer.strength_fan
    inside = fan.day >= 0.0
    return JarForecast(
        number=jar.number,
        treatment=jar.treatment,
        first_bk=_rounded(float(fan.p50[inside][0])) if inside.any() else None,
        last_bk=_rounded(float(fan.p50[inside].max())) if inside.any() else None,
        enough=round(answer.enough.probability, 3),
        finish=answer.finish,
        struck=round(answer.struck_through.p50, 3),
        tannin_pct={
            need.material_id: (round(need.tannin_pct.p05, 3), round(need.tannin_pct.p95, 3))
            for need in answer.needs
        },
    )


def _rounded(bk: float) -> float:
    return round(bk, 1)


def cooked_parts(tables: Mapping[str, Any], today: date) -> list[float]:
    """Part of all the material that each cook of the middle world takes, in their order."""
    from tanwright.planning.amounts import work_out
    from tanwright.planning.course import Cook
    from tanwright.planning.plan import plan_course
    from tanwright.planning.renewal import sheet_of
    from tanwright.planning.setting import settle
    from tanwright.planning.worlds import make_worlds
    from tanwright.science.belief.unknowns import draw

    setting = settle(sheet_of(tables, today))
    worlds = make_worlds(setting, draw(MEMBERS, setting.unknowns, np.random.default_rng(1)))
    course = plan_course(setting, worlds, work_out(worlds, setting))
    cooks = [course.first, *(change for change in course.changes if isinstance(change, Cook))]
    whole = sum(lot.lot.have_kg or 0.0 for lot in setting.lots) or 1.0
    return [float(sum(cook.kg)) / whole for cook in cooks]


def _cooks_in(log: str) -> int:
    """How many cooks a jar's log holds, the first liquor among them whether noted or not."""
    rows = log.splitlines()
    return 0 if len(rows) < 2 else max(sum(",strengthened," in row for row in rows), 1)


def _days(lead: Answer, litres: float, parts: Sequence[float], made: int) -> tuple[Day, ...]:
    """The control's own steps as work on all jars; ``made`` of the cooks are made already."""
    found, coming = [], iter(parts[made:])
    for step in lead.schedule:
        if step.action not in _ALL_AT_ONCE or (step.action == "start" and made):
            continue
        what, why = _WORDS[step.action]
        share, material = None, None
        if step.action in ("start", "strengthen"):
            material = next(coming, None)
            what = what.format(part=_part(material))
        if step.action == "strengthen" and step.litres is not None:
            share = min(max(step.litres / litres, 0.0), 1.0)
        found.append(Day(step.date, step.action, what, why, share, material))
    return tuple(found)


def _part(share: float | None) -> str:
    if share is None:
        return "part of its own material"
    if share > 0.95:
        return "all of its own material"
    return f"{100 * share:.0f} % of its own material"


_WORDS: Final = {
    "start": (
        "Cook {part} for each jar's first liquor, let it cool, lay its patches in",
        "All jars begin on one day, or the days would differ along with the plants.",
    ),
    "strengthen": (
        "Strengthen every jar: draw liquor off, cook {part} in it, strain and pour it back cold",
        "All on the same day and by the same part, each with its own plant.",
    ),
    "look": (
        "Cut a sliver off one patch of each jar and look at the wet edge",
        "A jar that runs ahead or lags shows here first. Keep the edge marks whole.",
    ),
    "gate": (
        "Ask of each jar whether its patches are tanned through",
        "A jar ends by its own cut, not by the day: note when each came out.",
    ),
}


def _notes(found: Sequence[JarForecast]) -> list[str]:
    said = [
        f"Jar {item.number} cannot be forecast: {item.problem}." for item in found if item.problem
    ]
    short = [item for item in found if item.enough is not None and item.enough < 0.3]
    if short:
        said.append(
            "Probably too little material for its patches: "
            + ", ".join(f"jar {item.number}" for item in short)
            + ". In a ladder of doses that may be what is asked."
        )
    middles = [item.finish.p50 for item in found if item.finish.p50]
    if len(middles) > 1 and (max(middles) - min(middles)).days > 21:
        said.append(
            "The jars will not be done together: the quickest and the slowest lie "
            f"{(max(middles) - min(middles)).days} days apart."
        )
    return said

"""The schedule of a trial from plain JSON and back to it, so that it can run in another process."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from tanwright.errors import TanwrightError
from tanwright.planning.answers import DateRange
from tanwright.planning.trials.jars import JarPlan, Pieces
from tanwright.planning.trials.schedule import Day, JarForecast, Schedule, make_schedule
from tanwright.planning.trials.sheet import Facts


def asked(
    jars: tuple[JarPlan, ...],
    pieces: Pieces,
    facts: Facts,
    today: date,
    members: int,
    readings: Mapping[int, str] | None = None,
) -> dict[str, Any]:
    """What :func:`renewed_trial` takes, of JSON's own types."""
    return {
        "jars": [{**asdict(jar), "dry_kg": dict(jar.dry_kg)} for jar in jars],
        "pieces": asdict(pieces),
        "facts": {
            "start": facts.start.isoformat(),
            "leather": facts.leather,
            "animal": facts.animal,
            "hair_on": facts.hair_on,
            "temperature_c": facts.temperature_c,
            "move": facts.move,
            "water": facts.water,
            "tools": dict(facts.tools),
            "materials": {id: [dict(row) for row in rows] for id, rows in facts.materials.items()},
        },
        "today": today.isoformat(),
        "members": members,
        "readings": {str(number): text for number, text in (readings or {}).items()},
    }


def renewed_trial(said: Mapping[str, Any]) -> dict[str, Any]:
    """The schedule for what :func:`asked` wrote, kept as :func:`kept` keeps it.

    A fault that the person can put right comes back as ``{"problem": "one line"}``.
    """
    facts = dict(said["facts"])
    start = date.fromisoformat(facts.pop("start"))
    try:
        found = make_schedule(
            tuple(JarPlan(**row) for row in said["jars"]),
            Pieces(**said["pieces"]),
            Facts(start=start, **facts),
            today=date.fromisoformat(said["today"]),
            members=int(said["members"]),
            readings={int(number): text for number, text in said["readings"].items()},
        )
    except TanwrightError as error:
        return {"problem": str(error)}
    return kept(found)


def kept(schedule: Schedule) -> dict[str, Any]:
    """``schedule`` as JSON's own types."""
    return {
        "days": [{**asdict(day), "on": day.on.isoformat()} for day in schedule.days],
        "jars": [_kept_jar(jar) for jar in schedule.jars],
        "done_from": _iso(schedule.done_from),
        "done_to": _iso(schedule.done_to),
        "notes": list(schedule.notes),
    }


def schedule_of(row: Mapping[str, Any]) -> Schedule:
    """The schedule that :func:`kept` kept."""
    return Schedule(
        days=tuple(Day(**{**day, "on": date.fromisoformat(day["on"])}) for day in row["days"]),
        jars=tuple(jar_of(jar) for jar in row["jars"]),
        done_from=_day(row["done_from"]),
        done_to=_day(row["done_to"]),
        notes=tuple(row["notes"]),
    )


def jar_of(row: Mapping[str, Any]) -> JarForecast:
    """The forecast of one jar as :func:`kept` kept it."""
    ends = row["finish"]
    tannin = {id: (float(low), float(high)) for id, (low, high) in row["tannin_pct"].items()}
    finish = DateRange(*(_day(ends[key]) for key in _ENDS))
    return JarForecast(**{**row, "finish": finish, "tannin_pct": tannin})


def _kept_jar(jar: JarForecast) -> dict[str, Any]:
    tannin = {id: list(pair) for id, pair in jar.tannin_pct.items()}
    return {**asdict(jar), "finish": _dates(jar.finish), "tannin_pct": tannin}


_ENDS = ("p05", "p50", "p95")


def _dates(window: DateRange) -> dict[str, str | None]:
    return {key: _iso(getattr(window, key)) for key in _ENDS}


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)

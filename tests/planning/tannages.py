"""Small tannages for tests: a goat in oak bark, changed by dotted keys, and its readings.

Invented; only their relation to one another matters.
"""

from __future__ import annotations

import copy
from datetime import date, timedelta
from typing import Any

import numpy as np

from tanwright.planning.amounts import Amounts, work_out
from tanwright.planning.answers import Answer
from tanwright.planning.forecast import make_forecast
from tanwright.planning.plan import make_plan
from tanwright.planning.readings import Readings
from tanwright.planning.readings_reader import parse_readings
from tanwright.planning.setting import Setting, settle
from tanwright.planning.sheet import Sheet
from tanwright.planning.sheet_reader import sheet_from_options
from tanwright.planning.worlds import Worlds, make_worlds
from tanwright.science.belief.unknowns import Floats, draw

START = date(2026, 3, 1)
FEW = 200
GOAT: dict[str, Any] = {
    "skin": [{"animal": "goat", "weight": "2.2 kg", "thickness": "1.6 mm"}],
    "material": [{"id": "quercus-robur-bark", "have": "5 kg"}],
    "vat": {"volume": "15 L", "temperature": "12 C"},
    "aim": {"leather": "soft", "start": START},
    "tools": {"strength": "hydrometer", "pot": "10 L"},
}
HEADER = "date,kind,value,unit,place,note,at,material,skin"


def on(day: int) -> date:
    """Date of a day of the tannage."""
    return START + timedelta(days=day)


def sheet(**changed: Any) -> Sheet:
    """The goat's sheet with keys changed: ``vat_volume="40 L"``; ``None`` takes a key away.

    ``skin`` and ``material`` keys change the first entry.
    """
    raw = copy.deepcopy(GOAT)
    for dotted, value in changed.items():
        table, _, key = dotted.partition("_")
        if not key:
            raw[table] = value
            continue
        part = raw[table][0] if isinstance(raw[table], list) else raw[table]
        part.pop(key, None)
        if value is not None:
            part[key] = value
    return sheet_from_options(raw, today=START)


def readings(*rows: str, start: date = START) -> Readings:
    """Readings from rows like ``"4,cut,half,,neck"``; the first cell is the day of the tannage."""
    lines = [HEADER]
    for row in rows:
        day, rest = row.split(",", 1)
        lines.append(f"{start + timedelta(days=int(day))},{rest}")
    return parse_readings("\n".join(lines) + "\n", source="r.csv", start=start)


def plan(members: int = FEW, seed: int = 1, **changed: Any) -> Answer:
    """The plan for the changed goat."""
    return make_plan(sheet(**changed), today=START, members=members, seed=seed)


def forecast(*rows: str, day: int, members: int = FEW, seed: int = 1, **changed: Any) -> Answer:
    """The forecast for the changed goat after ``rows``, seen on ``day``."""
    return make_forecast(
        sheet(**changed), readings(*rows), today=on(day), members=members, seed=seed
    )


def drawn(members: int = 400, seed: int = 1, **changed: Any) -> tuple[Setting, Floats, Worlds]:
    """Setting, draws and worlds of the changed goat, without running a vat."""
    setting = settle(sheet(**changed))
    z = draw(members, setting.unknowns, np.random.default_rng(seed))
    return setting, z, make_worlds(setting, z)


def amounts(members: int = 400, seed: int = 1, **changed: Any) -> Amounts:
    """Need and supply of the changed goat, without running a vat."""
    setting, _, worlds = drawn(members, seed, **changed)
    return work_out(worlds, setting)


def finish_day(answer: Answer, which: str = "p50") -> float:
    """Days from the start to a percentile of the finish; infinite beyond the horizon."""
    when = getattr(answer.finish, which)
    return float("inf") if when is None else float((when - START).days)

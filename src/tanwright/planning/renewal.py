"""A plan or a forecast from plain tables and text, for whoever keeps records elsewhere.

Plain JSON goes in and out, so that it can run in a process of its own.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from tanwright.errors import TanwrightError
from tanwright.planning.sheet import Sheet

FIRST_MEMBERS: Final = 200
"""Worlds of a first answer: its percentiles move by some 5 % from seed to seed."""


def sheet_of(tables: Mapping[str, object], today: date) -> Sheet:
    """The sheet that ``tables`` say (as a sheet file does). Raises InputError."""
    from tanwright.planning.sheet_reader import sheet_from_records

    return sheet_from_records(tables, today=today)


def first_answer(tables: Mapping[str, object], today: date) -> dict[str, Any]:
    """A quick plan of few worlds, kept as :func:`renewed` keeps it."""
    return renewed(tables, "", today, FIRST_MEMBERS)


def renewed(
    tables: Mapping[str, object],
    readings_csv: str,
    today: date,
    members: int,
    seed: int = 1,
) -> dict[str, Any]:
    """The plan for ``tables``, or with ``readings_csv`` the forecast.

    Parameters
    ----------
    tables:
        The tables of a sheet, with the keys and texts of ``docs/sheet.md``.
    readings_csv:
        A readings file as text; empty for a plan.
    today:
        The day it is seen from.
    members, seed:
        As in :func:`tanwright.planning.plan.make_plan`.

    Returns
    -------
    dict
        ``what`` ("plan" or "forecast"), ``answer`` (see :mod:`tanwright.planning.keeping`) or
        ``None``, ``problem`` (``None``, or ``what``, ``place``, ``remedy`` of the refusal),
        ``seconds``, ``members`` and ``data_version``.
    """
    from tanwright.planning.forecast import make_forecast
    from tanwright.planning.keeping import keep
    from tanwright.planning.plan import make_plan
    from tanwright.planning.readings_reader import parse_readings

    begun = time.perf_counter()
    found: dict[str, Any] = {"answer": None, "problem": None, "data_version": ""}
    with_readings = bool(readings_csv.strip())
    try:
        sheet = sheet_of(tables, today)
        if with_readings:
            readings = parse_readings(
                readings_csv, source="the log", start=sheet.aim.start, sheet=sheet
            )
            answer = make_forecast(sheet, readings, today=today, members=members, seed=seed)
        else:
            answer = make_plan(sheet, today=today, members=members, seed=seed)
        found |= {"answer": keep(answer), "data_version": answer.data_version}
    except TanwrightError as error:
        found["problem"] = {"what": error.what, "place": error.place, "remedy": error.remedy}
    return found | {
        "what": "forecast" if with_readings else "plan",
        "seconds": time.perf_counter() - begun,
        "members": members,
    }

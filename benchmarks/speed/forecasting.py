"""A forecast after ten readings, in a process that has made one before."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np

from benchmarks.speed.ensemble import Row, seconds
from tanwright.planning.amounts import work_out
from tanwright.planning.forecast import make_forecast
from tanwright.planning.outcome import run_course
from tanwright.planning.plan import plan_course
from tanwright.planning.readings_reader import parse_readings
from tanwright.planning.setting import settle
from tanwright.planning.sheet_reader import read_sheet
from tanwright.planning.worlds import make_worlds
from tanwright.science.belief.unknowns import draw

SHEET = Path(__file__).parents[2] / "examples" / "first-sheet.toml"
MEMBERS, DAYS = 1000, 30.0
READINGS = """\
date,kind,value,unit,place,note,at
2027-03-20,event,started,,,,
2027-03-20,strengthened,2.3,kg,,,
2027-03-21,strength,1.008,SG,,,14 C
2027-03-22,look,tea,,,,
2027-03-24,cut,60 % pale,,neck,,
2027-03-25,strength,1.006,SG,,,12 C
2027-03-25,strengthened,1.4,kg,,,
2027-03-26,strength,1.011,SG,,,13 C
2027-03-28,strength,1.010,SG,,,12 C
2027-03-31,cut,40 % pale,,neck,,
2027-04-02,strength,1.008,SG,,,12 C
2027-04-05,cut,25 % pale,,neck,,
2027-04-06,strength,1.007,SG,,,12 C
"""
"""Invented: six strengths, three cuts, one look, and what was done."""


def forecast_rows() -> Iterator[Row]:
    """The forecast beside one run of its ensemble through the vat."""
    sheet = read_sheet(SHEET, today=date(2027, 3, 13))
    readings = parse_readings(READINGS, source="benchmark", start=sheet.aim.start, sheet=sheet)
    setting = settle(sheet)
    worlds = make_worlds(setting, draw(MEMBERS, setting.unknowns, np.random.default_rng(1)))
    course = plan_course(setting, worlds, work_out(worlds, setting))

    def forecast() -> object:
        return make_forecast(sheet, readings, today=date(2027, 4, 6), members=MEMBERS)

    def once() -> object:
        return run_course(worlds, setting, course, DAYS)

    whole, single = seconds(forecast, wall=True), seconds(once, wall=True)
    work = seconds(forecast, times=2)
    yield (
        "forecast, ten readings, 1000 worlds, wall",
        f"{whole:.2f} s",
        "wanted: 1.5 s on two cores",
    )
    yield "  processor time of it", f"{work:.2f} s", ""
    remark = f"one run of {DAYS:g} days on all cores takes {single:.3f} s"
    yield "  ratio to one run of its ensemble", f"{whole / single:.0f} x", remark

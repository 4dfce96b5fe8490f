"""The JSON of an answer keeps its fixed keys, its schema, and finite numbers."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from tanwright.planning.answers import Answer, DateRange, Enough, Range
from tanwright.planning.as_json import answer_to_json
from tanwright.planning.forecast import make_forecast
from tanwright.planning.plan import make_plan
from tanwright.planning.readings_reader import read_readings
from tanwright.planning.sheet_reader import read_sheet
from tests.planning.answer_fixture import a_fan, a_forecast, a_plan
from tests.planning.schema_check import faults

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
SCHEMA = json.loads((ROOT / "docs/reference/answer.schema.json").read_text(encoding="utf-8"))
FIXED = (
    "enough", "need_kg", "tannin_need_kg", "tannin_supply_kg", "finish", "struck_through",
    "schedule", "next_action", "measure_next", "cautions", "questions", "sources",
)  # fmt: skip


def as_json(answer: Answer) -> Any:
    """Through text and back, as a script would see it."""
    return json.loads(json.dumps(answer_to_json(answer), allow_nan=False))


@pytest.mark.parametrize("make", [a_plan, a_forecast])
def test_the_answer_fits_the_schema(make: Callable[[], Answer]) -> None:
    assert list(faults(as_json(make()), SCHEMA, SCHEMA)) == []


def test_real_answers_fit_the_schema() -> None:
    sheet = read_sheet(EXAMPLES / "first-sheet.toml", today=date(2027, 3, 20))
    readings = read_readings(EXAMPLES / "first-readings.csv", start=sheet.aim.start)
    plan = make_plan(sheet, today=date(2027, 3, 20), members=100)
    forecast = make_forecast(sheet, readings, today=date(2027, 4, 4), members=100)
    for answer in (plan, forecast):
        found = as_json(answer)
        assert list(faults(found, SCHEMA, SCHEMA)) == []
        assert set(found["need_kg"]) == {"quercus-robur-bark"}
        assert found["schedule"]
    assert as_json(forecast)["readings"]


def test_the_schema_refuses_what_does_not_fit() -> None:
    good = as_json(a_plan())
    wrong = [
        good | {"mood": "fine"},
        {key: value for key, value in good.items() if key != "finish"},
        good | {"finish": {"p05": "1 March", "p50": None, "p95": None}},
        good | {"struck_through": {"p05": -0.1, "p50": 0.5, "p95": 1.1}},
        good | {"next_action": good["next_action"] | {"action": "dance"}},
        good | {"members": 12.5},
        good | {"start": None},
    ]
    for value in wrong:
        assert list(faults(value, SCHEMA, SCHEMA))


def test_fixed_keys_hold_what_scripts_rely_on() -> None:
    found = as_json(a_plan())
    assert set(FIXED) <= set(found)
    assert found["enough"]["probability"] == 0.63
    assert found["enough"]["break_even_tannin_pct"] == 8.2
    assert found["need_kg"] == {"quercus-robur-bark": {"p05": 3.1, "p50": 5.4, "p95": 9.6}}
    assert found["tannin_need_kg"] == {"p05": 0.16, "p50": 0.23, "p95": 0.31}
    assert found["finish"] == {"p05": "2026-03-19", "p50": "2026-03-29", "p95": "2026-04-17"}
    step = found["schedule"][1]
    assert {key: step[key] for key in ("date", "action", "strength_bk", "litres")} == {
        "date": "2026-03-04",
        "action": "strengthen",
        "strength_bk": 12.0,
        "litres": 10.0,
    }
    assert step["reason"].startswith("the skin has drunk")
    assert found["next_action"]["date"] == "2026-03-01"
    assert set(found["measure_next"][0]) == {"what", "how", "narrows_finish", "narrows_amount"}


def test_what_is_not_finite_becomes_null() -> None:
    answer = replace(
        a_plan(),
        enough=Enough(math.nan, None, math.inf, None),
        tannin_need_kg=Range(0.0, 1.0, math.inf),
        finish=DateRange(None, None, None),
        strength_fan=replace(a_fan(1.0, 2.0), p95=np.full(9, np.nan)),
    )
    found = as_json(answer)
    assert list(faults(found, SCHEMA, SCHEMA)) == []
    assert found["enough"] == {
        "probability": None,
        "break_even_tannin_pct": None,
        "break_even_sure_pct": None,
        "material": None,
    }
    assert found["tannin_need_kg"] == {"p05": 0.0, "p50": 1.0, "p95": None}
    assert found["finish"] == {"p05": None, "p50": None, "p95": None}
    assert found["strength_over_time_bk"]["p95"] == [None] * 9


def test_numbers_are_rounded_and_shares_held_between_nought_and_one() -> None:
    answer = replace(
        a_plan(),
        tannin_need_kg=Range(0.123456, 12345.678, 1.0),
        struck_through=Range(-1e-12, 0.123456, 1.0 + 1e-12),
    )
    found = as_json(answer)
    assert found["tannin_need_kg"] == {"p05": 0.1235, "p50": 12350.0, "p95": 1.0}
    assert found["struck_through"] == {"p05": 0.0, "p50": 0.1235, "p95": 1.0}

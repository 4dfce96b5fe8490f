"""A plan or forecast from plain tables and text."""

from __future__ import annotations

import json
import pickle
from datetime import date

from tanwright.planning.keeping import keep, take_back
from tanwright.planning.plan import make_plan
from tanwright.planning.renewal import first_answer, renewed, sheet_of

TODAY = date(2027, 3, 20)
TABLES = {
    "skin": [{"animal": "goat", "weight": "2.2 kg"}],
    "material": [{"id": "quercus-robur-bark", "have": "6 kg"}],
    "vat": {"volume": "18 L", "temperature": "12 C"},
    "aim": {"leather": "soft", "start": "2027-03-20"},
}
READINGS = (
    "date,kind,value,unit,place,note\n"
    "2027-03-20,event,started,,,\n"
    "2027-03-24,cut,60 % pale,,neck,\n"
)


def test_a_plan_is_the_plan_of_the_same_sheet() -> None:
    found = renewed(TABLES, "", TODAY, 100)
    plan = make_plan(sheet_of(TABLES, TODAY), today=TODAY, members=100)
    assert found["what"] == "plan"
    assert found["problem"] is None
    assert found["answer"] == keep(plan)
    assert json.loads(json.dumps(found, allow_nan=False)) == pickle.loads(pickle.dumps(found))


def test_readings_make_it_a_forecast() -> None:
    found = renewed(TABLES, READINGS, date(2027, 3, 25), 100)
    assert found["what"] == "forecast"
    assert take_back(found["answer"]).checks[0].line == 3


def test_a_refusal_comes_back_in_words() -> None:
    wrong = {**TABLES, "skin": [{"animal": "goat", "weight": "2.2"}]}
    found = renewed(wrong, "", TODAY, 100)
    assert found["answer"] is None
    assert found["problem"]["place"] == "skin 1, weight"
    late = renewed(TABLES, READINGS.replace("cut,60 % pale", "cut,purple"), date(2027, 3, 25), 100)
    assert late["problem"]["place"].startswith("the log, line 3")


def test_a_first_answer_knows_the_kind_of_skin_and_plant_alone() -> None:
    tables = {"skin": [{"animal": "goat"}], "material": [{"id": "unknown-bark"}]}
    answer = take_back(first_answer(tables, TODAY)["answer"])
    need = answer.needs[0].need_kg
    assert 0.0 < need.p05 < need.p50 < need.p95

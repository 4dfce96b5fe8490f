"""The plan after readings: it learns, bends, tells, and never says done."""

from __future__ import annotations

import math
import re
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest

from tanwright.planning.answers import Answer, Step
from tanwright.planning.as_json import answer_to_json
from tanwright.science.uptake import model
from tests.planning.tannages import START, finish_day, forecast, on, plan
from tests.planning.test_plan import in_order, numbers, ranges


@pytest.fixture(scope="module")
def goat() -> Answer:
    """The plan of the plain goat."""
    return plan()


@pytest.fixture(scope="module")
def quiet() -> Answer:
    """A week in, and nothing was written down."""
    return forecast(day=7)


def width(answer: Answer) -> float:
    """How many times the latest finish is later than the earliest."""
    return finish_day(answer, "p95") / finish_day(answer, "p05")


def actions(answer: Answer, action: str) -> list[Step]:
    return [step for step in answer.schedule if step.action == action]


def test_no_readings_on_the_first_day_are_the_plan(goat: Answer) -> None:
    same = forecast(day=0)
    assert same.needs[0].need_kg == goat.needs[0].need_kg
    assert same.enough == goat.enough
    assert abs(finish_day(same) - finish_day(goat)) <= 1.0
    assert same.next_action.action == "prepare"
    assert same.checks == ()


def test_nothing_in_a_forecast_is_before_today_or_out_of_order(quiet: Answer) -> None:
    assert all(step.date >= on(7) for step in quiet.schedule)
    dates = [step.date for step in quiet.schedule]
    assert dates == sorted(dates)
    assert not actions(quiet, "start")
    assert in_order(quiet.finish)
    for found in ranges(quiet):
        assert found.p05 <= found.p50 <= found.p95


def test_a_strong_first_reading_raises_the_supply_and_lowers_the_amount(goat: Answer) -> None:
    strong = forecast("0,strength,12,bk", day=0)
    weak = forecast("0,strength,5,bk", day=0)
    assert strong.tannin_supply_kg.p50 > goat.tannin_supply_kg.p50 > weak.tannin_supply_kg.p50
    assert strong.needs[0].need_kg.p50 < goat.needs[0].need_kg.p50 < weak.needs[0].need_kg.p50
    assert strong.enough.probability >= goat.enough.probability >= weak.enough.probability
    spread = strong.needs[0].need_kg.p95 / strong.needs[0].need_kg.p05
    assert spread < goat.needs[0].need_kg.p95 / goat.needs[0].need_kg.p05


def test_a_cut_narrows_the_finish_and_an_early_one_brings_it_forward() -> None:
    slow = forecast("6,cut,0.3,,neck", day=6)
    fast = forecast("6,cut,0.9,,neck", day=6)
    unseen = forecast(day=6)
    assert width(slow) < width(unseen)
    assert finish_day(fast) < finish_day(slow)
    assert slow.struck_through.p50 == pytest.approx(0.3, abs=0.08)
    assert fast.struck_through.p50 == pytest.approx(0.9, abs=0.08)


def test_a_slip_of_ten_times_is_set_aside_and_told() -> None:
    answer = forecast("0,strength,75,bk", day=0)
    (check,) = answer.checks
    assert check.verdict == "set-aside"
    assert "line 2" in check.what
    assert "not used" in check.text
    clean = forecast(day=0)
    assert answer.needs[0].need_kg.p50 == pytest.approx(clean.needs[0].need_kg.p50, rel=0.15)


def test_readings_that_contradict_each_other_are_told() -> None:
    answer = forecast("4,cut,0.95,,neck", "5,cut,0.05,,neck", day=5)
    verdicts = {check.verdict for check in answer.checks}
    told = any("do not fit together" in note for note in answer.notes)
    assert told or verdicts & {"odd", "set-aside"}


def test_frost_delays_by_the_days_it_took(quiet: Answer) -> None:
    frozen = forecast("4,event,frozen,,", "14,event,thawed,,", day=14)
    calm = plan()
    warm = float(model.heat_factor(12.0))
    still = 10.0 * (1.0 - float(model.heat_factor(-5.0)) / warm)
    delay = finish_day(frozen) - finish_day(calm)
    assert delay == pytest.approx(still, abs=3.0)
    told = next(change for change in frozen.changes if change.what == "interruptions")
    assert re.search(r"\d+ days? later", told.after)
    assert "frozen" in told.why


def test_a_vat_still_frozen_waits_for_the_thaw() -> None:
    answer = forecast("4,event,frozen,,", day=9)
    assert answer.next_action.action == "wait"
    assert "thaw" in answer.next_action.headline
    assert answer.finish.p50 is not None


def test_a_skin_out_of_the_vat_is_asked_back_first() -> None:
    answer = forecast("4,event,taken out,,", day=9)
    assert answer.next_action.action == "move"
    assert "back" in answer.next_action.headline
    back = forecast("4,event,taken out,,", "9,event,put back,,", day=9)
    assert back.next_action.action != "move"
    assert abs(finish_day(answer) - finish_day(back)) <= 2.0


def test_heat_hurries_cold_slows_and_a_still_vat_lags(quiet: Answer) -> None:
    usual = finish_day(quiet)
    hot = forecast("1,event,heat,,", day=7)
    cold = forecast("1,event,moved to 3 C,,", day=7)
    away = forecast("1,event,away,,", day=7)
    assert finish_day(hot) <= usual
    assert finish_day(cold) > usual
    assert finish_day(away) >= usual


def test_strengthening_in_kilos_or_litres_hurries_and_is_counted(quiet: Answer) -> None:
    by_mass = forecast("3,strengthened,1.5,kg,,cooked in 6 L", day=7)
    by_volume = forecast("3,strengthened,5,L,swap,35 Bk", day=7)
    watered = forecast("3,strengthened,10,L,top-up,1 Bk", day=7)
    assert finish_day(by_mass) < finish_day(quiet)
    assert finish_day(by_volume) < finish_day(quiet)
    assert finish_day(watered) > finish_day(quiet)
    planned = sum(step.litres or 0.0 for step in actions(by_mass, "strengthen"))
    assert planned > 0.0
    assert watered.needs[0].need_kg.p50 > quiet.needs[0].need_kg.p50


def test_what_is_used_is_not_planned_again() -> None:
    answer = forecast("3,strengthened,3.1,kg,,", day=4)
    assert not actions(answer, "strengthen")
    more = forecast("3,strengthened,6,kg,,", day=4)
    assert any("put one of them right" in note for note in more.notes)


def test_past_the_finish_the_done_gate_comes_first() -> None:
    answer = forecast("3,strengthened,3,kg,,", "10,cut,through,,neck", day=60)
    assert answer.next_action.action == "gate"
    assert answer.next_action.date == on(60)
    assert len(answer.questions) >= 4


def test_a_late_strengthening_becomes_due_today() -> None:
    answer = forecast("1,look,tea,,", day=25, skin_thickness="3 mm")
    due = actions(answer, "strengthen")
    assert due
    assert due[0].date == on(25)
    assert "strengthening" in answer.changes[0].why


def test_with_the_stock_gone_the_next_thing_is_to_gather() -> None:
    answer = forecast("6,cut,a third,,neck", day=12, material_have="700 g")
    assert answer.enough.probability < 0.1
    assert answer.next_action.action == "gather"
    assert re.search(r"\d (kg|g) more", answer.next_action.headline)
    assert answer.finish.p50 is None
    assert answer.still_needed_kg["quercus-robur-bark"].p50 > 0.3


def test_forecasts_for_several_skins_of_a_blend_with_hair() -> None:
    skins = [
        {"animal": "goat", "weight": "2 kg", "name": "billy"},
        {"animal": "sheep", "weight": "3.4 kg", "name": "ewe", "hair": "on"},
    ]
    blend = [{"id": "salix-caprea-bark", "have": "8 kg"}, {"id": "rhus-coriaria-leaf"}]
    answer = forecast(
        "9,cut,0.9,,neck,,,,billy", "9,cut,0.2,,neck,,,,ewe",
        "5,strengthened,500,g,,,,rhus-coriaria-leaf,",
        day=9, skin=skins, material=blend, vat_volume="50 L",
    )  # fmt: skip
    assert len(answer.checks) == 2
    assert answer.struck_through.p50 == pytest.approx(0.2, abs=0.1)
    assert "ewe" in answer.cut.place
    assert np.all(answer.cut.grain_front.p95 == 0.0)


@pytest.mark.parametrize(
    "skin",
    [{"animal": "rabbit", "hair": "on"}, {"thickness": "2 mm", "weight": "1 kg"}],
    ids=["animal", "thickness"],
)
def test_a_sheet_that_says_little_can_be_forecast(skin: dict[str, str]) -> None:
    answer = forecast(
        "1,look,tea,,", "3,cut,a third,,", day=3, skin=[skin],
        material=[{"id": "unknown-bark"}], vat={}, tools={},
    )  # fmt: skip
    assert len(answer.checks) == 2
    assert all(math.isfinite(number) for number in numbers(answer_to_json(answer)))


def test_ten_readings_on_some_of_the_same_days() -> None:
    rows = (
        "0,event,started,,", "1,strength,7,bk,,,12 C", "1,look,tea,,", "3,cut,0.3,,neck",
        "3,cut,0.45,,belly", "3,strength,6,bk", "5,weight,1.3,kg,pelt", "6,ph,4.8,,",
        "8,cut,half,,neck", "8,look,tea,,",
    )  # fmt: skip
    answer = forecast(*rows, day=8)
    assert len(answer.checks) == 8
    assert {check.verdict for check in answer.checks} <= {"ok", "odd"}
    assert width(answer) < width(forecast(day=8))
    assert answer.effective_members > 50
    lines = [check.line for check in answer.checks]
    assert lines == sorted(lines)


def test_a_forecast_is_reproducible() -> None:
    rows = ("2,strength,7,bk", "4,cut,half,,neck")
    first, second = forecast(*rows, day=5), forecast(*rows, day=5)
    assert answer_to_json(first) == answer_to_json(second)


def test_a_today_before_the_last_reading_is_moved_to_it() -> None:
    assert forecast("6,look,tea,,", day=2).today == on(6)


def _sentences(answer: Answer) -> list[str]:
    found: list[str] = []
    for step in answer.schedule:
        found += [step.headline, step.reason, step.look]
    for change in answer.changes:
        found += [change.before, change.after, change.why]
    for check in answer.checks:
        found.append(check.text)
    for trouble in answer.troubles:
        found += [trouble.what, trouble.sign, trouble.remedy]
    return [*found, *answer.notes, *answer.one_pot]


CLAIMS = re.compile(r"\b(is|are|was|has been) (now )?(done|ruined|lost|finished)\b", re.IGNORECASE)
ASKED = re.compile(r"(ask|whether|if it|when all|not) [^.]*$", re.IGNORECASE)


@pytest.mark.parametrize("day", [2, 20, 90, 400])
def test_done_and_ruined_are_never_said_as_fact(day: int) -> None:
    rows = ("1,strength,7,bk", "2,cut,half,,neck")
    answer = forecast(*rows, day=day)
    for sentence in _sentences(answer):
        for claim in CLAIMS.finditer(sentence):
            before = sentence[: claim.start()]
            assert ASKED.search(before + " ") or "nothing" in before, sentence


def test_the_whole_forecast_is_json_with_finite_numbers(quiet: Answer) -> None:
    found: dict[str, Any] = answer_to_json(quiet)
    assert all(math.isfinite(number) for number in numbers(found))
    assert found["today"] == (START + timedelta(days=7)).isoformat()
    assert [date.fromisoformat(step["date"]) for step in found["schedule"]]


@pytest.mark.parametrize("members", [200, 400])
def test_what_it_was_before_is_what_the_plan_said(members: int) -> None:
    said = plan(members=members).finish
    change = forecast("6,cut,0.9,,neck", day=6, members=members).changes[0]
    assert change.before == f"{said.p05} to {said.p95}"


def test_unnamed_material_follows_the_mix_of_the_plan() -> None:
    blend = [{"id": "quercus-robur-bark", "have": "4 kg"}, {"id": "rhus-coriaria-leaf"}]
    answer = forecast("5,strengthened,600,g,,", day=6, material=blend)
    assert any("as the plan mixes them" in note for note in answer.notes)


def test_a_today_moved_to_the_last_reading_is_told() -> None:
    told = "The last reading is of"
    assert any(told in note for note in forecast("6,look,tea,,", day=2).notes)
    assert not any(told in note for note in forecast("6,look,tea,,", day=6).notes)

"""What to measure next: a promise that the update keeps."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tanwright.planning import measuring
from tanwright.planning.amounts import work_out
from tanwright.planning.answers import Cause
from tanwright.planning.forecast import make_forecast
from tanwright.planning.plan import plan_course, run_to_end
from tanwright.planning.setting import settle
from tests.planning.tannages import START, drawn, finish_day, forecast, on, plan, readings, sheet


def test_every_option_has_a_way_and_shares() -> None:
    for answer in (plan(), forecast(day=6)):
        assert answer.measure_next
        for option in answer.measure_next:
            assert 0.0 <= option.narrows_finish <= 1.0
            assert 0.0 <= option.narrows_amount <= 1.0
            assert option.what
            assert option.how
        told = [o.narrows_finish + o.narrows_amount for o in answer.measure_next]
        assert told == sorted(told, reverse=True)


def what(**changed: Any) -> set[str]:
    """Names of the candidate readings on day 5."""
    setting, _, worlds = drawn(100, **changed)
    amounts = work_out(worlds, setting)
    outcome = run_to_end(worlds, setting, plan_course(setting, worlds, amounts))
    return {c.name for c, _ in measuring.candidates(setting, worlds, outcome, 5.0)}


def test_readings_fit_the_tools_and_the_skin() -> None:
    assert any("(hydrometer)" in name for name in what())
    assert any("refractometer" in name for name in what(tools_strength="refractometer"))
    bare = what(tools_strength="none", skin_thickness=None)
    assert any("weight of a litre" in name for name in bare)
    assert any("thickness" in name for name in bare)
    assert not any("thickness" in name for name in what())
    assert not any("weight of the pelt" in name for name in what(skin_hair="on"))
    limed = what(skin_stage="limed", skin_weight="1.4 kg")
    assert not any("weight of the pelt" in name for name in limed)
    assert any("cut" in name for name in what())


def test_before_the_start_there_is_nothing_to_cut() -> None:
    assert not any("cut" in option.what for option in plan().measure_next)


def truths(count: int) -> list[dict[str, float]]:
    """Vats drawn from the prior: share through on day 6 and first strength of each."""
    setting, _, worlds = drawn(count, seed=77)
    course = plan_course(setting, worlds, work_out(worlds, setting))
    outcome = run_to_end(worlds, setting, course)
    through = outcome.result.at(6.0, outcome.through)
    strength = outcome.result.at(0.0, outcome.strength_bk)
    return [{"cut": float(c), "strength": float(s)} for c, s in zip(through, strength, strict=True)]


def spread_of_log(values: np.ndarray) -> float:
    return float(np.std(np.log(values)))


def test_the_promised_cut_really_narrows_the_finish() -> None:
    """Over several true vats the finish narrows as promised, within what six of them can show."""
    before = forecast(day=6)
    cut = next(o for o in before.measure_next if "cut" in o.what)
    assert cut.narrows_finish == max(o.narrows_finish for o in before.measure_next)
    wide = finish_day(before, "p95") - finish_day(before, "p05")
    narrowed = []
    for truth in truths(6):
        after = forecast(f"6,cut,{truth['cut']:.3f},,neck", day=6)
        narrowed.append(1.0 - (finish_day(after, "p95") - finish_day(after, "p05")) / wide)
    assert np.mean(narrowed) > 0.4 * cut.narrows_finish
    assert np.mean(narrowed) > 0.1


def test_the_promised_strength_really_narrows_the_amount() -> None:
    before = plan()
    option = next(o for o in before.measure_next if "hydrometer" in o.what)
    assert option.narrows_amount == max(o.narrows_amount for o in before.measure_next)
    need = before.needs[0].need_kg
    wide = np.log(need.p95 / need.p05)
    narrowed = []
    for truth in truths(6):
        seen = readings(f"0,strength,{truth['strength']:.2f},bk")
        after = make_forecast(sheet(), seen, today=START, members=200).needs[0].need_kg
        narrowed.append(1.0 - np.log(after.p95 / after.p05) / wide)
    assert np.mean(narrowed) == pytest.approx(option.narrows_amount, abs=0.15)


def test_a_repeated_reading_promises_less() -> None:
    fresh = forecast(day=6)
    again = forecast("6,cut,0.5,,neck", day=6)

    def promise(answer: Any) -> float:
        return float(next(o.narrows_finish for o in answer.measure_next if "cut" in o.what))

    assert promise(again) < 0.7 * promise(fresh)
    assert again.today == on(6)


def test_causes_are_shares_of_the_whole_with_a_remedy_for_the_largest() -> None:
    answer = plan(skin_thickness=None)
    for causes in (answer.amount_causes, answer.finish_causes):
        assert 0.9 <= sum(cause.share for cause in causes) <= 1.1
        assert all(0.0 < cause.share <= 1.0 for cause in causes)
        assert causes[0].remedy
        assert len(causes) <= 7
    assert answer.amount_causes[0].name.startswith("tannin")
    names = {cause.name for cause in answer.finish_causes}
    assert "diffusivity" in names


def test_what_a_missing_fact_buys_follows_its_share() -> None:
    setting = settle(sheet(skin_weight=None, skin_thickness=None, tools_strength=None))
    causes = (
        Cause("tannin:quercus-robur-bark", "how strong", 0.64),
        Cause("pelt:0", "how much pelt", 0.19),
        Cause("rest", "everything else", 0.17),
    )
    found = measuring.worth_knowing(setting, causes)
    assert [worth.fact for worth in found] == ["material.tannin", "skin.weight"]
    assert found[0].narrows_amount == pytest.approx(0.4)
    assert found[1].narrows_amount == pytest.approx(0.1)
    assert all(worth.how for worth in found)
    assert measuring.worth_knowing(settle(sheet()), ()) == ()

"""Landmarks of a run, and how long it runs."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tanwright.planning.course import Cook, Poured, Spell
from tanwright.planning.outcome import LONGEST_DAYS, Course, Outcome, run_course, run_until_done
from tests.planning.tannages import drawn

CALM = (Spell(0.0, 12.0),)


def run(
    days: float = 60.0,
    *changes: Cook | Poured,
    kg: float = 3.0,
    spells: tuple[Spell, ...] = CALM,
    members: int = 60,
    **changed: Any,
) -> Outcome:
    setting, _, worlds = drawn(members, **changed)
    course = Course(Cook(0.0, (kg,), setting.vat_l), changes, spells)
    return run_course(worlds, setting, course, days)


@pytest.fixture(scope="module")
def plain() -> Outcome:
    """The goat in 3 kg of oak bark, two months."""
    return run()


def middle(values: np.ndarray) -> float:
    return float(np.median(values))


def test_shares_stay_shares_and_only_grow_in_a_full_vat(plain: Outcome) -> None:
    assert np.all((plain.through >= 0.0) & (plain.through <= 1.0))
    assert np.all(plain.degree >= 0.0)
    assert np.all(plain.strength_bk >= 0.0)
    assert np.all(np.diff(np.median(plain.through, axis=0)) >= -1e-6)
    assert plain.day[0] == 0.0
    assert plain.day[-1] == pytest.approx(60.0)


def test_colour_runs_ahead_of_leather(plain: Outcome) -> None:
    done = np.isfinite(plain.finish_day)
    assert done.mean() > 0.3
    # Both are read between two records of the run, on a straight line.
    assert np.all(plain.through_day[done] <= 1.02 * plain.finish_day[done])


def test_a_finish_has_the_degree_and_a_coloured_thick_place(plain: Outcome) -> None:
    setting, _, worlds = drawn(60)
    low = np.minimum(setting.target.low, 0.8 * worlds.uptake.capacity_g_per_g[:, 0])
    for world in np.flatnonzero(np.isfinite(plain.finish_day))[:10]:
        at = int(np.searchsorted(plain.day, plain.finish_day[world]))
        assert plain.degree[world, at] >= low[world] - 1e-3
        assert plain.through[world, at] == pytest.approx(1.0, abs=1e-3)


def test_thick_cold_and_furred_skins_come_later() -> None:
    def half(**changed: Any) -> float:
        outcome = run(30.0, **changed)
        return middle(outcome.result.at(3.0, outcome.through))

    usual = half()
    assert half(skin_thickness="1.1 mm") > usual > half(skin_thickness="3 mm")
    assert half(skin_hair="on") < usual
    cold = run(30.0, spells=(Spell(0.0, 3.0),))
    assert middle(cold.result.at(3.0, cold.through)) < usual


def test_a_frozen_or_empty_vat_stands_still() -> None:
    for stop in (Spell(5.0, -5.0), Spell(5.0, 12.0, lying=False)):
        outcome = run(25.0, spells=(*CALM, stop, Spell(15.0, 12.0)))
        before, after = (outcome.result.at(day, outcome.degree) for day in (5.0, 15.0))
        assert after == pytest.approx(before, abs=2e-3)
        later = outcome.result.at(25.0, outcome.degree)
        assert middle(later) > middle(after)


def test_strengthening_raises_the_vat_in_every_world_and_speeds_the_finish() -> None:
    weak = run(60.0, kg=1.0)
    strong = run(60.0, Cook(10.0, (2.0,), 8.0), kg=1.0)
    before, after = (strong.result.at(day, strong.strength_bk) for day in (9.999, 10.001))
    assert np.all(after > before)
    assert np.isfinite(strong.finish_day).mean() > np.isfinite(weak.finish_day).mean()


def test_a_cook_for_need_is_left_out_where_the_vat_is_strong_enough() -> None:
    outcome = run(20.0, Cook(6.0, (1.0,), 8.0, below_bk=7.0))
    before, after = (outcome.result.at(day, outcome.strength_bk) for day in (5.999, 6.0))
    raised = after - before > 0.3
    assert 0.05 < raised.mean() < 0.95
    assert np.all(before[raised] < 7.2)
    assert np.all(before[~raised] > 6.8)


def test_water_weakens_and_a_top_up_adds() -> None:
    watered = run(20.0, Poured(5.0, 0.0, 10.0, 0.0))
    before, after = (watered.result.at(day, watered.strength_bk) for day in (4.999, 5.001))
    assert middle(after) == pytest.approx(0.6 * middle(before), rel=0.05)
    strong = run(20.0, Poured(5.0, 5.0, 5.0, 40.0))
    assert middle(strong.result.at(5.001, strong.strength_bk)) > middle(before) + 5.0


def test_the_run_is_as_long_as_it_must_be_and_no_longer() -> None:
    setting, _, worlds = drawn(200)
    course = Course(Cook(0.0, (8.0,), setting.vat_l), (), CALM)
    outcome = run_until_done(worlds, setting, course, 20.0)
    assert np.isfinite(outcome.finish_day).mean() > 0.93
    latest = outcome.finish_day[np.isfinite(outcome.finish_day)].max()
    assert outcome.day[-1] <= max(2.5 * latest, 60.0)


def test_a_hopeless_vat_does_not_run_for_ever() -> None:
    setting, _, worlds = drawn(60)
    course = Course(Cook(0.0, (0.1,), setting.vat_l), (), CALM)
    outcome = run_until_done(worlds, setting, course, 20.0)
    assert np.isinf(outcome.finish_day).all()
    assert outcome.day[-1] <= LONGEST_DAYS


def test_a_run_reaches_past_its_last_change() -> None:
    setting, _, worlds = drawn(60)
    course = Course(Cook(0.0, (8.0,), setting.vat_l), (Cook(90.0, (1.0,), 8.0),), CALM)
    assert course.last_day == 90.0
    assert run_until_done(worlds, setting, course, 20.0).day[-1] >= 92.0

"""Events at exact times, and time steps that are fine after each."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.uptake.schedule import (
    Conditions,
    cut_into_steps,
    graded_times,
)
from tests.science.uptake.worlds import plain_schedule, pour


def test_graded_times_start_fine_and_end_exactly():
    times = graded_times(2.0, 18.0, 6.0, 3)
    assert times[0] == 2.0
    assert times[-1] == pytest.approx(18.0)
    assert times.size == 25
    assert np.all(np.diff(times, 2) > 0.0)
    assert graded_times(0.0, 0.01, 6.0, 3).size == 4


def test_steps_meet_every_event_and_stop():
    schedule = plain_schedule(
        days=10.0,
        pours=(pour(6.5, 1.0, 1.0, 30.0), pour(2.5, 1.0, 1.0, 30.0)),
        conditions=(Conditions(0.0), Conditions(4.25, heat=0.5, film=0.2, lying=(False, True))),
        stops=(1.1, 9.9),
    )
    steps = cut_into_steps(schedule, 2, 4.0, 4)
    ends = np.append(steps.start, steps.start[-1] + steps.length[-1])
    for day in (0.0, 1.1, 2.5, 4.25, 6.5, 9.9, 10.0):
        assert np.abs(ends - day).min() < 1e-12
    assert np.all(steps.length > 0.0)
    assert steps.length.sum() == pytest.approx(10.0)
    late = steps.start >= 4.25 - 1e-9
    assert np.all(steps.heat[late] == 0.5)
    assert np.all(steps.heat[~late] == 1.0)
    assert np.all(steps.film[late] == 0.2)
    assert not steps.lying[late, 0].any()
    assert steps.lying[:, 1].all()
    np.testing.assert_array_equal(
        steps.pour_before[:-1], (steps.start >= 2.5 - 1e-9) * 1 + (steps.start >= 6.5 - 1e-9)
    )


def test_a_pour_on_the_last_day_still_happens():
    steps = cut_into_steps(plain_schedule(days=5.0, pours=(pour(5.0, 1, 1, 9.0),)), 1, 4.0, 4)
    assert steps.pour_before[-2] == 0
    assert steps.pour_before[-1] == 1


@pytest.mark.parametrize(
    ("pours", "words"),
    [
        ((pour(-1.0, 0, 1, 5.0),), "outside"),
        ((pour(21.0, 0, 1, 5.0),), "outside"),
        ((pour(1.0, 20.5, 1, 5.0),), "more than the vat holds"),
        ((pour(2.0, 15.0, 0, 5.0), pour(3.0, 6.0, 6.0, 5.0)), "more than the vat holds"),
        ((pour(1.0, 20.0, 0.0, 5.0),), "empty"),
    ],
)
def test_impossible_pours_are_refused(pours, words: str):
    with pytest.raises(ValueError, match=words):
        plain_schedule(pours=pours)


def test_a_schedule_needs_time_and_a_vat():
    for change in ({"days": 0.0}, {"vat_l": 0.0}):
        with pytest.raises(ValueError, match="positive"):
            plain_schedule(**change)

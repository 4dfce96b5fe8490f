"""Effects of treatments on made-up trials whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.trials.making import Made, make_trial
from tanwright.errors import InputError
from tanwright.science.trials.comparison import Laid, Looks, compare_grades, compare_measures
from tanwright.science.trials.effects import FEW_POINTS
from tanwright.science.trials.ordinal import STEP, mean_grade


def covered(trials: int, seed: int, **kind: object) -> float:
    rng = np.random.default_rng(seed)
    hits = []
    for number in range(trials):
        made = make_trial(rng, **kind)  # type: ignore[arg-type]
        found = compare_grades(made.laid, made.looks, seed=number, draws=1000)
        against = found.treatment[:, 1:] - found.treatment[:, :1]
        low, high = np.percentile(against, (5, 95), axis=0)
        truth = made.effects[1:] - made.effects[0]
        hits += list((low <= truth) & (truth <= high))
    return float(np.mean(hits))


def test_nine_in_ten_intervals_hold_the_truth_nine_times_in_ten() -> None:
    """86 to 94 % over made-up trials; ``python -m benchmarks.trials`` runs many more."""
    assert 0.86 <= covered(80, seed=11, jars=2) <= 0.94


def made(seed: int = 1, **kind: object) -> Made:
    return make_trial(np.random.default_rng(seed), **kind)  # type: ignore[arg-type]


def test_three_patches_do_not_shout() -> None:
    """A lead that hangs on three patches is drawn in more than one that hangs on thirty."""
    few = Laid(np.repeat([0, 1], 3), 2, np.tile(np.arange(3), 2), np.arange(6))
    many = Laid(np.repeat([0, 1], 30), 2, np.tile(np.arange(30), 2), np.arange(60))
    for laid, times in ((few, 1), (many, 10)):
        grade = np.tile(np.repeat([2, 4], 3), 1) if times == 1 else np.repeat([2, 4], 30)
        look = Looks(np.arange(grade.size), np.zeros(grade.size, dtype=int), grade, 5)
        found = compare_grades(laid, look)
        lead = found.treatment[:, 1] - found.treatment[:, 0]
        if times == 1:
            small = lead.mean()
            assert np.percentile(lead, 5) < 1.0
    assert 0.0 < small < lead.mean()


def test_the_same_seed_gives_the_same_answer() -> None:
    trial = made()
    one = compare_grades(trial.laid, trial.looks, seed=4)
    other = compare_grades(trial.laid, trial.looks, seed=4)
    assert np.array_equal(one.treatment, other.treatment)


def test_severity_of_graders_is_found_and_taken_off() -> None:
    trial = made(3, effects=(0.0, 0.0, 0.0, 0.0), severity=(-1.0, 0.0, 1.0), patches=12)
    found = compare_grades(trial.laid, trial.looks)
    severity = (found.grader - found.grader.mean(axis=1, keepdims=True)).mean(axis=0)
    assert severity[0] < -0.5
    assert severity[2] > 0.5


def test_a_row_beside_the_grades_narrows_the_answer() -> None:
    trial = made(5, effects=(0.0, 1.0, 0.0, -1.0))
    worth = trial.effects[trial.laid.treatment]
    rng = np.random.default_rng(1)
    rows = [
        [[int(p)] for p in np.argsort(-(worth + rng.gumbel(0, 0.4, worth.size)))] for _ in range(2)
    ]
    alone = compare_grades(trial.laid, trial.looks)
    both = compare_grades(trial.laid, trial.looks, rows)

    def doubt(found: np.ndarray) -> float:
        return float((found[:, 1] - found[:, 3]).std())

    assert doubt(both.treatment) < doubt(alone.treatment)
    only = compare_grades(trial.laid, None, rows)
    assert (only.treatment[:, 1] > only.treatment[:, 3]).mean() > 0.95


def test_measures_find_a_difference_in_their_own_unit() -> None:
    rng = np.random.default_rng(6)
    laid = Laid(
        np.repeat(np.arange(3), 12), 3, np.tile(np.arange(6), 6), np.repeat(np.arange(6), 6)
    )
    value = 70.0 + np.array([0.0, 6.0, 0.0])[laid.treatment] + rng.normal(0, 2.0, 36)
    found = compare_measures(laid, np.arange(36), value)
    lead = found.treatment[:, 1] - found.treatment[:, 0]
    assert lead.mean() == pytest.approx(6.0, abs=1.5)
    assert (found.level + found.treatment).mean(axis=0)[1] == pytest.approx(76.0, abs=1.5)


def test_grades_that_never_overlap_stay_finite() -> None:
    laid = Laid(np.repeat([0, 1], 6), 2, np.tile(np.arange(3), 4), np.arange(12))
    look = Looks(np.arange(12), np.zeros(12, dtype=int), np.repeat([1, 5], 6), 5)
    found = compare_grades(laid, look)
    assert found.settled
    assert np.isfinite(found.treatment).all()
    assert (found.treatment[:, 1] > found.treatment[:, 0]).mean() > 0.97
    assert np.percentile(found.treatment[:, 1] - found.treatment[:, 0], 95) < 20.0


def test_all_the_same_grade_says_nothing() -> None:
    laid = Laid(np.repeat([0, 1, 2], 4), 3, np.tile(np.arange(4), 3), np.arange(12))
    look = Looks(np.arange(12), np.zeros(12, dtype=int), np.full(12, 3), 5)
    found = compare_grades(laid, look)
    assert abs((found.treatment[:, 1] > found.treatment[:, 0]).mean() - 0.5) < 0.05
    grade = mean_grade(
        (found.level * found.step[:, None])[:, None, :], found.treatment * found.step[:, None]
    )
    assert np.median(grade) == pytest.approx(3.0, abs=0.1)


def test_nothing_and_nonsense_are_refused() -> None:
    laid = Laid(np.array([0, 1]), 2, np.array([0, 0]), np.array([0, 1]))
    with pytest.raises(InputError, match="nothing was seen"):
        compare_grades(laid, None)
    look = Looks(np.array([0, 1]), np.array([0, 0]), np.array([1, 6]), 5)
    with pytest.raises(InputError, match="outside its scale"):
        compare_grades(laid, look)
    with pytest.raises(InputError, match="three measured"):
        compare_measures(laid, np.array([0]), np.array([1.0]))
    with pytest.raises(InputError, match="all measured figures are the same"):
        compare_measures(laid, np.array([0, 1, 1]), np.array([2.0, 2.0, 2.0]))


def made_rows(rng: np.random.Generator, heaps: int) -> tuple[Made, list[list[list[int]]]]:
    """Three graders lay 24 patches by eyes as sharp as a grade is; truth in log-odds."""
    trial = make_trial(rng, jars=2)
    laid = trial.laid
    worth = STEP * (
        trial.effects[laid.treatment]
        + rng.normal(0, 0.5, 6)[laid.block]
        + rng.normal(0, 0.2, 8)[laid.jar]
        + rng.normal(0, 0.4, 24)
    )
    orders = [np.argsort(-(worth + rng.gumbel(size=24))) for _ in range(3)]
    rows = [[heap.tolist() for heap in np.array_split(order, heaps)] for order in orders]
    return trial, rows


@pytest.mark.parametrize("heaps", [24, 5])
def test_intervals_of_rows_alone_hold_the_truth_too(heaps: int) -> None:
    rng = np.random.default_rng(7)
    hits = []
    for number in range(30):
        trial, rows = made_rows(rng, heaps)
        found = compare_grades(trial.laid, None, rows, seed=number, draws=1000)
        assert found.settled
        against = found.treatment[:, 1:] - found.treatment[:, :1]
        low, high = np.percentile(against, (5, 95), axis=0)
        truth = STEP * (trial.effects[1:] - trial.effects[0])
        hits += list((low <= truth) & (truth <= high))
    assert np.mean(hits) > 0.8


def test_repeated_readings_are_reckoned_with_enough_points() -> None:
    """Seventy-two readings hold the noise so narrowly that few of the first points count."""
    few = 0
    for seed in range(12):
        rng = np.random.default_rng(seed)
        laid = Laid(np.repeat(np.arange(4), 6), 4, np.tile(np.arange(6), 4), np.arange(24) // 3)
        worth = rng.normal(0, 0.8, 4)[laid.treatment] + rng.normal(0, 0.4, 24)
        patch = np.repeat(np.arange(24), 3)
        found = compare_measures(
            laid, patch, worth[patch] + rng.normal(0, 0.3, 72), seed=seed, draws=200
        )
        few += found.points < FEW_POINTS
    assert few == 0

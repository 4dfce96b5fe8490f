"""Chances of a test's results are chances, and updating by them is Bayes's rule."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.belief import class_and_strength as belief

PCT = np.geomspace(0.01, 60.0, 200)


def test_half_of_the_tries_notice_at_the_stated_strength() -> None:
    seen = belief.noticed(np.array([0.05, 1.5, 50.0]), 1.5, 0.6)
    assert seen[1] == pytest.approx(0.5)
    assert seen[0] < 1e-6
    assert seen[2] > 1.0 - 1e-6
    assert np.all(np.diff(belief.noticed(PCT, 1.5, 0.6)) >= 0.0)


def test_the_steps_of_a_graded_test_share_out_all_tries() -> None:
    none = [0.85, 0.12, 0.02, 0.01]
    steps = [belief.grading(PCT, [0.4, 3.0, 9.0], none, k, 0.4, 0.6) for k in range(4)]
    assert np.all(np.array(steps) >= 0.0)
    assert np.sum(steps, axis=0) == pytest.approx(np.ones(PCT.size))
    likeliest = np.argmax(steps, axis=0)
    assert np.all(np.diff(likeliest) >= 0)
    assert set(likeliest) == {0, 1, 2, 3}


def test_naming_falls_back_to_plants_without_tannin() -> None:
    chance = belief.naming(PCT, [0.9, 0.1], 0.3, 1.0, 0.5)
    assert chance.shape == (2, PCT.size)
    assert chance[:, 0] == pytest.approx([0.3, 0.3])
    assert chance[:, -1] == pytest.approx([0.9, 0.1], abs=1e-6)


def test_updating_is_bayes_rule() -> None:
    """Two classes of even chance, shares 0.8 and 0.2: worked by hand, 0.8."""
    joint = np.full((2, 3), 1.0 / 6.0)
    after = belief.updated(joint, np.array([[0.8] * 3, [0.2] * 3]))
    assert after.sum() == pytest.approx(1.0)
    assert after.sum(axis=1) == pytest.approx([0.8, 0.2])
    half = belief.updated(joint, np.array([[0.8] * 3, [0.2] * 3]), trust=0.5)
    assert half.sum(axis=1)[0] == pytest.approx(2.0 / 3.0)
    assert belief.updated(joint, np.ones((2, 3)), 1.0) == pytest.approx(joint)


def test_slips_keep_chances_and_leave_no_result_impossible() -> None:
    chance = np.array([[0.0, 1.0]])
    slipped = belief.with_slips(chance, 4, 0.04)
    assert slipped == pytest.approx(np.array([[0.01, 0.97]]))


def test_percentiles_of_a_flat_grid() -> None:
    pct = np.linspace(0.0, 100.0, 1001)
    assert belief.percentile(pct, np.ones(1001), 0.5) == pytest.approx(50.0)
    assert belief.percentile(pct, np.ones(1001), 0.05) == pytest.approx(5.0, abs=0.1)

"""What a trial cannot say is noticed."""

from __future__ import annotations

import numpy as np

from tanwright.science.trials import diagnostics as d


def test_one_jar_for_a_treatment_is_noticed() -> None:
    treatment = np.array([0, 0, 1, 1, 2, 2])
    assert d.in_one_jar(treatment, np.array([0, 0, 1, 2, 3, 3]), 3) == (0, 2)
    assert d.mixed_jars(treatment, np.array([0, 0, 0, 2, 3, 3])) == (0,)


def test_blocks_that_never_meet_are_noticed() -> None:
    treatment = np.array([0, 1, 0, 1, 2, 3])
    assert d.apart_in_blocks(treatment, np.array([0, 0, 1, 1, 2, 2]), 4) == ((0, 1), (2, 3))
    assert d.apart_in_blocks(treatment, np.array([0, 0, 1, 1, 1, 1]), 4) == ((0, 1, 2, 3),)


def test_a_grader_who_gives_all_the_same_is_noticed() -> None:
    grader = np.array([0, 0, 0, 1, 1, 1, 2, 2])
    assert d.flat_graders(grader, np.array([3, 3, 3, 1, 2, 3, 4, 4])) == (0,)


def test_grades_that_never_overlap_are_noticed() -> None:
    treatment = np.array([0, 0, 1, 1, 2])
    assert d.never_overlapping(treatment, np.array([1.0, 2, 3, 4, 5]), 3) == ((0, 1),)
    assert d.never_overlapping(treatment, np.array([1.0, 3, 3, 4, 5]), 3) == ()


def test_few_patches_and_graders_who_saw_a_part() -> None:
    treatment = np.array([0, 0, 0, 1, 1])
    assert d.thin_treatments(treatment, 3) == (1, 2)
    assert d.unlike_share(np.array([0, 0, 0, 0, 1]), np.array([0, 1, 0, 1, 1]), 2) == (1,)

"""Rows of pieces: the model against brute force and print, ties, and agreement of graders."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from choix.opt import Top1Fcts
from scipy.stats import friedmanchisquare, rankdata

from tanwright.errors import InputError
from tanwright.science.trials.ranks import Rows, agreement, choices, mid_ranks, plackett_luce
from tanwright.science.values import Floats

TEAMS = ("Baltimore", "Boston", "Cleveland", "Detroit", "Milwaukee", "New York", "Toronto")
ORDER = ("Milwaukee", "Detroit", "Toronto", "New York", "Boston", "Cleveland", "Baltimore")
GAMES = """
4-3 4-2 4-3 6-1 4-2 6-0  3-3 4-2 4-3 6-0 6-1 4-3  2-5 4-3 2-4 4-3 4-2 6-0  3-3 5-1 2-5 4-3 4-2 6-1
5-1 2-5 3-3 4-2 5-2 6-0  2-5 3-3 3-4 4-3 4-2 2-4  2-5 1-5 1-6 2-4 1-6 3-4
"""
"""Won and lost at home, by the home team and then the other, both in ``ORDER``."""


def baseball() -> list[list[int]]:
    """Games of the American League East 1987 (Agresti, Categorical Data Analysis, 2002, p. 438)."""
    games = iter(GAMES.split())
    rows: list[list[int]] = []
    for home in ORDER:
        for away in ORDER:
            if home == away:
                continue
            won, lost = (int(part) for part in next(games).split("-"))
            one, other = TEAMS.index(home), TEAMS.index(away)
            rows += [[one, other]] * won + [[other, one]] * lost
    return rows


def test_worths_of_pairs_as_agresti_prints_them() -> None:
    """Table 10.11, against Baltimore: 0.68, 1.11, 1.25, 1.29, 1.44, 1.58."""
    worth = plackett_luce(7, baseball())
    above = np.sort(worth - worth[0])
    assert above.round(2).tolist() == [0.0, 0.68, 1.11, 1.25, 1.29, 1.44, 1.58]


def brute_chance(worth: Floats, row: tuple[int, ...]) -> float:
    chance, left = 1.0, list(row)
    while left:
        chance *= np.exp(worth[left[0]]) / np.exp(worth[left]).sum()
        left.pop(0)
    return float(chance)


def test_chances_of_all_orders_are_those_of_choosing_one_by_one() -> None:
    worth = np.array([0.3, -0.7, 1.1, 0.0])
    total = 0.0
    for order in permutations(range(4)):
        rows = Rows((tuple((piece,) for piece in order),), np.eye(4))
        value, _, _ = rows.parts(worth, np.array([]))
        assert np.exp(value) == pytest.approx(brute_chance(worth, order))
        total += np.exp(value)
    assert total == pytest.approx(1.0)


def test_slopes_and_bends_with_local_effects() -> None:
    rng = np.random.default_rng(1)
    rows = Rows((((0,), (1, 2), (3,)), ((3, 1), (0,), (2,))), rng.normal(size=(4, 2)))
    at = rng.normal(size=6)
    _, slope, bend = rows.parts(at, np.array([]))
    whole = np.block([[bend.core, bend.cross], [bend.cross.T, bend.local]])
    for i in range(6):
        step = np.eye(6)[i] * 1e-5
        one, slope_one, _ = rows.parts(at + step, np.array([]))
        other, slope_other, _ = rows.parts(at - step, np.array([]))
        assert slope[i] == pytest.approx((one - other) / 2e-5, abs=1e-6)
        assert whole[i] == pytest.approx(-(slope_one - slope_other) / 2e-5, abs=1e-5)


def test_the_likelihood_is_that_of_choix() -> None:
    rng = np.random.default_rng(7)
    orders = [tuple(int(i) for i in rng.permutation(9)[:6]) for _ in range(4)]
    worth = rng.normal(size=9)
    theirs = Top1Fcts.from_rankings(orders, 0.0)
    ours = Rows(tuple(tuple((piece,) for piece in order) for order in orders), np.eye(9))
    value, slope, bend = ours.parts(worth, np.array([]))
    assert value == pytest.approx(-theirs.objective(worth))
    assert slope == pytest.approx(-theirs.gradient(worth))
    assert bend.core == pytest.approx(theirs.hessian(worth))


def test_heaps_say_nothing_among_themselves() -> None:
    assert choices([[2], [0, 1], [3]]) == [(2, (0, 1, 3)), (0, (3,)), (1, (3,))]
    swapped = Rows((((0, 1), (2,)),), np.eye(3)), Rows((((1, 0), (2,)),), np.eye(3))
    at = np.array([0.4, -0.2, 0.1])
    assert swapped[0].parts(at, np.array([]))[0] == pytest.approx(
        swapped[1].parts(at, np.array([]))[0]
    )
    with pytest.raises(InputError, match="twice"):
        choices([[0], [0, 1]])


def test_worths_that_run_away_are_refused() -> None:
    with pytest.raises(InputError, match="always lay before"):
        plackett_luce(3, [[0, 1, 2], [0, 1, 2]])


def test_places_are_shared_within_a_heap() -> None:
    places = mid_ranks([[2], [0, 1]], 4)
    assert places[:3].tolist() == [2.5, 2.5, 1.0]
    assert np.isnan(places[3])


def test_agreement_is_friedmans_statistic_scaled() -> None:
    """W = chi-square / (m (n - 1)), with ties too (scipy's own correction)."""
    rng = np.random.default_rng(2)
    grades = rng.integers(1, 6, (4, 9))
    places = np.stack([rankdata(row) for row in grades])
    chi = friedmanchisquare(*grades.T).statistic
    assert agreement(places) == pytest.approx(chi / (4 * 8))


def test_agreement_at_its_ends() -> None:
    same = np.tile(np.arange(1.0, 6.0), (3, 1))
    assert agreement(same) == pytest.approx(1.0)
    opposite = np.stack([np.arange(1.0, 6.0), np.arange(5.0, 0.0, -1.0)])
    assert agreement(opposite) == pytest.approx(0.0)
    assert np.isnan(agreement(np.ones((3, 4))))
    assert np.isnan(agreement(same[:1]))


def test_pieces_far_behind_all_others_still_count() -> None:
    """Worths so far apart that exp() of their distance is nought in floating point."""
    model = Rows(((((0,), (1,), (2,)),)[0],), np.eye(3))
    value, slope, bend = model.parts(np.array([900.0, 0.0, -1.0]), np.array([]))
    assert value == pytest.approx(-np.log1p(np.exp(-1.0)))
    assert np.isfinite(slope).all()
    assert bend.core[1, 1] == pytest.approx(np.exp(-1.0) / (1.0 + np.exp(-1.0)) ** 2)

"""Mixture designs against the handbook's tables and against theory."""

from __future__ import annotations

from itertools import combinations
from math import comb

import numpy as np
import pytest

from tanwright.errors import InputError
from tanwright.science.trials import mixtures as mx

# The {3,2} lattice and the three-component centroid as the NIST/SEMATECH e-Handbook of Statistical
# Methods prints them (5.5.4.2 and 5.5.4.3), and the count (q+m-1)!/(m!(q-1)!) of the same pages.
LATTICE_3_2 = {
    (1, 0, 0), (0, 1, 0), (0, 0, 1), (0.5, 0.5, 0), (0.5, 0, 0.5), (0, 0.5, 0.5),
}  # fmt: skip


def points(shares: np.ndarray) -> set[tuple[float, ...]]:
    return {tuple(float(x) for x in row) for row in shares.round(6)}


def test_the_lattice_of_three_by_halves() -> None:
    assert points(mx.lattice(3, 2)) == LATTICE_3_2


def test_the_centroid_adds_the_even_blend() -> None:
    even = round(1 / 3, 6)
    assert points(mx.centroid(3)) == LATTICE_3_2 | {(even, even, even)}


@pytest.mark.parametrize("materials", [2, 3, 4, 5])
@pytest.mark.parametrize("degree", [1, 2, 3, 4])
def test_a_lattice_has_as_many_points_as_the_handbook_counts(materials: int, degree: int) -> None:
    found = mx.lattice(materials, degree)
    assert len(points(found)) == len(found) == comb(materials + degree - 1, degree)
    assert np.allclose(found.sum(axis=1), 1.0)
    assert np.allclose(found * degree, np.rint(found * degree))


@pytest.mark.parametrize("materials", [2, 3, 4])
def test_the_half_lattice_is_best_for_the_quadratic(materials: int) -> None:
    """Kiefer (1961): the {q,2} lattice is D-optimal for the quadratic mixture polynomial."""
    need = mx.enough_for(materials, 2)
    found = mx.choose(materials, need, degree=4)
    assert points(found.shares) == points(mx.lattice(materials, 2))
    assert found.efficiency == pytest.approx(1.0)


def test_no_random_design_beats_the_chosen_one() -> None:
    rng = np.random.default_rng(4)
    found = mx.choose(3, 8, upper=[1.0, 0.4, 0.7])
    best = mx.d_value(found.shares, 2)
    assert np.all(found.shares <= np.array([1.0, 0.4, 0.7]) + 1e-9)
    every = mx.lattice(3, 12)
    allowed = every[np.all(every <= np.array([1.0, 0.4, 0.7]) + 1e-9, axis=1)]
    for _ in range(300):
        other = allowed[rng.choice(len(allowed), 8, replace=False)]
        assert mx.d_value(other, 2) <= best * 1.02


def test_the_quadratic_without_the_last_share_is_the_same_surface() -> None:
    shares = mx.lattice(3, 5)
    x, y = shares[:, 0], shares[:, 1]
    plain = np.stack([np.ones_like(x), x, y, x * x, y * y, x * y], axis=1)
    both = np.concatenate([plain, mx.canonical(shares, 2)], axis=1)
    assert np.linalg.matrix_rank(plain) == np.linalg.matrix_rank(both) == 6


def test_the_stock_is_not_overdrawn() -> None:
    found = mx.within_stock(3, 7, [None, 0.5, 2.0], 0.2)
    used = found.shares.sum(axis=0) * 0.2
    assert used[1] <= 0.45 + 1e-9
    assert 0.5 < found.efficiency < 1.0


def test_a_stock_that_is_too_small_is_told() -> None:
    with pytest.raises(InputError, match="too small|too close"):
        mx.within_stock(3, 7, [1.0, 0.01, 1.0], 0.5)
    with pytest.raises(InputError, match="cannot bear"):
        mx.choose(3, 4)
    with pytest.raises(InputError, match="no blend"):
        mx.lattice(9, 2)


@pytest.mark.parametrize("upper", [(1.0, 0.5, 0.5), (1.0, 1.0, 0.3), (0.8, 0.6, 0.5)])
def test_the_exchange_finds_the_best_of_all_sets_of_blends(upper: tuple[float, ...]) -> None:
    """Against every set of six blends of the candidates, one by one."""
    found = mx.choose(3, 6, upper=list(upper), degree=4)
    every = np.concatenate(
        [mx.lattice(3, 4), mx.centroid(3), mx._corners(np.zeros(3), np.array(upper))]
    )
    every = np.unique(every[np.all(every <= np.array(upper) + 1e-9, axis=1)].round(12), axis=0)
    terms = mx.canonical(every, 2)
    sets = np.array(list(combinations(range(len(every)), 6)))
    best = np.abs(np.linalg.det(terms[sets])).max() ** (2 / 6) / 6
    assert mx.d_value(found.shares, 2) == pytest.approx(best, rel=1e-6)


def test_a_special_cubic_is_borne_within_limits() -> None:
    found = mx.choose(3, 7, order=3, upper=[1.0, 1.0, 0.5])
    assert mx.d_value(found.shares, 3) > 0.0
    assert found.shares[:, 2].max() <= 0.5 + 1e-9

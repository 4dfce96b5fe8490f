"""Surfaces over blends against a textbook, and what is chosen from them.

Yarn elongation, Cornell (Experiments with Mixtures), as printed in the NIST/SEMATECH e-Handbook,
section 5.5.4.2: coefficients 11.7, 9.4, 16.4, 19.0, 11.4, -9.6. The readings are from memory; they
give back the printed coefficients to the last digit.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science.trials.blends import (
    Wish,
    choose,
    desirability,
    expand,
    fit_polynomial,
    lattice,
    overall,
    terms,
    within_limits,
)

YARN = {
    (1.0, 0.0, 0.0): (11.0, 12.4),
    (0.5, 0.5, 0.0): (15.0, 14.8, 16.1),
    (0.0, 1.0, 0.0): (8.8, 10.0),
    (0.0, 0.5, 0.5): (10.0, 9.7, 11.8),
    (0.0, 0.0, 1.0): (16.8, 16.0),
    (0.5, 0.0, 0.5): (17.7, 16.4, 16.6),
}


def yarn() -> tuple[np.ndarray, np.ndarray]:
    rows = [(x, y) for x, values in YARN.items() for y in values]
    return np.array([x for x, _ in rows]), np.array([y for _, y in rows])


def test_yarn_elongation_as_the_handbook_prints_it() -> None:
    found = fit_polynomial(*yarn(), "quadratic")
    order = [found.products.index(p) for p in ((0,), (1,), (2,), (0, 1), (0, 2), (1, 2))]
    assert found.coefficients[order] == pytest.approx([11.7, 9.4, 16.4, 19.0, 11.4, -9.6], abs=0.05)
    assert found.at(np.array([[0.5, 0.5, 0.0]]))[0] == pytest.approx(15.3, abs=1e-9)


def test_a_surface_needs_enough_blends() -> None:
    x, y = yarn()
    with pytest.raises(InputError, match="too few different blends"):
        fit_polynomial(x[:5], y[:5], "quadratic")
    with pytest.raises(InputError, match="too few different blends"):
        fit_polynomial(x, y, "special cubic")


@given(st.integers(2, 5), st.integers(1, 8))
def test_lattice_holds_every_blend_once(materials: int, parts: int) -> None:
    from math import comb

    found = lattice(materials, parts)
    assert found.shape == (comb(parts + materials - 1, materials - 1), materials)
    assert np.allclose(found.sum(axis=1), 1.0)
    assert found.min() >= 0.0
    assert np.unique(found.round(9), axis=0).shape == found.shape


def test_products_of_a_special_cubic() -> None:
    assert terms(3, "special cubic") == ((0,), (1,), (2,), (0, 1), (0, 2), (1, 2), (0, 1, 2))
    assert terms(2, "special cubic") == ((0,), (1,), (0, 1))
    third = np.full((1, 3), 1.0 / 3.0)
    assert expand(third, terms(3, "special cubic"))[0, -1] == pytest.approx(1.0 / 27.0)
    with pytest.raises(InputError, match="sum to 1"):
        expand(np.array([[0.5, 0.6]]), terms(2, "linear"))
    with pytest.raises(InputError, match="cannot be drawn"):
        terms(7, "linear")


def test_limits_keep_blends_inside() -> None:
    found = within_limits(lattice(3, 10), np.array([0.2, 0.0, 0.0]), np.array([1.0, 0.3, 1.0]))
    assert found[:, 0].min() >= 0.2
    assert found[:, 1].max() <= 0.3 + 1e-9
    with pytest.raises(InputError, match="no blend fits"):
        within_limits(lattice(2, 10), np.array([0.8, 0.8]), np.ones(2))


def test_desirability_rises_falls_and_hits() -> None:
    values = np.array([1.0, 2.0, 3.0, 4.0, 5.0])
    assert desirability(values, Wish(1, 5)).tolist() == [0, 0.25, 0.5, 0.75, 1]
    assert desirability(values, Wish(5, 1)).tolist() == [1, 0.75, 0.5, 0.25, 0]
    assert desirability(values, Wish(1, 3, 5)).tolist() == [0, 0.5, 1, 0.5, 0]
    with pytest.raises(InputError):
        desirability(values, Wish(2, 2))


def test_one_useless_quality_makes_a_blend_useless() -> None:
    both = overall([np.array([1.0, 0.25]), np.array([0.0, 1.0])])
    assert both.tolist() == [0.0, 0.5]


def test_the_next_trial_goes_where_it_may_gain_most() -> None:
    rng = np.random.default_rng(1)
    known, doubtful, hopeless = 0.6, rng.normal(0.5, 0.3, 4000), 0.1
    desired = np.column_stack([np.full(4000, known), doubtful, np.full(4000, hopeless)])
    found = choose(desired)
    assert (found.best, found.next) == (0, 1)
    # E max(N(0.5, 0.3) - 0.6, 0): 0.3 (phi(z) - z (1 - Phi(z))) at z = 1/3
    assert found.gain[1] == pytest.approx(0.0768, abs=0.006)
    assert found.chance_best.sum() == pytest.approx(1.0)
    assert choose(desired, np.array([True, True, True])).next is None

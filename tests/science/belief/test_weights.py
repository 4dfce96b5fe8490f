"""Weights: effective number, tempering, the Pareto tail, systematic resampling, clouds."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal, multivariate_t

from tanwright.science.belief.proposal import Cloud, fit, log_mixture, standard
from tanwright.science.belief.weights import effective, normalised, resample, smoothed, tempered


def test_equal_weights_are_worth_all_worlds() -> None:
    assert effective(normalised(np.full(50, -700.0))) == pytest.approx(50.0)


def test_one_heavy_weight_is_worth_one_world() -> None:
    assert effective(normalised(np.array([0.0, -800.0, -900.0]))) == pytest.approx(1.0)


def test_all_zero_weights_are_refused() -> None:
    with pytest.raises(ValueError, match="zero"):
        normalised(np.full(3, -np.inf))


def test_tempering_leaves_the_wanted_number() -> None:
    log_weights = -0.5 * (np.random.default_rng(0).standard_normal(2000) * 40.0) ** 2
    assert effective(normalised(log_weights)) < 150.0
    assert effective(tempered(log_weights, 300.0)) == pytest.approx(300.0, rel=0.01)


@pytest.mark.parametrize("shape", [0.2, 0.5, 0.9])
def test_the_tail_of_pareto_weights_is_recognised(shape: float) -> None:
    """Raw weights with a generalised Pareto tail of known shape, mean over repeats."""
    found = []
    for seed in range(20):
        uniform = np.random.default_rng(seed).random(4000)
        raw = np.expm1(-shape * np.log(uniform)) / shape + 1e-6
        found.append(smoothed(np.log(raw))[1])
    assert np.mean(found) == pytest.approx(shape, abs=0.1)


def test_smoothing_keeps_the_order_and_the_sum() -> None:
    log_weights = 2.0 * np.random.default_rng(1).standard_normal(1000)
    weights, _ = smoothed(log_weights)
    assert weights.sum() == pytest.approx(1.0)
    assert np.all(np.diff(weights[np.argsort(log_weights)]) >= -1e-15)
    assert effective(weights) >= 0.9 * effective(normalised(log_weights))


def test_equal_weights_stay_as_they_are() -> None:
    weights, shape = smoothed(np.zeros(400))
    assert np.allclose(weights, 1.0 / 400.0)
    assert shape == 0.0


def test_systematic_resampling_gives_each_world_its_share_to_within_one() -> None:
    weights = normalised(np.random.default_rng(2).standard_normal(300))
    times = np.bincount(resample(weights, 1000, np.random.default_rng(3)), minlength=300)
    assert np.all(np.abs(times - 1000.0 * weights) <= 1.0 + 1e-9)


@pytest.mark.parametrize("dof", [5.0, np.inf])
def test_density_of_a_cloud_is_that_of_scipy(dof: float) -> None:
    rng = np.random.default_rng(4)
    root = np.tril(rng.normal(size=(3, 3))) + 2.0 * np.eye(3)
    mean, z = rng.normal(size=3), rng.normal(size=(6, 3))
    cloud = Cloud(mean, root, dof)
    shape = root @ root.T
    if np.isinf(dof):
        expected = multivariate_normal(mean, shape).logpdf(z)
    else:
        expected = multivariate_t(mean, shape, df=dof).logpdf(z)
    assert np.allclose(cloud.log_density(z), expected)
    draws = cloud.draw(40000, rng)
    assert np.allclose(draws.mean(axis=0), mean, atol=0.1)


def test_a_fit_recovers_the_weighted_moments() -> None:
    rng = np.random.default_rng(5)
    z = rng.standard_normal((20000, 2))
    weights = normalised(z[:, 0] - 0.5)
    cloud = fit(z, weights, dof=np.inf)
    assert np.allclose(cloud.mean, [1.0, 0.0], atol=0.06)
    assert np.allclose(cloud.root @ cloud.root.T, np.eye(2), atol=0.08)


def test_the_mixture_is_the_mean_density() -> None:
    z = np.random.default_rng(6).standard_normal((10, 2))
    one, other = standard(2), Cloud(np.ones(2), 2.0 * np.eye(2), 6.0)
    expected = np.log(0.25 * np.exp(one.log_density(z)) + 0.75 * np.exp(other.log_density(z)))
    assert np.allclose(log_mixture(z, [one, other], [100, 300]), expected)

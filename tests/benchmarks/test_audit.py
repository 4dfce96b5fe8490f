"""Updating held against an exact sampler and against simulated truths, with controls that fail."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from benchmarks.skill.audit import agreement, coverage, exact_sample
from tanwright.science.belief.evidence import Evidence, Reading
from tanwright.science.belief.noise import AmountNoise
from tanwright.science.belief.smoother import smooth
from tanwright.science.belief.unknowns import Floats
from tanwright.science.belief.updating import Effort, update
from tests.science.belief.front_model import (
    FEW,
    TEN,
    THREE,
    Looking,
    draw_prior,
    honest_readings,
    targets,
)

QUICK = Effort(smoother_members=300, round_members=600, enough=250)
"""Less work per update than a forecast does, so that a hundred of them are quick."""

CASES = [(FEW, 100), (THREE, 101), (TEN, 102), (TEN, 103), (THREE, 104)]


@pytest.mark.parametrize(("plan", "seed"), CASES)
def test_agrees_with_emcee(plan: Looking, seed: int) -> None:
    """Five synthetic cases: medians within 0.25 sd, sds within 25 %, unknowns and targets."""
    rng = np.random.default_rng(seed)
    _, readings = honest_readings(plan, rng)
    posterior = update(draw_prior(1000, rng), plan, readings, rng)
    _, first = np.unique(posterior.z[:, 0], return_index=True)
    exact = exact_sample(plan, readings, posterior.z[first[:64]], rng, steps=1000, burn=250)
    thinned = exact[:: exact.shape[0] // 4000]
    for ours, theirs in ((posterior.z, exact), (targets(posterior.z), targets(thinned))):
        found = agreement(ours, theirs)
        assert np.all(np.abs(found.median_shift) < 0.25)
        assert np.all(np.abs(found.sd_ratio - 1.0) < 0.25)


def test_the_exact_sampler_is_exact_on_a_linear_case() -> None:
    noise = AmountNoise("amount", "g/L", sd=0.2, outlier_share=1e-12)
    slopes = np.array([[0.6], [0.3], [0.0]])
    rng = np.random.default_rng(0)
    reading = [Reading(noise, 2.0)]
    chain = exact_sample(
        lambda z: np.exp(z @ slopes), reading, rng.standard_normal((32, 3)), rng, steps=1500
    )
    covariance = np.linalg.inv(np.eye(3) + slopes @ slopes.T / 0.04)
    mean = covariance @ slopes[:, 0] * np.log(2.0) / 0.04
    assert np.allclose(chain.mean(axis=0), mean, atol=0.08)
    assert np.allclose(chain.std(axis=0), np.sqrt(np.diag(covariance)), rtol=0.08)


def bent(z: Floats) -> Floats:
    """A sum of two unknown shares: many pairs give the same strength."""
    return (np.exp(1.5 * z[:, :1]) + np.exp(1.5 * z[:, 1:2])) * np.ones((1, 1))


def test_the_linear_stage_alone_fails_where_the_whole_method_holds() -> None:
    """Negative control: ES-MDA without importance weights misses a strongly bent posterior."""
    reading = [Reading(AmountNoise("amount", "g/L", sd=0.05, outlier_share=1e-12), 0.5)]
    rng = np.random.default_rng(1)
    z = rng.standard_normal((1000, 3))
    whole = update(z, bent, reading, rng)
    _, first = np.unique(whole.z[:, 2], return_index=True)
    exact = exact_sample(bent, reading, whole.z[first[:64]], rng, steps=3000, burn=500)
    evidence = Evidence(reading)
    observed, sds = evidence.data()
    moved = smooth(
        z,
        evidence.transformed(bent(z)),
        lambda x: evidence.transformed(bent(x)),
        observed,
        sds,
        rng,
        steps=3,
    )
    names = slice(0, 2)

    def worst(ours: Floats) -> float:
        found = agreement(ours[:, names], exact[:, names])
        return float(max(np.abs(found.median_shift).max(), np.abs(found.sd_ratio - 1.0).max()))

    assert worst(whole.z) < 0.25
    assert worst(moved) > 0.25


def test_ninety_percent_intervals_hold_the_truth_nine_times_in_ten() -> None:
    """100 truths from the prior; the Monte Carlo sd of the coverage is 3 %."""
    found = coverage(
        draw_prior,
        TEN,
        TEN.readings(np.zeros(len(TEN.plan))),
        targets,
        np.random.default_rng(17),
        cases=100,
        members=600,
        effort=QUICK,
    )
    assert found.refused == 0
    assert np.all(found.inside(0.90) > 0.82)
    assert np.all(found.inside(0.90) < 0.98)
    assert np.all(found.inside(0.50) > 0.37)
    assert np.all(found.inside(0.50) < 0.63)
    assert np.all(found.uniformity() > 1e-3)


def scatter_times(factor: float, noise: AmountNoise) -> AmountNoise:
    """The same kind with its scatter multiplied and nothing shared."""
    sd, at_zero = factor * noise.sd, factor * noise.sd_at_zero
    return replace(noise, sd=sd, sd_at_zero=at_zero, shared_sd=0.0)


def test_a_wrong_noise_is_found_by_the_coverage() -> None:
    """Negative control: told a fifth of the true scatter, the intervals miss far too often."""
    blank = THREE.readings(np.zeros(3))
    boasted = [
        replace(r, noise=scatter_times(0.2, r.noise))
        if isinstance(r.noise, AmountNoise)
        else replace(r, noise=replace(r.noise, middle_sd=0.016, end_sd=0.003))
        for r in blank
    ]
    found = coverage(
        draw_prior,
        THREE,
        blank,
        THREE,
        np.random.default_rng(18),
        cases=40,
        members=400,
        believed=boasted,
        effort=QUICK,
    )
    assert np.min(found.inside(0.90)) < 0.75

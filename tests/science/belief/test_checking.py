"""Readings that cannot be right are told; merely surprising ones are kept."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtri

from tanwright.science.belief.checking import check_reading, strangers
from tanwright.science.belief.kinds import CUT, HYDROMETER, LOOKS
from tanwright.science.belief.noise import AmountNoise
from tanwright.science.belief.smoother import careful_sds

STRENGTHS = np.exp(np.random.default_rng(0).normal(np.log(12.0), 0.25, 1000))


@pytest.mark.parametrize(
    ("observed", "verdict"),
    [(12.0, "ok"), (16.0, "ok"), (27.0, "odd"), (120.0, "set-aside"), (1.2, "set-aside")],
)
def test_verdicts_on_a_strength(observed: float, verdict: str) -> None:
    check = check_reading(HYDROMETER, observed, STRENGTHS, label="day 3")
    assert check.verdict == verdict
    assert check.label == "day 3"
    assert check.expected.p05 < 12.0 < check.expected.p95


def test_a_wide_belief_takes_a_reading_that_a_narrow_one_sets_aside() -> None:
    wide = np.exp(np.random.default_rng(1).normal(np.log(12.0), 1.2, 1000))
    assert check_reading(HYDROMETER, 60.0, STRENGTHS).verdict == "set-aside"
    assert check_reading(HYDROMETER, 60.0, wide).verdict == "ok"


def test_tail_probabilities_of_honest_readings_are_uniform() -> None:
    """Readings drawn from the same worlds are odd about as often as the threshold says."""
    rng = np.random.default_rng(2)
    observed = HYDROMETER.draw(STRENGTHS[:400], rng, honest=True)
    tails = [check_reading(HYDROMETER, float(y), STRENGTHS).tail_probability for y in observed]
    assert np.mean(tails) == pytest.approx(0.5, abs=0.05)
    assert np.mean(np.array(tails) < 0.1) == pytest.approx(0.1, abs=0.04)


def test_expected_readings_are_the_mixture_over_the_worlds() -> None:
    """Log-normal worlds and a log-normal error: the sum's own percentiles; the same every time."""
    noise = AmountNoise("amount", "g/L", sd=0.3, outlier_share=1e-12)
    z = ndtri((np.arange(2000) + 0.5) / 2000)
    found = check_reading(noise, 12.0, 12.0 * np.exp(0.4 * z)).expected
    exact = 12.0 * np.exp(np.hypot(0.3, 0.4) * ndtri([0.05, 0.5, 0.95]))
    assert [found.p05, found.p50, found.p95] == pytest.approx(exact, rel=0.01)
    alone = check_reading(noise, 12.0, np.full(3, 12.0)).expected
    assert alone.p95 == pytest.approx(12.0 * np.exp(0.3 * 1.6449), rel=0.01)


def test_cut_and_look() -> None:
    shares = np.clip(np.random.default_rng(3).normal(0.3, 0.05, 500), 0.0, 1.0)
    assert check_reading(CUT, 0.35, shares).verdict == "ok"
    assert check_reading(CUT, 1.0, shares).verdict == "set-aside"
    assert check_reading(LOOKS.alone(), 1.0, STRENGTHS).verdict == "ok"
    pale = np.full(500, 1.5)
    assert check_reading(LOOKS.alone(), 4.0, pale).verdict == "set-aside"


def test_weights_choose_the_worlds_that_count() -> None:
    weights = np.where(STRENGTHS > 15.0, 1.0, 0.0)
    weights /= weights.sum()
    assert check_reading(HYDROMETER, 8.0, STRENGTHS).verdict == "ok"
    assert check_reading(HYDROMETER, 8.0, STRENGTHS, weights=weights).verdict == "odd"


def test_the_reading_that_the_others_contradict_stands_out() -> None:
    rng = np.random.default_rng(4)
    common = rng.normal(0.0, 1.0, (2000, 1))
    transformed = common + 0.05 * rng.normal(size=(2000, 4))
    observed = np.array([0.5, 0.45, 2.5, 0.52])
    sds = np.full(4, 0.1)
    distance = np.abs(strangers(transformed, observed, sds))
    assert int(np.argmax(distance)) == 2
    assert distance[2] > 10.0
    wider = careful_sds(transformed, observed, sds)
    assert wider[2] > 0.3
    assert np.allclose(np.delete(wider, 2), 0.1)

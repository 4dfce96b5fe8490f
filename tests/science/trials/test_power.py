"""Simulated power: against the closed formula where there is one, and by how it must behave."""

from __future__ import annotations

import time

import numpy as np
import pytest
from scipy.stats import nct, t

from tanwright.errors import InputError
from tanwright.science.trials import mixtures, power
from tanwright.science.trials.allotment import allot, spread_over


def layout(
    treatments: int, blocks: int, jars: int = 1, graders: int = 1, steps: int = 5
) -> power.Layout:
    rng = np.random.default_rng(1)
    found = allot(np.repeat(np.arange(blocks), treatments), treatments, rng)
    jar = found.treatment * jars + spread_over(jars, found.treatment, found.block, rng)
    return power.Layout(found.treatment, found.block, jar, graders, steps)


def chance(of: power.Layout, **given: float) -> power.Power:
    weights = power.pair(int(of.treatment.max()) + 1)
    return power.simulate(of, weights, np.random.default_rng(7), trials=6000, **given)  # type: ignore[arg-type]


def test_plain_noise_gives_the_power_of_the_t_test() -> None:
    """Noncentral t of a complete block design; a fine scale, so that steps do not round."""
    sd, blocks, treatments = 3.0, 6, 4
    fine = layout(treatments, blocks, steps=1001)
    still = (1e-6, 1.0001e-6)
    noise = power.Noise(still, still, (sd, sd * 1.0001), still, still)
    found = power.simulate(
        fine, power.pair(treatments), np.random.default_rng(2), difference=5.0, noise=noise,
        reading=power.Reading(1e6, 0.0), trials=20_000,
    )  # fmt: skip
    free = (blocks - 1) * (treatments - 1)
    # A third of a step squared over four is what rounding to whole steps adds.
    off = 5.0 / np.sqrt(2.0 * (sd**2 + 1.0 / 12.0) / blocks)
    told = 1.0 - nct.cdf(t.ppf(power.APART, free), free, off)
    assert found.chance == pytest.approx(told, abs=0.012)


def test_no_difference_is_rarely_called_one() -> None:
    for of in (layout(4, 4), layout(4, 4, jars=2), layout(3, 8, graders=3)):
        found = chance(of, difference=0.0)
        assert 0.01 < found.chance + found.wrong < 0.10


def test_more_patches_graders_and_jars_help() -> None:
    few, many = chance(layout(4, 3)), chance(layout(4, 8))
    assert many.chance > few.chance + 0.15
    assert many.half_width < few.half_width
    assert chance(layout(4, 6, graders=3)).chance > chance(layout(4, 6)).chance
    assert chance(layout(4, 6, jars=2)).chance > chance(layout(4, 6)).chance


def test_a_larger_difference_is_told_more_often() -> None:
    found = [chance(layout(3, 4), difference=size).chance for size in (0.5, 1.0, 2.0)]
    assert found == sorted(found)


def test_the_slope_of_a_line_is_its_rise() -> None:
    x = np.log([0.5, 1.0, 2.0, 4.0])
    assert power.slope(x) @ (3.0 * x + 1.0) == pytest.approx(3.0 * np.log(8.0))


def test_a_blend_is_told_through_its_surface() -> None:
    shares = mixtures.centroid(2)
    of = layout(3, 6, graders=2)
    found = power.simulate(
        of, np.array([1.0, -1.0, 0.0]), np.random.default_rng(1),
        basis=mixtures.canonical(shares, 2),
    )  # fmt: skip
    assert 0.3 < found.chance < 0.95


def test_the_same_seed_says_the_same_and_in_a_second() -> None:
    of = layout(6, 10, graders=3)
    begun = time.perf_counter()
    assert chance(of) == chance(of)
    assert time.perf_counter() - begun < 5.0


def test_blocks_of_one_cannot_compare() -> None:
    apart = power.Layout(np.array([0, 1, 0, 1]), np.arange(4), np.array([0, 1, 0, 1]))
    with pytest.raises(InputError, match="cannot compare"):
        chance(apart)

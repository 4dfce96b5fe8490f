"""Noise of readings: densities sum to one, draws follow them, ends are censored, slips are weak."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from tanwright.errors import InputError
from tanwright.science.belief import kinds
from tanwright.science.belief.noise import AmountNoise, CutNoise, LooksNoise, log_density

AMOUNTS = (
    kinds.HYDROMETER,
    kinds.REFRACTOMETER,
    kinds.LITRE_WEIGHT,
    kinds.TOTAL_SOLIDS,
    kinds.PELT_WEIGHT,
    kinds.LEATHER_WEIGHT,
    kinds.STRIKE_DAYS,
)
CUTS = (kinds.CUT, kinds.CUT_IN_WORDS)


@pytest.mark.parametrize("noise", AMOUNTS, ids=lambda n: n.name)
def test_density_of_an_amount_integrates_to_one_on_its_own_scale(noise: AmountNoise) -> None:
    middle = float(noise.transform(12.0))

    def density(t: float) -> float:
        return float(noise.density(np.exp(t) - noise.offset, np.array([12.0]))[0])

    inner, _ = quad(density, middle - 1.0, middle + 1.0, points=[middle], limit=200)
    lower, _ = quad(density, middle - 40.0, middle - 1.0, limit=200)
    upper, _ = quad(density, middle + 1.0, middle + 40.0, limit=200)
    assert inner + lower + upper == pytest.approx(1.0, abs=2e-3)


@pytest.mark.parametrize(
    ("noise", "strength", "low", "high"),
    [
        (kinds.HYDROMETER, 0.0, 0.5, 1.0),
        (kinds.HYDROMETER, 20.0, 1.0, 1.8),
        (kinds.LITRE_WEIGHT, 10.0, 2.0, 4.5),
        (kinds.REFRACTOMETER, 20.0, 2.0, 4.0),
        (kinds.TOTAL_SOLIDS, 30.0, 2.7, 4.5),
        (kinds.PELT_WEIGHT, 2.0, 0.09, 0.12),
    ],
)
def test_the_sd_of_a_single_reading_is_what_the_method_page_says(
    noise: AmountNoise, strength: float, low: float, high: float
) -> None:
    draws = noise.alone().draw(np.full(20000, strength), np.random.default_rng(1), honest=True)
    assert low < np.std(draws) < high
    assert np.median(draws) == pytest.approx(strength, abs=0.03 * max(strength, 1.0))


@pytest.mark.parametrize("noise", [*AMOUNTS, *CUTS], ids=lambda n: n.name)
def test_draws_follow_the_distribution_that_checks_use(noise: AmountNoise | CutNoise) -> None:
    predicted = np.full(20000, 0.6)
    draws = noise.draw(predicted, np.random.default_rng(2), honest=True)
    for share in (0.1, 0.5, 0.9):
        value = float(np.quantile(draws, share))
        assert float(noise.below(value, predicted[:1])[0]) == pytest.approx(share, abs=0.02)


@pytest.mark.parametrize("noise", CUTS, ids=lambda n: n.name)
@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.95, 1.0])
def test_probabilities_of_a_cut_sum_to_one(noise: CutNoise, share: float) -> None:
    predicted = np.array([share])
    between, _ = quad(
        lambda y: float(noise.density(y, predicted)[0]),
        noise.nothing + 1e-9,
        noise.through - 1e-9,
        points=[min(max(share, 0.04), 0.96)],
        limit=300,
    )
    ends = float(noise.density(1.0, predicted)[0] + noise.density(0.0, predicted)[0])
    assert between + ends == pytest.approx(1.0, abs=2e-3)


def test_struck_through_says_nothing_about_how_long_ago() -> None:
    through = kinds.CUT.density(1.0, np.array([0.5, 0.9, 1.0]))
    assert through[2] > 0.95
    assert through[2] > 20.0 * through[1] > 20.0 * 0.9 * through[0]
    assert kinds.CUT.density(0.98, np.array([1.0]))[0] == through[2]


def test_words_for_a_look_are_ordered_and_their_probabilities_sum_to_one() -> None:
    looks = kinds.LOOKS
    strengths = np.geomspace(0.5, 100.0, 30)
    each = np.stack([looks.density(float(i), strengths) for i in range(len(looks.words))])
    assert np.allclose(each.sum(axis=0), 1.0)
    assert np.all(np.diff(np.argmax(each, axis=0)) >= 0)
    assert [looks.word(bk) for bk in (2.0, 6.0, 12.0, 25.0, 60.0)] == list(looks.words)


def test_a_single_look_is_about_45_percent_uncertain() -> None:
    assert kinds.LOOKS.alone().sd == pytest.approx(0.45, abs=0.01)


def test_a_word_is_found_whatever_its_spelling_and_an_unknown_one_is_refused() -> None:
    assert kinds.LOOKS.number("Strong-Tea") == 2.0
    with pytest.raises(InputError, match="pale tea"):
        kinds.LOOKS.number("cocoa")


def test_looks_need_a_cut_point_between_words() -> None:
    with pytest.raises(ValueError, match="cut point"):
        LooksNoise("x", ("a", "b"), (1.0, 2.0), sd=0.4)


@pytest.mark.parametrize("noise", [*AMOUNTS, *CUTS], ids=lambda n: n.name)
def test_a_slip_cannot_drag(noise: AmountNoise | CutNoise) -> None:
    """Far from the reading its density hardly depends on what was predicted."""
    observed = 200.0 if isinstance(noise, AmountNoise) else 0.5
    near, far = (10.0, 12.0) if isinstance(noise, AmountNoise) else (0.02, 0.0)
    values = log_density(noise, observed, np.array([near, far]))
    assert np.all(np.isfinite(values))
    assert abs(values[0] - values[1]) < 0.5
    assert np.all(noise.slip_probability(observed, np.array([near, far])) > 0.99)


def test_the_shared_error_moves_all_readings_of_an_instrument_alike() -> None:
    seen = kinds.REFRACTOMETER.shifted(np.array([5.0, 20.0]), np.array([1.0, 1.0]))
    assert np.all(seen > np.array([5.0, 20.0]))
    assert kinds.REFRACTOMETER.alone().shared_sd == 0.0
    assert kinds.REFRACTOMETER.alone().sd > kinds.REFRACTOMETER.sd
    assert kinds.REFRACTOMETER.alone().offset == pytest.approx(kinds.REFRACTOMETER.offset)


def test_words_for_traces_are_told_apart() -> None:
    signs = LooksNoise("gelatin", ("none", "hazy", "curds"), (0.1, 2.0), sd=0.5)
    assert signs.density(0.0, np.array([0.02, 0.5]))[0] > 0.9
    assert signs.density(0.0, np.array([0.02, 0.5]))[1] < 0.02


def test_far_off_means_a_misplaced_decimal_point() -> None:
    assert kinds.HYDROMETER.far_off(120.0, 8.0, 16.0)
    assert kinds.HYDROMETER.far_off(1.2, 8.0, 16.0)
    assert not kinds.HYDROMETER.far_off(24.0, 8.0, 16.0)
    assert kinds.CUT.far_off(1.0, 0.1, 0.3)
    assert not kinds.CUT.far_off(0.6, 0.1, 0.3)
    assert kinds.LOOKS.far_off(4.0, 0.0, 1.0)
    assert not kinds.LOOKS.far_off(2.0, 0.0, 1.0)


def test_an_amount_needs_a_scatter() -> None:
    with pytest.raises(ValueError, match="positive"):
        AmountNoise("x", "kg", sd=0.0)

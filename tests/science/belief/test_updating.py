"""Updating: exact on a linear case, invariances, typos, refusals, and the budget."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tanwright.errors import EnsembleError, InputError
from tanwright.science.belief.evidence import Evidence, Reading, draw_readings
from tanwright.science.belief.kinds import HYDROMETER, PELT_WEIGHT, REFRACTOMETER
from tanwright.science.belief.noise import AmountNoise
from tanwright.science.belief.unknowns import Floats
from tanwright.science.belief.updating import DegenerateEnsembleError, Effort, update
from tests.science.belief.front_model import (
    FEW,
    TEN,
    THREE,
    draw_prior,
    finish_day,
    honest_readings,
)

NORMAL = AmountNoise("amount", "g/L", sd=0.1, outlier_share=1e-12)


def linear_case(size: int, count: int) -> tuple[Floats, list[Reading], Floats, Floats]:
    """Slopes, readings, and the exact posterior mean and covariance of a log-linear model."""
    rng = np.random.default_rng(7)
    slopes = 0.5 * rng.normal(size=(size, count))
    logs = rng.standard_normal(size) @ slopes + 0.1 * rng.standard_normal(count)
    covariance = np.linalg.inv(np.eye(size) + slopes @ slopes.T / 0.01)
    mean = covariance @ (slopes @ logs) / 0.01
    return slopes, [Reading(NORMAL, float(y)) for y in np.exp(logs)], mean, covariance


def test_moments_are_exact_on_a_conjugate_case() -> None:
    slopes, readings, mean, covariance = linear_case(8, 4)
    posterior = update(
        draw_prior(1000, np.random.default_rng(0)),
        lambda z: np.exp(z @ slopes),
        readings,
        np.random.default_rng(1),
    )
    sd = np.sqrt(np.diag(covariance))
    assert np.all(np.abs(posterior.z.mean(axis=0) - mean) < 0.15 * sd)
    assert np.all(np.abs(posterior.z.std(axis=0) / sd - 1.0) < 0.12)
    ours = np.corrcoef(posterior.z, rowvar=False)
    assert np.allclose(ours, covariance / np.outer(sd, sd), atol=0.12)


def test_without_readings_the_prior_stays() -> None:
    z = draw_prior(200, np.random.default_rng(0))
    posterior = update(z, FEW, [], np.random.default_rng(1))
    assert posterior.z is z
    assert posterior.predictions.shape == (200, 0)
    assert posterior.effective_members == 200.0


def test_the_same_seed_gives_the_same_worlds() -> None:
    _, readings = honest_readings(THREE, np.random.default_rng(3))
    z = draw_prior(500, np.random.default_rng(0))
    one = update(z, THREE, readings, np.random.default_rng(1))
    other = update(z, THREE, readings, np.random.default_rng(1))
    assert np.array_equal(one.z, other.z)


def test_the_order_of_readings_does_not_matter() -> None:
    _, readings = honest_readings(TEN, np.random.default_rng(4))
    order = np.random.default_rng(5).permutation(len(readings))
    z = draw_prior(1000, np.random.default_rng(0))
    one = update(z, TEN, readings, np.random.default_rng(1))
    other = update(
        z, lambda x: TEN(x)[:, order], [readings[i] for i in order], np.random.default_rng(2)
    )
    sd = one.z.std(axis=0)
    assert np.all(np.abs(one.z.mean(axis=0) - other.z.mean(axis=0)) < 0.25 * sd)
    assert np.all(np.abs(other.z.std(axis=0) / sd - 1.0) < 0.2)
    back = np.argsort(order)
    assert [c.label for c in one.checks] == [other.checks[i].label for i in back]


def test_a_more_precise_reading_narrows_more() -> None:
    _, readings = honest_readings(THREE, np.random.default_rng(6))
    z = draw_prior(1000, np.random.default_rng(0))
    widths = []
    for factor in (0.5, 1.0, 4.0):
        finer = [
            replace(
                r,
                noise=replace(
                    r.noise,
                    sd=factor * r.noise.sd,
                    sd_at_zero=factor * r.noise.sd_at_zero,
                    shared_sd=factor * r.noise.shared_sd,
                ),
            )
            if isinstance(r.noise, AmountNoise)
            else r
            for r in readings
        ]
        posterior = update(z, THREE, finer, np.random.default_rng(1))
        widths.append(float(np.std(np.log(posterior.predictions[:, 2]))))
    assert widths[0] < 0.8 * widths[1] < 0.8 * 0.8 * widths[2]


def test_more_readings_narrow_the_finish_day() -> None:
    truth, readings = honest_readings(TEN, np.random.default_rng(8))
    z = draw_prior(1000, np.random.default_rng(0))
    posterior = update(z, TEN, readings, np.random.default_rng(1))
    assert np.std(finish_day(posterior.z)) < 0.35 * np.std(finish_day(z))
    assert abs(np.median(finish_day(posterior.z)) - finish_day(truth)[0]) < 0.5 * np.std(
        finish_day(z)
    )


def test_predictions_belong_to_the_worlds() -> None:
    _, readings = honest_readings(THREE, np.random.default_rng(9))
    z = draw_prior(300, np.random.default_rng(0))
    posterior = update(z, THREE, readings, np.random.default_rng(1))
    assert posterior.z.shape == (300, 8)
    assert np.allclose(THREE(posterior.z), posterior.predictions)


@pytest.mark.parametrize("factor", [10.0, 0.1])
@pytest.mark.parametrize("which", [1, 6])
def test_a_misplaced_decimal_point_is_told_and_not_used(factor: float, which: int) -> None:
    _, readings = honest_readings(TEN, np.random.default_rng(10))
    wrong = list(readings)
    wrong[which] = replace(readings[which], observed=factor * readings[which].observed)
    kept = [i for i in range(len(readings)) if i != which]
    z = draw_prior(1000, np.random.default_rng(0))
    with_typo = update(z, TEN, wrong, np.random.default_rng(1))
    without = update(
        z, lambda x: TEN(x)[:, kept], [readings[i] for i in kept], np.random.default_rng(1)
    )
    assert with_typo.checks[which].verdict == "set-aside"
    assert all(with_typo.checks[i].verdict != "set-aside" for i in kept)
    sd = without.z.std(axis=0)
    assert np.all(np.abs(with_typo.z.mean(axis=0) - without.z.mean(axis=0)) < 0.25 * sd)


def test_a_reading_between_is_odd_but_used() -> None:
    _, readings = honest_readings(TEN, np.random.default_rng(10))
    off = list(readings)
    off[6] = replace(readings[6], observed=readings[6].observed + 8.0)
    posterior = update(
        draw_prior(1000, np.random.default_rng(0)), TEN, off, np.random.default_rng(1)
    )
    assert posterior.checks[6].verdict == "odd"
    assert posterior.checks[6].slip_probability > 0.5
    assert posterior.checks[6].expected.p95 < off[6].observed


def test_honest_readings_are_rarely_called_odd_and_never_set_aside() -> None:
    verdicts = []
    for seed in range(6):
        _, readings = honest_readings(TEN, np.random.default_rng(100 + seed))
        rng = np.random.default_rng(seed)
        verdicts += [c.verdict for c in update(draw_prior(800, rng), TEN, readings, rng).checks]
    assert verdicts.count("set-aside") == 0
    assert verdicts.count("odd") <= 4


def test_an_instrument_that_speaks_often_is_trusted_less_than_many_instruments() -> None:
    """Ten readings of one refractometer share its error; ten refractometers average theirs."""
    forward_sd = []
    for name in ("mine", ""):
        readings = [Reading(REFRACTOMETER, 15.0, name) for _ in range(10)]

        def forward(z: Floats) -> Floats:
            return np.repeat(12.0 * np.exp(0.6 * z[:, :1]), 10, axis=1)

        z = np.random.default_rng(0).standard_normal((1000, 2))
        posterior = update(z, forward, readings, np.random.default_rng(1))
        forward_sd.append(float(np.std(np.log(posterior.predictions[:, 0]))))
    assert forward_sd[0] > 1.7 * forward_sd[1]
    # exact for the shared case: sd of the instrument and of the mean of ten, at 15 °Bk
    spread = np.hypot(REFRACTOMETER.shared_sd, REFRACTOMETER.sd / np.sqrt(10.0))
    relative = spread * (15.0 + REFRACTOMETER.offset) / 15.0
    exact = 1.0 / np.sqrt(1.0 / relative**2 + 1.0 / 0.6**2)
    assert forward_sd[0] == pytest.approx(exact, rel=0.12)


def test_an_instrument_that_speaks_once_needs_no_hidden_column() -> None:
    evidence = Evidence([Reading(REFRACTOMETER, 10.0, "a"), Reading(HYDROMETER, 10.0, "b")])
    assert evidence.instruments == ()
    assert evidence.noises[0].shared_sd == 0.0


def test_simulated_readings_of_one_instrument_are_off_together() -> None:
    readings = [Reading(REFRACTOMETER, 0.0, "mine"), Reading(REFRACTOMETER, 0.0, "mine")]
    drawn = draw_readings(readings, np.full((4000, 2), 20.0), np.random.default_rng(0))
    ranks = np.argsort(np.argsort(drawn, axis=0), axis=0)
    assert np.corrcoef(ranks, rowvar=False)[0, 1] > 0.5


def test_vague_readings_need_no_further_worlds() -> None:
    z = draw_prior(1000, np.random.default_rng(0))
    reading = Reading(PELT_WEIGHT, 2.0, label="weight")
    posterior = update(
        z,
        lambda x: 2.0 * np.exp(0.02 * x[:, :1]),
        [reading],
        np.random.default_rng(1),
        prior_predictions=2.0 * np.exp(0.02 * z[:, :1]),
    )
    assert posterior.diagnostics.worlds_run == 0
    assert posterior.effective_members > 900.0


def test_the_budget_is_kept() -> None:
    runs = 0

    def counted(z: Floats) -> Floats:
        nonlocal runs
        runs += z.shape[0]
        return TEN(z)

    _, readings = honest_readings(TEN, np.random.default_rng(11))
    posterior = update(
        draw_prior(1000, np.random.default_rng(0)), counted, readings, np.random.default_rng(1)
    )
    assert runs == posterior.diagnostics.worlds_run <= 6000
    assert posterior.effective_members >= 300.0
    assert posterior.diagnostics.pareto_k < 0.7


def test_degenerate_weights_are_refused_with_the_partial_estimate() -> None:
    _, readings = honest_readings(TEN, np.random.default_rng(12))
    little = Effort(smoother_members=20, round_members=20, rounds=1)
    with pytest.raises(EnsembleError, match="too few worlds") as caught:
        update(
            draw_prior(30, np.random.default_rng(0)),
            TEN,
            readings,
            np.random.default_rng(1),
            effort=little,
        )
    assert isinstance(caught.value, DegenerateEnsembleError)
    assert caught.value.code == "ensemble"
    assert caught.value.partial is not None
    assert caught.value.partial.z.shape == (30, 8)
    assert caught.value.partial.effective_members < little.refuse_below


def test_bad_input_is_refused() -> None:
    z = draw_prior(50, np.random.default_rng(0))
    rng = np.random.default_rng(1)
    with pytest.raises(InputError, match="plain number"):
        update(z, FEW, [Reading(HYDROMETER, float("nan"), label="line 3")], rng)
    with pytest.raises(ValueError, match="one column per reading"):
        update(z, FEW, [Reading(HYDROMETER, 10.0)], rng)
    with pytest.raises(ValueError, match="finite"):
        update(z, lambda x: np.full((x.shape[0], 1), np.inf), [Reading(HYDROMETER, 10.0)], rng)

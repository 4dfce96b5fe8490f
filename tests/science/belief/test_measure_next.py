"""What to measure next: known answers and the slow way."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.skill.audit import narrowing_cases
from tanwright.science.belief.kinds import CUT, HYDROMETER, LOOKS
from tanwright.science.belief.measure_next import Candidate, expected_narrowing
from tanwright.science.belief.noise import AmountNoise
from tests.science.belief.front_model import (
    FEW,
    POSSIBLE,
    THREE,
    draw_prior,
    log_finish,
    log_need,
)


@pytest.mark.parametrize("sd", [0.1, 0.5, 2.0])
def test_a_normal_case_gives_its_exact_narrowing(sd: float) -> None:
    """Target N(0, 1), reading target + N(0, sd): sd after is sd / sqrt(1 + sd^2)."""
    noise = AmountNoise("amount", "g/L", sd=sd, outlier_share=1e-12)
    target = np.random.default_rng(0).standard_normal(2000)
    candidate = Candidate("it", noise, np.exp(target))
    found = expected_narrowing([candidate], {"log": target}, np.random.default_rng(1))
    assert found.of("it", "log") == pytest.approx(1.0 - sd / np.sqrt(1.0 + sd**2), abs=0.03)


def test_a_reading_of_something_else_narrows_nothing() -> None:
    rng = np.random.default_rng(2)
    candidate = Candidate("other", HYDROMETER, np.exp(rng.normal(2.0, 0.5, 1000)))
    found = expected_narrowing([candidate], {"t": rng.standard_normal(1000)}, rng)
    assert found.share[0, 0] < 0.02


def test_a_better_instrument_is_ranked_first() -> None:
    rng = np.random.default_rng(3)
    strength = np.exp(rng.normal(2.5, 0.5, 1000))
    listed = [
        Candidate("look", LOOKS.alone(), strength),
        Candidate("hydrometer", HYDROMETER.alone(), strength),
        Candidate("cut", CUT, rng.random(1000)),
    ]
    found = expected_narrowing(listed, {"log strength": np.log(strength)}, rng)
    assert found.ranked("log strength") == ("hydrometer", "look", "cut")
    assert found.of("hydrometer", "log strength") > 0.6


def test_finish_days_beyond_the_horizon_are_capped_and_told() -> None:
    rng = np.random.default_rng(4)
    speed = rng.normal(0.0, 0.8, 1000)
    day = np.where(speed < -1.0, np.inf, 20.0 * np.exp(-speed))
    candidate = Candidate("cut", CUT, np.clip(0.5 * np.exp(0.5 * speed), 0.0, 1.0))
    found = expected_narrowing([candidate], {"finish": day}, rng, cap=90.0)
    assert found.capped[0] == pytest.approx(np.mean(np.isinf(day)))
    assert 0.2 < found.share[0, 0] < 1.0
    every = expected_narrowing([candidate], {"finish": np.full(1000, np.inf)}, rng)
    assert every.share[0, 0] == 0.0
    assert every.capped[0] == 1.0


def test_without_candidates_there_is_nothing_to_say() -> None:
    found = expected_narrowing([], {"t": np.arange(10.0)}, np.random.default_rng(0))
    assert found.share.shape == (0, 1)
    assert found.ranked("t") == ()


def test_narrowing_agrees_with_the_slow_way() -> None:
    """Two targets in two cases each; the long run does fifty cases with more simulations."""
    quick, slow = [], []
    for plan, target in ((THREE, log_finish), (FEW, log_need)):
        found = narrowing_cases(
            draw_prior,
            plan,
            plan.readings(np.zeros(len(plan.plan))),
            POSSIBLE.readings(np.zeros(len(POSSIBLE.plan))),
            POSSIBLE,
            target,
            np.random.default_rng(7),
            cases=2,
            members=500,
            simulated=8,
        )
        assert found.rank_correlation().shape == (2,)
        quick.append(found.quick.ravel())
        slow.append(found.slow.ravel())
    ours, theirs = np.concatenate(quick), np.concatenate(slow)
    assert np.corrcoef(ours, theirs)[0, 1] > 0.8
    assert np.mean(np.abs(ours - theirs)) < 0.1

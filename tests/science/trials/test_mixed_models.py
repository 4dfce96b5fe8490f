"""The model of effects against published analyses and against statsmodels.

Grades: Randall (1989), bitterness of wine, as analysed in the vignette of the R package ordinal
("A tutorial on fitting cumulative link mixed models with clmm2", Christensen 2015).
Measures: penicillin of Davies and Goldsmith (1972) as analysed in the help page of R's lme4, and
the randomised blocks of Box, Hunter and Hunter (1978) as analysed by Faraway ("Changes to the mixed
effects models chapters in ELM"); the figures of those blocks are from memory and give back the
published means.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize
from statsmodels.miscmodels.ordinal_model import OrderedModel
from statsmodels.regression.mixed_linear_model import MixedLM

from tanwright.science.trials.effects import Group, Model, Scale, fit, peak
from tanwright.science.trials.ordinal import Grades, Measures
from tanwright.science.values import Floats

# nine judges, eight bottles: two each of cold and warm, without and with contact of skins
WINE = "23344455 12132354 23325544 32323253 23433333 32322454 11222323 22233334 12323244"
BOTTLE_WARM = np.array([0, 0, 0, 0, 1, 1, 1, 1.0])
BOTTLE_CONTACT = np.array([0, 0, 1, 1, 0, 0, 1, 1.0])
PLATES = """
27 23 26 23 23 21  27 23 26 23 23 21  25 21 25 24 24 20  26 23 25 23 23 20  25 22 26 22 23 20
24 22 25 23 22 19  24 20 23 21 22 19  26 22 26 24 24 21  24 21 24 22 22 20  24 21 24 23 22 19
26 23 26 24 24 21  25 22 26 24 24 20  26 24 26 24 25 22  26 23 26 23 23 20  26 23 25 24 24 22
25 22 25 23 23 20  25 21 24 23 23 20  25 22 24 23 23 19  24 21 23 21 21 19  26 23 26 24 24 21
25 21 24 22 22 18  25 22 25 22 22 20  24 21 24 22 24 19  24 21 24 22 21 18
"""
BLENDS = """
89 88 97 94  84 77 92 79  81 87 87 85  87 92 89 84  79 81 80 88
"""
FLAT = 1e-6


def wine() -> tuple[np.ndarray, Floats, np.ndarray]:
    grade = np.array([int(c) for c in WINE.replace(" ", "")])
    judge = np.repeat(np.arange(9), 8)
    factors = np.column_stack([np.tile(BOTTLE_WARM, 9), np.tile(BOTTLE_CONTACT, 9)])
    return grade, factors, judge


def test_published_estimates_of_the_wine_grades_are_the_likeliest() -> None:
    """Vignette: 3.06, 1.83, variance of judges 1.29, thresholds -1.62, 1.51, 4.23, 6.09."""
    grade, factors, judge = wine()
    nodes, weights = np.polynomial.hermite_e.hermegauss(15)
    model = Grades(grade, 5, np.hstack([factors, np.ones((72, 1))]))

    def minus_log(x: Floats) -> float:
        if np.any(np.diff(x[:4]) <= 0):
            return 1e6
        each = []
        for node in nodes:
            own = model.log_chances(np.concatenate([x[:6], [np.exp(x[6]) * node]]))
            each.append(np.bincount(judge, own))
        top = np.logaddexp.reduce(np.array(each) + np.log(weights / weights.sum())[:, None])
        return -float(top.sum())

    found = minimize(minus_log, [-1.0, 1.0, 3.0, 5.0, 2.0, 1.0, 0.0], method="BFGS").x
    assert found[:4] == pytest.approx([-1.62, 1.51, 4.23, 6.09], abs=0.02)
    assert found[4:6] == pytest.approx([3.06, 1.83], abs=0.01)
    assert np.exp(2.0 * found[6]) == pytest.approx(1.29, abs=0.02)


def test_with_priors_that_say_little_the_wine_grades_say_the_same() -> None:
    grade, factors, judge = wine()
    design = np.hstack([factors, np.eye(9)[judge]])
    precision = np.zeros((15, 15))
    precision[:6, :6] = np.diag(np.full(6, 0.01))
    mean = np.zeros(15)
    mean[:4] = [-2.0, 0.0, 2.0, 4.0]
    model = Model(
        Grades(grade, 5, design), (Group(6, 15, Scale("judge", 1.0, 0.8)),), mean, precision
    )
    found = fit(model, seed=1)
    assert found.settled
    assert found.effects[:, 4].mean() == pytest.approx(3.06, abs=0.25)
    assert found.effects[:, 5].mean() == pytest.approx(1.83, abs=0.2)
    assert found.effects[:, 4].std() == pytest.approx(0.60, abs=0.08)  # printed error 0.595
    assert np.median(found.scales[:, 0]) == pytest.approx(1.13, abs=0.25)


def evidence(model: Model, scales: Floats) -> float:
    return peak(model, scales).log_evidence


def likeliest(model: Model, start: Floats) -> Floats:
    """Scales for which what was seen is most likely; with flat priors this is REML."""
    found = minimize(
        lambda x: -evidence(model, np.exp(x)),
        np.log(start),
        method="Nelder-Mead",
        options={"xatol": 1e-5, "fatol": 1e-7, "maxiter": 600},
    )
    return np.exp(found.x)


def test_penicillin_plates_and_samples_as_lme4_prints_them() -> None:
    """Help page of lme4's Penicillin: plate 0.8467, sample 1.9316, rest 0.5499, level 22.97."""
    value = np.array(PLATES.split(), dtype=float)
    plate, sample = np.repeat(np.arange(24), 6), np.tile(np.arange(6), 24)
    design = np.hstack([np.ones((144, 1)), np.eye(24)[plate], np.eye(6)[sample]])
    precision = np.zeros((31, 31))
    precision[0, 0] = FLAT
    groups = (
        Group(1, 25, Scale("plate", 1.0, 1.0)),
        Group(25, 31, Scale("sample", 1.0, 1.0)),
    )
    model = Model(Measures(value, design), groups, np.zeros(31), precision)
    scales = likeliest(model, np.array([1.0, 1.5, 0.6]))
    assert scales == pytest.approx([0.8467, 1.9316, 0.5499], abs=2e-3)
    assert peak(model, scales).effects[0] == pytest.approx(22.9722, abs=1e-3)


def test_randomised_blocks_of_box_hunter_and_hunter_as_faraway_prints_them() -> None:
    """Blend 3.43, rest 4.34; level 84 (error 2.48), B 1, C 5, D 2 (error 2.75)."""
    value = np.array(BLENDS.split(), dtype=float)
    blend, way = np.repeat(np.arange(5), 4), np.tile(np.arange(4), 5)
    fixed = np.hstack([np.ones((20, 1)), np.eye(4)[way][:, 1:]])
    design = np.hstack([fixed, np.eye(5)[blend]])
    precision = np.zeros((9, 9))
    precision[:4, :4] = FLAT * np.eye(4)
    model = Model(
        Measures(value, design), (Group(4, 9, Scale("blend", 3.0, 1.0)),), np.zeros(9), precision
    )
    scales = likeliest(model, np.array([3.0, 4.0]))
    assert scales == pytest.approx([3.43, 4.34], abs=0.01)
    found = peak(model, scales)
    assert found.effects[:4] == pytest.approx([84.0, 1.0, 5.0, 2.0], abs=0.01)
    errors = np.sqrt(np.diag(np.linalg.inv(found.root @ found.root.T)))[:4]
    assert errors == pytest.approx([2.48, 2.75, 2.75, 2.75], abs=0.01)


def test_effects_at_given_spreads_are_those_of_statsmodels() -> None:
    rng = np.random.default_rng(3)
    block = np.repeat(np.arange(8), 6)
    x = rng.normal(size=48)
    y = 2.0 + 0.7 * x + rng.normal(0, 1.0, 8)[block] + rng.normal(0, 0.6, 48)
    theirs = MixedLM(y, np.column_stack([np.ones(48), x]), groups=block).fit(reml=True)
    sd = float(np.sqrt(theirs.cov_re[0, 0])), float(np.sqrt(theirs.scale))
    design = np.column_stack([np.ones(48), x, np.eye(8)[block]])
    precision = np.zeros((10, 10))
    precision[:2, :2] = FLAT * np.eye(2)
    model = Model(
        Measures(y, design), (Group(2, 10, Scale("block", 1.0, 1.0)),), np.zeros(10), precision
    )
    ours = peak(model, np.array(sd))
    assert ours.effects[:2] == pytest.approx(theirs.fe_params, abs=1e-4)
    blups = [float(np.ravel(theirs.random_effects[b])[0]) for b in range(8)]
    assert ours.effects[2:] == pytest.approx(blups, abs=1e-4)


def test_without_random_effects_grades_are_those_of_statsmodels() -> None:
    rng = np.random.default_rng(4)
    x = rng.normal(size=(120, 2))
    latent = x @ [1.0, -0.5] + rng.logistic(size=120)
    grade = 1 + np.searchsorted([-1.5, 0.0, 1.5], latent)
    theirs = OrderedModel(grade, x, distr="logit").fit(method="bfgs", disp=False)
    model = Model(Grades(grade, 4, x), (), np.array([-1.0, 0, 1, 0, 0]), FLAT * np.eye(5))
    ours = peak(model, np.array([]))
    assert ours.effects[3:] == pytest.approx(theirs.params[:2], abs=1e-3)
    cuts = theirs.model.transform_threshold_params(theirs.params)[1:-1]
    assert ours.effects[:3] == pytest.approx(cuts, abs=1e-3)


@pytest.mark.parametrize("seat", [False, True])
def test_slopes_and_bends_are_those_of_the_likelihood(seat: bool) -> None:
    from tanwright.science.trials.ordinal import Seat

    rng = np.random.default_rng(5)
    grade = rng.integers(1, 6, 12)
    seats = Seat(np.arange(12) % 4, 4) if seat else Seat()
    model = Grades(grade, 5, rng.normal(size=(12, 2)), seats)
    at = np.concatenate([[-2.0, -0.5, 0.4, 2.0], rng.normal(size=2 + seats.count)])
    value, slope, bend = model.parts(at, np.array([]))
    whole = np.block([[bend.core, bend.cross], [bend.cross.T, np.diag(bend.local)]])
    for i in range(at.size):
        ahead, behind = at.copy(), at.copy()
        ahead[i] += 1e-5
        behind[i] -= 1e-5
        one, slope_one, _ = model.parts(ahead, np.array([]))
        other, slope_other, _ = model.parts(behind, np.array([]))
        assert slope[i] == pytest.approx((one - other) / 2e-5, abs=1e-6)
        assert whole[i] == pytest.approx(-(slope_one - slope_other) / 2e-5, abs=1e-5)
    assert value < 0.0

"""Is a reading believable? Held against what the ensemble expected of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tanwright.science.belief.noise import Noise
from tanwright.science.belief.summary import Percentiles, quantiles
from tanwright.science.belief.unknowns import Floats

Verdict = Literal["ok", "odd", "set-aside"]

ODD_BELOW = 0.01
"""Two-sided tail probability below which a reading is told to be odd (it is still used)."""

SET_ASIDE_BELOW = 1e-4
"""Two-sided tail probability below which a far-off reading is set aside."""

ERRORS = 41
"""Errors, at evenly spaced quantiles, that stand for the scatter of an honest reading."""


@dataclass(frozen=True)
class Check:
    """A reading held against what was expected.

    ``tail_probability`` is two-sided, for an honest reading; ``expected`` are percentiles of
    honest readings in the reading's unit (word numbers for looks); ``slip_probability`` says how
    likely the reading is a slip after all readings are weighed together.
    """

    verdict: Verdict
    tail_probability: float
    expected: Percentiles
    slip_probability: float = 0.0
    label: str = ""


def check_reading(
    noise: Noise,
    observed: float,
    predicted: Floats,
    *,
    weights: Floats | None = None,
    label: str = "",
) -> Check:
    """Hold ``observed`` against predictions (n,) of worlds with ``weights`` (n,), summing to 1.

    ``set-aside`` needs both: next to no world would give it (tail below 1e-4), and it is far off,
    as a misplaced decimal point is (:meth:`Noise.far_off`). Below 0.01 it is ``odd``. Uses no
    random numbers: the expected reading is the mixture of the noise over the worlds.
    """
    shares = np.full(predicted.size, 1.0 / predicted.size) if weights is None else weights
    under = float(shares @ noise.below(observed, predicted))
    tail = min(1.0, 2.0 * min(under, 1.0 - under))
    slip = float(shares @ noise.slip_probability(observed, predicted))
    expected = _honest_percentiles(noise, predicted, shares)
    verdict: Verdict = "ok"
    if tail < SET_ASIDE_BELOW and noise.far_off(observed, expected.p05, expected.p95):
        verdict = "set-aside"
    elif tail < ODD_BELOW:
        verdict = "odd"
    return Check(verdict, tail, expected, slip, label)


def _honest_percentiles(noise: Noise, predicted: Floats, weights: Floats) -> Percentiles:
    """Percentiles of honest readings: every world with errors at evenly spaced quantiles."""
    from scipy.special import ndtri

    errors = ndtri((np.arange(ERRORS) + 0.5) / ERRORS)
    readings = noise.honest(predicted[:, None], errors[None, :])
    shares = np.repeat(weights / ERRORS, ERRORS)
    low, middle, high = quantiles(readings.ravel(), (0.05, 0.5, 0.95), shares)
    return Percentiles(float(low), float(middle), float(high))


def strangers(transformed: Floats, observed: Floats, sds: Floats) -> Floats:
    """Standardised distance of each reading from what all the others lead to expect, (readings,).

    From the joint normal of the transformed predictions (n, readings) plus noise: the residual
    that leaves reading i out is [K^-1 r]_i / [K^-1]_ii with the variance 1 / [K^-1]_ii
    (Rasmussen and Williams 2006, section 5.4.2).
    """
    residual = observed - transformed.mean(axis=0)
    joint = np.atleast_2d(np.cov(transformed, rowvar=False)) + np.diag(sds**2)
    inverse = np.linalg.inv(joint)
    return np.asarray((inverse @ residual) / np.sqrt(np.diag(inverse)))

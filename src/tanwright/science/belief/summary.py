"""Percentiles of an ensemble, with or without weights, infinite values included."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.science.belief.unknowns import Floats


@dataclass(frozen=True)
class Percentiles:
    """The 5th, 50th and 95th percentile of an amount, in its own unit."""

    p05: float
    p50: float
    p95: float


def quantiles(
    values: Floats, probabilities: Sequence[float] | Floats, weights: Floats | None = None
) -> Floats:
    """Quantiles of values (n,), shape of ``probabilities``.

    Values sit at the middles of their weights on the cumulated scale and are joined by straight
    lines (Hazen's rule when the weights are equal).  Between a finite and an infinite value the
    nearer of the two is taken.  Raises ValueError without values, on NaN and on bad weights.
    """
    values = np.asarray(values, dtype=float)
    if values.ndim != 1 or values.size == 0 or bool(np.any(np.isnan(values))):
        raise ValueError("quantiles need a row of values without gaps")
    shares = np.ones(values.size) if weights is None else np.asarray(weights, dtype=float)
    if shares.shape != values.shape or bool(np.any(shares < 0.0)) or shares.sum() <= 0.0:
        raise ValueError("weights must be as many as values, not negative, and not all zero")
    kept = shares > 0.0
    values, shares = values[kept], shares[kept]
    order = np.argsort(values, kind="stable")
    values, shares = values[order], shares[order]
    middles = (np.cumsum(shares) - 0.5 * shares) / shares.sum()
    wanted = np.asarray(probabilities, dtype=float)
    place = np.interp(wanted, middles, np.arange(values.size, dtype=float))
    below = np.floor(place).astype(np.intp)
    above = np.minimum(below + 1, values.size - 1)
    part = place - below
    low, high = values[below], values[above]
    finite = np.isfinite(low) & np.isfinite(high)
    with np.errstate(invalid="ignore"):
        between = low + part * (high - low)
    return np.asarray(np.where(finite, between, np.where(part < 0.5, low, high)))


def percentiles(values: Floats, weights: Floats | None = None) -> Percentiles:
    """5th, 50th and 95th percentile of values (n,)."""
    low, middle, high = quantiles(values, (0.05, 0.50, 0.95), weights)
    return Percentiles(float(low), float(middle), float(high))


def spread(values: Floats, weights: Floats | None = None) -> float:
    """Standard deviation of values (n,); with weights, corrected for their effective number."""
    if weights is None:
        return float(np.std(values, ddof=1)) if values.size > 1 else 0.0
    shares = weights / weights.sum()
    mean = float(shares @ values)
    correction = max(1.0 - float(shares @ shares), 1e-12)
    return float(np.sqrt(shares @ (values - mean) ** 2 / correction))

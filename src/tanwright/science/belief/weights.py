"""Importance weights: how many worlds they are worth, how heavy their tail is, resampling.

Sources: Kong (1992) for the effective number, Vehtari et al. (2024) for Pareto smoothing and its
shape k, Zhang and Stephens (2009) for the fit, Kitagawa (1996) for systematic resampling.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tanwright.science.belief.unknowns import Floats


def normalised(log_weights: Floats) -> Floats:
    """Weights that sum to 1 from logarithms, shape (n,). Raises ValueError if all are zero."""
    top = float(np.max(log_weights))
    if not math.isfinite(top):
        raise ValueError("every weight is zero")
    weights = np.exp(log_weights - top)
    return np.asarray(weights / weights.sum())


def effective(weights: Floats) -> float:
    """Effective number 1 / sum of squares of weights that sum to 1."""
    return float(1.0 / np.sum(weights * weights))


def tempered(log_weights: Floats, wanted: float) -> Floats:
    """Weights raised to the largest power of at most 1 that leaves ``wanted`` effective worlds."""
    weights = normalised(log_weights)
    if effective(weights) >= wanted:
        return weights
    low, high = 0.0, 1.0
    for _ in range(30):
        power = 0.5 * (low + high)
        if effective(normalised(power * log_weights)) >= wanted:
            low = power
        else:
            high = power
    return normalised(low * log_weights)


def smoothed(log_weights: Floats) -> tuple[Floats, float]:
    """Pareto-smoothed weights that sum to 1, and the shape k of their tail.

    k below 0.5 is good, above 0.7 the weights are not to be trusted (Vehtari et al. 2024). The
    largest min(n / 5, 3 sqrt(n)) weights are replaced by the quantiles of the fitted tail.
    """
    weights = normalised(log_weights)
    count = weights.size
    tail = int(min(0.2 * count, 3.0 * math.sqrt(count)))
    order = np.argsort(weights)
    highest = order[-tail:]
    threshold = float(weights[order[-tail - 1]])
    excess = weights[highest] - threshold
    if tail < 5 or excess[0] < 0.0 or excess[-1] <= 1e-12 * weights[order[-1]]:
        return weights, 0.0
    shape, scale = _pareto_fit(np.maximum(excess, 1e-300))
    if math.isfinite(shape):
        rank = (np.arange(tail) + 0.5) / tail
        if abs(shape) < 1e-6:
            fitted = -scale * np.log1p(-rank)
        else:
            fitted = scale * np.expm1(-shape * np.log1p(-rank)) / shape
        weights = weights.copy()
        weights[highest] = np.minimum(threshold + fitted, weights[order[-1]])
        weights = weights / weights.sum()
    return weights, shape


def _pareto_fit(excess: Floats) -> tuple[float, float]:
    """Shape and scale of a generalised Pareto law for rising ``excess``, shape (n,)."""
    count = excess.size
    grid = 30 + int(math.sqrt(count))
    quarter = float(excess[int(count / 4 + 0.5) - 1])
    theta = 1.0 - np.sqrt(grid / (np.arange(1, grid + 1) - 0.5))
    theta = theta / (3.0 * max(quarter, 1e-12 * float(excess[-1]))) + 1.0 / excess[-1]
    theta = theta[theta != 0.0]
    shape = np.mean(np.log1p(-theta[:, None] * excess[None, :]), axis=1)
    profile = count * (np.log(-theta / shape) - shape - 1.0)
    belief = np.exp(profile - np.max(profile))
    best = float(np.sum(theta * belief) / belief.sum())
    fitted = float(np.mean(np.log1p(-best * excess)))
    scale = -fitted / best
    return (count * fitted + 5.0) / (count + 10.0), scale


def resample(weights: Floats, count: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Indices of ``count`` equal-weight members by systematic resampling, shape (count,)."""
    ladder = (np.arange(count) + rng.random()) / count
    total = np.cumsum(weights)
    return np.asarray(np.searchsorted(total / total[-1], ladder, side="right"), dtype=np.intp)

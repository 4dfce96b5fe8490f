"""What makes a range wide: shares of the variance of a target, unknown by unknown.

Relative weights (Johnson 2000): the unknowns are replaced by the orthonormal columns nearest to
them, the target is regressed on those, and the squared coefficients are handed back to the
unknowns in proportion to their squared correlations.  The shares are never negative and sum to
R squared, also when readings have made the unknowns depend on each other; for independent
unknowns they are the first-order shares of a linear model.  What is left, 1 - R squared, is bent
or joint influence.

Equations: docs/method/belief.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tanwright.science.belief.unknowns import Floats

Scale = Literal["rank", "log", "plain"]


@dataclass(frozen=True)
class Shares:
    """Shares of variance, one per unknown in the order given, and the rest; all sum to 1."""

    share: Floats
    together: float

    def largest(self, names: Sequence[str], count: int) -> tuple[tuple[str, float], ...]:
        """The ``count`` largest causes with their names, the largest first."""
        order = np.argsort(-self.share, kind="stable")[:count]
        return tuple((names[i], float(self.share[i])) for i in order)


def shares_of_variance(z: Floats, target: Floats, *, scale: Scale = "rank") -> Shares:
    """Shares of the variance of ``target`` (n,) by the columns of ``z`` (n, d).

    ``scale`` is the one on which variance is shared out: ``"log"`` for positive finite amounts,
    ``"rank"`` (normal scores) for anything, infinite values included, ``"plain"`` as it is.
    Raises ValueError for a log of values that are not positive and finite.
    """
    y = _scaled(np.asarray(target, dtype=float), scale)
    count, size = z.shape
    if count < size + 2:
        raise ValueError("more worlds than unknowns are needed")
    y = y - y.mean()
    if float(y @ y) <= 1e-20:
        return Shares(np.zeros(size), 1.0)
    y = y / np.sqrt(y @ y)
    x = z - z.mean(axis=0)
    norms = np.sqrt(np.sum(x * x, axis=0))
    moving = norms > 1e-9 * np.sqrt(count)
    share = np.zeros(size)
    if np.any(moving):
        x = x[:, moving] / norms[moving]
        left, singular, right = np.linalg.svd(x, full_matrices=False)
        nearest = left @ right
        shared = (right.T * singular) @ right
        slopes = nearest.T @ y
        share[moving] = (shared**2) @ (slopes**2)
    return Shares(share, max(0.0, 1.0 - float(share.sum())))


def _scaled(target: Floats, scale: Scale) -> Floats:
    if scale == "log":
        if not bool(np.all(np.isfinite(target) & (target > 0.0))):
            raise ValueError("shares on a log scale need positive, finite values")
        return np.asarray(np.log(target))
    if scale == "plain":
        return target
    from scipy.special import ndtri

    _, group, times = np.unique(target, return_inverse=True, return_counts=True)
    middle = np.cumsum(times) - 0.5 * times
    return np.asarray(ndtri(middle[group] / target.size))

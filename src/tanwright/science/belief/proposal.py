"""Clouds to draw worlds from: multivariate Student's t, and the mixture of all that were used.

The deterministic mixture of adaptive multiple importance sampling (Cornuet et al. 2012) weighs
every draw by prior times likelihood over the share-weighted sum of the densities of all clouds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.science.belief.unknowns import Floats


@dataclass(frozen=True)
class Cloud:
    """A multivariate t (normal for infinite ``dof``) with mean (d,) and lower root (d, d)."""

    mean: Floats
    root: Floats
    dof: float

    def draw(self, count: int, rng: np.random.Generator) -> Floats:
        """Draws, shape (count, d)."""
        steps = rng.standard_normal((count, self.mean.size)) @ self.root.T
        if math.isfinite(self.dof):
            steps /= np.sqrt(rng.chisquare(self.dof, count) / self.dof)[:, None]
        return np.asarray(self.mean + steps)

    def log_density(self, z: Floats) -> Floats:
        """Log density at z (n, d), shape (n,)."""
        from scipy.linalg import solve_triangular

        size = self.mean.size
        scaled = solve_triangular(self.root, (z - self.mean).T, lower=True)
        squares = np.sum(scaled * scaled, axis=0)
        spread = float(np.sum(np.log(np.diag(self.root))))
        if not math.isfinite(self.dof):
            return np.asarray(-0.5 * squares - spread - 0.5 * size * math.log(2.0 * math.pi))
        constant = (
            math.lgamma(0.5 * (self.dof + size))
            - math.lgamma(0.5 * self.dof)
            - 0.5 * size * math.log(self.dof * math.pi)
            - spread
        )
        return np.asarray(constant - 0.5 * (self.dof + size) * np.log1p(squares / self.dof))


def standard(size: int) -> Cloud:
    """The prior: a standard normal in ``size`` dimensions."""
    return Cloud(np.zeros(size), np.eye(size), math.inf)


def fit(
    z: Floats, weights: Floats, *, dof: float, widen: float = 1.0, lean: Floats | None = None
) -> Cloud:
    """Cloud with the weighted mean and covariance of z (n, d).

    ``lean`` (d, d) is the covariance to lean on when the weights are worth few worlds: it counts
    as 2 d of them. ``widen`` multiplies the covariance.
    """
    size = z.shape[1]
    mean = weights @ z
    centred = z - mean
    worth = 1.0 / float(np.sum(weights * weights))
    covariance = (centred * weights[:, None]).T @ centred / max(1.0 - 1.0 / worth, 0.1)
    if lean is not None:
        trust = worth / (worth + 2.0 * size)
        covariance = trust * covariance + (1.0 - trust) * lean
    covariance = widen * covariance + 1e-6 * np.eye(size)
    return Cloud(mean, np.asarray(np.linalg.cholesky(covariance), dtype=float), dof)


def log_mixture(z: Floats, clouds: Sequence[Cloud], counts: Sequence[int]) -> Floats:
    """Log of the count-weighted mean density of the clouds at z (n, d), shape (n,)."""
    shares = np.log(np.asarray(counts, dtype=float) / sum(counts))
    each = np.stack([cloud.log_density(z) for cloud in clouds]) + shares[:, None]
    top = each.max(axis=0)
    return np.asarray(top + np.log(np.sum(np.exp(each - top), axis=0)))

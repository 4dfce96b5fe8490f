"""What is not known, written as a draw from a standard normal.

Every unknown of a tannage (how strong a bark is, how fast tannin moves into a pelt) is a monotone
function of one standard-normal number ``z``.  A world is a vector of such numbers; an ensemble is
a matrix of shape (members, unknowns).  Priors are therefore N(0, I) whatever the unknowns are, and
an update moves ``z`` only.

Three shapes serve all of them:

* ``log``: value = median * exp(spread * z), for positive amounts and rates;
* ``logit``: odds = odds(median) * exp(spread * z), for shares between 0 and 1;
* ``linear``: value = median + spread * z.

Source: the transforms are the usual Johnson (1949) systems SL, SB and SN.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Shape = Literal["log", "logit", "linear"]


@dataclass(frozen=True)
class Unknown:
    """One unknown with its prior.

    Attributes
    ----------
    name:
        Stable key, for example ``"tannin:quercus-robur-bark"``.
    label:
        The same in plain words, for the causes of a range ("how strong the bark is").
    median:
        Prior median in ``unit`` (for ``logit`` a share between 0 and 1).
    spread:
        Standard deviation in the transformed space (log, log-odds or plain).
    shape:
        ``"log"``, ``"logit"`` or ``"linear"``.
    unit:
        Unit of the value, as printed.
    sources:
        Citation keys of reference/references.bib, or ``("memory",)`` / ``("common-practice",)``.
    """

    name: str
    label: str
    median: float
    spread: float
    shape: Shape
    unit: str
    sources: tuple[str, ...]

    def __post_init__(self) -> None:
        if self.spread < 0.0:
            raise ValueError(f"{self.name}: spread must not be negative")
        if self.shape == "log" and self.median <= 0.0:
            raise ValueError(f"{self.name}: median of a log unknown must be positive")
        if self.shape == "logit" and not 0.0 < self.median < 1.0:
            raise ValueError(f"{self.name}: median of a logit unknown lies between 0 and 1")

    def value(self, z: Floats | float) -> Floats:
        """Physical value(s) in ``unit`` for standard-normal ``z`` (any shape)."""
        z = np.asarray(z, dtype=float)
        if self.shape == "log":
            return np.asarray(self.median * np.exp(self.spread * z))
        if self.shape == "logit":
            odds = self.median / (1.0 - self.median) * np.exp(self.spread * z)
            return np.asarray(odds / (1.0 + odds))
        return np.asarray(self.median + self.spread * z)

    def z(self, value: Floats | float) -> Floats:
        """Inverse of :meth:`value`. Raises ValueError outside the support or at zero spread."""
        if self.spread == 0.0:
            raise ValueError(f"{self.name} is known exactly: it has no z")
        value = np.asarray(value, dtype=float)
        if self.shape == "log":
            if np.any(value <= 0.0):
                raise ValueError(f"{self.name}: value must be positive")
            return np.asarray(np.log(value / self.median) / self.spread)
        if self.shape == "logit":
            if np.any((value <= 0.0) | (value >= 1.0)):
                raise ValueError(f"{self.name}: value must lie between 0 and 1")
            odds = value / (1.0 - value)
            return np.asarray(np.log(odds * (1.0 - self.median) / self.median) / self.spread)
        return np.asarray((value - self.median) / self.spread)

    def quantile(self, probability: Floats | float) -> Floats:
        """Prior quantile(s) in ``unit``; ``probability`` between 0 and 1."""
        from scipy.special import ndtri

        return self.value(ndtri(np.asarray(probability, dtype=float)))


def draw(count: int, unknowns: Sequence[Unknown], rng: np.random.Generator) -> Floats:
    """Stratified standard-normal draws, shape (count, len(unknowns)).

    Each column is a Latin hypercube sample, so that medians and tails of a small ensemble are
    close to those of the prior. Source: McKay, Beckman and Conover (1979).
    """
    from scipy.special import ndtri

    strata = np.stack([rng.permutation(count) for _ in unknowns], axis=1)
    return np.asarray(ndtri((strata + rng.random(strata.shape)) / count))

"""Surfaces over blends: what each share of a mixture does to a quality, and which blend to try.

Shares sum to 1, so the usual polynomials have a column too many; Scheffe (1958) leaves out the
level and the squares.  Wishes are put on one scale of desirability, 0 useless to 1 all that is
asked, and multiplied as a geometric mean (Derringer and Suich 1980).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from tanwright.errors import InputError
from tanwright.science.values import Floats

Degree = Literal["linear", "quadratic", "special cubic"]
Terms = tuple[tuple[int, ...], ...]
"""Materials of each product, such as ((0,), (1,), (0, 1))."""
MOST_MATERIALS = 6
CLOSE_TO_ONE = 1e-6


def terms(materials: int, degree: Degree) -> Terms:
    """Products of a Scheffe polynomial in ``materials`` shares, single shares first."""
    if not 2 <= materials <= MOST_MATERIALS:
        raise InputError(
            f"a blend of {materials} materials cannot be drawn as a surface",
            remedy=f"blend 2 to {MOST_MATERIALS}",
        )
    order = {"linear": 1, "quadratic": 2, "special cubic": 3}[degree]
    return tuple(
        one
        for size in range(1, min(order, materials) + 1)
        for one in combinations(range(materials), size)
    )


def expand(shares: Floats, products: Terms) -> Floats:
    """Columns of the polynomial (n, k) for ``shares`` (n, q) that sum to 1 in each row."""
    if shares.size and (
        shares.min() < -CLOSE_TO_ONE or np.abs(shares.sum(axis=1) - 1.0).max() > CLOSE_TO_ONE
    ):
        raise InputError("the shares of a blend must sum to 1", remedy="give parts of the whole")
    return np.stack([shares[:, list(one)].prod(axis=1) for one in products], axis=1)


@dataclass(frozen=True)
class Polynomial:
    """A Scheffe polynomial by least squares: coefficients (k,), their errors, the rest."""

    products: Terms
    coefficients: Floats
    errors: Floats
    rest_sd: float

    def at(self, shares: Floats) -> Floats:
        """Fitted values (n,) at ``shares`` (n, q)."""
        return np.asarray(expand(shares, self.products) @ self.coefficients)


def fit_polynomial(shares: Floats, values: Floats, degree: Degree) -> Polynomial:
    """Least squares by statsmodels, no prior: for tables of textbooks, and as a second opinion.

    Raises
    ------
    InputError
        When there are fewer blends than coefficients.
    """
    from statsmodels.regression.linear_model import OLS  # here: it takes a second to load

    products = terms(shares.shape[1], degree)
    columns = expand(shares, products)
    if np.linalg.matrix_rank(columns) < len(products) or values.size <= len(products):
        raise InputError(
            f"too few different blends for a {degree} surface",
            remedy=f"try {len(products) + 1 - min(values.size, len(products))} more, "
            "or ask for a flatter surface",
        )
    found = OLS(values, columns).fit()
    return Polynomial(
        products, np.asarray(found.params), np.asarray(found.bse), float(np.sqrt(found.scale))
    )


def lattice(materials: int, parts: int) -> Floats:
    """All blends in whole ``parts``: (n, materials) in a fixed order, pure ones among them."""
    rows = [
        np.diff((-1, *bars, parts + materials - 1)) - 1
        for bars in combinations(range(parts + materials - 1), materials - 1)
    ]
    return np.asarray(rows, dtype=float) / parts


def within_limits(shares: Floats, lowest: Floats, highest: Floats) -> Floats:
    """The rows of ``shares`` (n, q) inside limits (q,) of each share.

    Raises
    ------
    InputError
        When no blend fits.
    """
    good = ((shares >= lowest - 1e-9) & (shares <= highest + 1e-9)).all(axis=1)
    if not good.any():
        raise InputError("no blend fits these limits", remedy="loosen one of them")
    return shares[good]


@dataclass(frozen=True)
class Wish:
    """What is wanted of one quality.

    ``worst`` counts nothing and ``best`` counts whole; ``worst > best`` when less is better. With
    ``beyond`` as a second worst, ``best`` is a target to hit from either side.
    """

    worst: float
    best: float
    beyond: float | None = None


def desirability(value: Floats, wish: Wish) -> Floats:
    """0 to 1 for ``value`` of any shape."""
    if wish.worst == wish.best or wish.beyond == wish.best:
        raise InputError("what is wanted and what is useless are the same", remedy="set them apart")
    rising = (value - wish.worst) / (wish.best - wish.worst)
    if wish.beyond is not None:
        falling = (value - wish.beyond) / (wish.best - wish.beyond)
        rising = np.minimum(rising, falling)
    return np.asarray(np.clip(rising, 0.0, 1.0))


def overall(parts: Sequence[Floats]) -> Floats:
    """Geometric mean of desirabilities of the same shape; 0 as soon as one is 0."""
    if not parts:
        raise InputError("nothing is wanted of the blend", remedy="name a quality")
    stacked = np.clip(np.stack(parts), 1e-6, 1.0)
    joint = np.exp(np.log(stacked).mean(axis=0))
    return np.where(np.min(np.stack(parts), axis=0) <= 0.0, 0.0, joint)


@dataclass(frozen=True)
class Choice:
    """What to use and what to try next among m blends.

    Attributes
    ----------
    best:
        Row of the blend with the highest expected desirability.
    expected, low, high:
        Desirability of every blend (m,): mean and 90 % range.
    chance_best:
        Chance (m,) that a blend is the best of all; sums to 1.
    next:
        Row of the blend whose trial is expected to improve most on ``best``; ``None`` when none
        promises anything.
    gain:
        That expected improvement (m,).
    """

    best: int
    expected: Floats
    low: Floats
    high: Floats
    chance_best: Floats
    next: int | None
    gain: Floats


LEAST_GAIN = 0.005
"""Expected improvement under which another trial is not worth a jar."""


def choose(desired: Floats, tried: Floats | None = None) -> Choice:
    """Best blend and next trial from draws of overall desirability.

    Parameters
    ----------
    desired:
        (d, m), draws by blends.
    tried:
        True (m,) for blends that have been tried often enough to leave out of the next trial.

    The gain is the expected improvement over the blend that is best so far, E max(D - D_best, 0)
    (Mockus; Jones, Schonlau and Welch 1998), over what is believed of the surface.
    """
    expected = desired.mean(axis=0)
    best = int(np.argmax(expected))
    gain = np.maximum(desired - desired[:, [best]], 0.0).mean(axis=0)
    if tried is not None:
        gain = np.where(tried, 0.0, gain)
    low, high = np.percentile(desired, (5.0, 95.0), axis=0)
    winners = np.bincount(np.argmax(desired, axis=1), minlength=desired.shape[1])
    top = int(np.argmax(gain))
    return Choice(
        best=best,
        expected=expected,
        low=low,
        high=high,
        chance_best=winners / desired.shape[0],
        next=top if gain[top] > LEAST_GAIN else None,
        gain=gain,
    )

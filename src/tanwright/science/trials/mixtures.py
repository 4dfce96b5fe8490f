"""Blends to try: points of a simplex, the polynomial that is fitted over them, and stock limits.

The lattice, the centroid design and the first exchange of points come from pydoe; the exchange goes
on from there and from some random starts, on the canonical polynomial.  A blend's shares sum to 1,
so the quadratic in all of them but the last spans the same surfaces as the canonical mixture
polynomial (Scheffe 1958), and a design that is best for one is best for the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from tanwright.errors import InputError
from tanwright.science.values import Floats, floats

MOST_MATERIALS: Final = 5
_ALPHA: Final = 1e-3
"""Ridge of the first points of the exchange, which would else begin at a singular design."""
_STARTS: Final = 6
"""Random starts of the exchange beside that of pydoe."""
Order = Literal[1, 2, 3]
"""Linear, quadratic, special cubic."""


@dataclass(frozen=True)
class Blends:
    """Blends to try.

    Attributes
    ----------
    shares:
        (blends, materials), each row sums to 1.
    order:
        Of the polynomial that they can bear.
    efficiency:
        D-efficiency against the best design of as many blends without limits, 0 to 1.
    upper:
        Largest share of each material that the stock allows, (materials,).
    """

    shares: Floats
    order: Order
    efficiency: float
    upper: Floats


def lattice(materials: int, degree: int) -> Floats:
    """All blends of ``materials`` whose shares are multiples of 1/``degree``, (blends, materials).

    There are (materials + degree - 1)! / (degree! (materials - 1)!) of them.
    """
    _check(materials)
    if not 1 <= degree <= 20:
        raise InputError(f"{degree} is no degree of a lattice", remedy="choose 1 to 20")
    from pydoe import simplex_lattice_design

    return np.asarray(simplex_lattice_design(materials, degree), dtype=float)


def centroid(materials: int) -> Floats:
    """Every material alone and every even blend of some of them, (2**materials - 1, materials)."""
    _check(materials)
    from pydoe import simplex_centroid_design

    return np.asarray(simplex_centroid_design(materials), dtype=float)


def _check(materials: int) -> None:
    if not 2 <= materials <= MOST_MATERIALS:
        raise InputError(
            f"{materials} materials make no blend that a home trial can map",
            remedy=f"choose 2 to {MOST_MATERIALS}",
        )


def canonical(shares: Floats, order: Order) -> Floats:
    """Terms of the canonical mixture polynomial, (blends, terms): no constant.

    ``order`` 1 has the shares, 2 their products by two as well, 3 those by three too.
    """
    x = floats(shares)
    terms = [x]
    for many in range(2, order + 1):
        products = [np.prod(x[:, list(of)], axis=1) for of in combinations(range(x.shape[1]), many)]
        if products:
            terms.append(np.stack(products, axis=1))
    return np.concatenate(terms, axis=1)


def d_value(shares: Floats, order: Order) -> float:
    """det(X'X)**(1/p) / n of the canonical polynomial: D-efficiency up to a constant."""
    x = canonical(shares, order)
    sign, logdet = np.linalg.slogdet(x.T @ x)
    return float(np.exp(logdet / x.shape[1]) / x.shape[0]) if sign > 0 else 0.0


def enough_for(materials: int, order: Order) -> int:
    """How many blends the polynomial needs at least."""
    return int(canonical(np.eye(materials), order).shape[1])


def choose(
    materials: int,
    blends: int,
    *,
    order: Order = 2,
    upper: Sequence[float] | None = None,
    lower: Sequence[float] | None = None,
    degree: int = 6,
) -> Blends:
    """The ``blends`` blends that bear the polynomial best, none beyond the limits.

    Parameters
    ----------
    materials:
        How many, 2 to 5.
    blends:
        How many different blends, at least :func:`enough_for`.
    order:
        Of the polynomial; pydoe begins with the quadratic where it is 3 (special cubic).
    upper, lower:
        Largest and smallest share of each material, (materials,).
    degree:
        Candidates are the lattice of this degree.

    Raises
    ------
    InputError
        When the limits leave too few blends.
    """
    _check(materials)
    high = np.ones(materials) if upper is None else np.minimum(floats(np.array(upper)), 1.0)
    low = np.zeros(materials) if lower is None else floats(np.array(lower))
    every = _candidates(materials, degree)
    corners = _corners(low, high)
    allowed = np.all((every <= high + 1e-9) & (every >= low - 1e-9), axis=1)
    candidates = every[allowed]
    if corners.size:
        candidates = np.unique(np.concatenate([candidates, corners]).round(12), axis=0)
    need = enough_for(materials, order)
    if blends < need or len(candidates) < blends:
        raise InputError(
            f"{min(blends, len(candidates))} blends cannot bear the surface that needs {need}",
            remedy="get more of the scarce material, use fewer materials, or more jars",
        )
    chosen = _exchanged(candidates, blends, order)
    top = _best_of_all(materials, blends, order, degree)
    efficiency = d_value(chosen, order) / top if top > 0.0 else 0.0
    if efficiency < 1e-6:
        raise InputError(
            "the blends that the stock allows lie too close together",
            remedy="get more of the scarce material, or use fewer materials",
        )
    return Blends(chosen, order, min(efficiency, 1.0), high)


def _candidates(materials: int, degree: int) -> Floats:
    every = np.concatenate([lattice(materials, degree), centroid(materials)])
    return np.asarray(np.unique(every.round(12), axis=0))


@lru_cache(maxsize=32)
def _best_of_all(materials: int, blends: int, order: Order, degree: int) -> float:
    """D of the best blends without limits."""
    return d_value(_exchanged(_candidates(materials, degree), blends, order), order)


def _exchanged(candidates: Floats, blends: int, order: Order) -> Floats:
    """The best of what pydoe's exchange finds and of some random starts, each exchanged on."""
    from pydoe.optimal import optimal_design

    found, _ = optimal_design(
        candidates[:, :-1], blends, min(order, 2), criterion="D", method="fedorov", alpha=_ALPHA
    )
    terms = canonical(candidates, order)
    away = np.abs(candidates[None, :, :-1] - np.asarray(found)[:, None, :]).sum(axis=2)
    starts = [np.unique(np.argmin(away, axis=1))]
    rng = np.random.default_rng(0)
    starts += [np.empty(0, dtype=np.int64)] * _STARTS
    best, top = starts[0], -np.inf
    for start in starts:
        rest = rng.permutation(np.setdiff1d(np.arange(len(candidates)), start))
        chosen = np.concatenate([start, rest[: blends - start.size]])
        chosen, value = _improved(terms, chosen)
        if value > top + 1e-9:
            best, top = chosen, value
    shares = candidates[best]
    shares = np.where(np.abs(shares) < 1e-9, 0.0, shares)
    return np.asarray(shares[np.lexsort((*-shares.T[::-1],))])


def _improved(terms: Floats, chosen: NDArray[np.int64]) -> tuple[NDArray[np.int64], float]:
    """Exchange one blend at a time for the one that raises the determinant most (Fedorov 1972).

    ``terms`` (candidates, p); gives the rows and the log of the determinant, with a ridge of a
    millionth so that a singular start can be left.
    """
    chosen = chosen.copy()
    while True:
        x = terms[chosen]
        inverse = np.linalg.inv(x.T @ x + 1e-6 * np.eye(terms.shape[1]))
        across = terms @ inverse @ x.T
        own = np.diag(across[chosen])
        every = ((terms @ inverse) * terms).sum(axis=1)
        gain = (1.0 + every[:, None]) * (1.0 - own[None, :]) + across**2
        gain[chosen] = 0.0
        row, place = np.unravel_index(int(np.argmax(gain)), gain.shape)
        if gain[row, place] <= 1.0 + 1e-6:
            return chosen, float(-np.linalg.slogdet(inverse)[1])
        chosen[place] = row


def _corners(low: Floats, high: Floats) -> Floats:
    """Blends in which all shares but one lie at a limit (the corners of the region)."""
    materials, found = low.size, []
    for free in range(materials):
        others = [index for index in range(materials) if index != free]
        for mask in range(2 ** (materials - 1)):
            shares = np.zeros(materials)
            for bit, index in enumerate(others):
                shares[index] = high[index] if mask >> bit & 1 else low[index]
            shares[free] = 1.0 - shares.sum()
            if low[free] - 1e-9 <= shares[free] <= high[free] + 1e-9:
                found.append(np.maximum(shares, 0.0))
    return np.array(found)


def within_stock(
    materials: int,
    blends: int,
    stock_kg: Sequence[float | None],
    kg_each: float,
    *,
    order: Order = 2,
    spare_share: float = 0.1,
) -> Blends:
    """As :func:`choose`, with shares held down until all jars together fit the stock.

    Parameters
    ----------
    stock_kg:
        Dry material in hand, kg, by material; ``None``: as much as is wanted.
    kg_each:
        Dry material in the jars of one blend, kg.
    spare_share:
        Of the stock, kept back.

    Raises
    ------
    InputError
        When even the smallest useful shares do not fit.
    """
    upper = np.ones(materials)
    room = np.array(
        [np.inf if kg is None else (1.0 - spare_share) * kg / kg_each for kg in stock_kg]
    )
    upper = np.minimum(upper, room)
    for _ in range(60):
        if upper.sum() < 1.0 - 1e-9:
            break
        found = choose(materials, blends, order=order, upper=list(upper))
        over = found.shares.sum(axis=0) > room + 1e-9
        if not over.any():
            return found
        upper = np.where(over, 0.93 * upper, upper)
        if upper[over].min() < 0.1:
            break
    scarce = int(np.argmin(room))
    raise InputError(
        f"the stock of material {scarce + 1} is too small for {blends} blends",
        remedy="use smaller patches, fewer blends, or get more of it",
    )

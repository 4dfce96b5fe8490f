"""Belief about the class of a tannin and its strength, updated by simple tests on a grid.

A test either names a class (iron goes blue-black) or grades the strength (gelatin clouds or
curdles).  Both need some tannin to show anything: the share of tries that notice it rises with the
logarithm of the strength as a cumulative normal (a probit, Bliss 1934).  Below that the test shows
what it shows in plants without tannin.

Shapes: c classes, n strengths of the grid. Strengths are % of the air-dry material.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tanwright.science.belief.unknowns import Floats


def noticed(tannin_pct: Floats, see_pct: float, spread: float) -> Floats:
    """Share of tries in which the test shows something, (n,): one half at ``see_pct``."""
    return _normal((np.log(tannin_pct) - np.log(see_pct)) / spread)


def naming(
    tannin_pct: Floats, shares: Sequence[float], none: float, see_pct: float, spread: float
) -> Floats:
    """Chance of a result that names a class, (c, n).

    ``shares`` (c,) are its shares with each class, ``none`` its share without tannin.
    """
    seen = noticed(tannin_pct, see_pct, spread)
    return np.asarray(np.asarray(shares)[:, None] * seen + none * (1.0 - seen))


def grading(
    tannin_pct: Floats,
    thresholds_pct: Sequence[float],
    none: Sequence[float],
    index: int,
    see_pct: float,
    spread: float,
) -> Floats:
    """Chance of step ``index`` of a graded test, (n,).

    ``thresholds_pct`` (k - 1,) are the rising strengths from which each step but the first is
    likelier than the one before it; ``none`` (k,) the shares without tannin.
    """
    log = np.log(tannin_pct)
    edges = [np.ones_like(log)]
    edges += [_normal((log - np.log(limit)) / spread) for limit in thresholds_pct]
    edges.append(np.zeros_like(log))
    seen = noticed(tannin_pct, see_pct, spread)
    return np.asarray((edges[index] - edges[index + 1]) * seen + none[index] * (1.0 - seen))


def with_slips(chance: Floats, results: int, slips: float) -> Floats:
    """The chance when a share ``slips`` of tries is misread as any of the ``results``."""
    return np.asarray((1.0 - slips) * chance + slips / results)


def updated(joint: Floats, chance: Floats, trust: float = 1.0) -> Floats:
    """Belief (c, n) after a result of ``chance`` (c, n) or (n,), summing to 1.

    A ``trust`` below 1 tempers the result: 0.5 counts it half.
    """
    weighed = joint * chance**trust
    return np.asarray(weighed / weighed.sum())


def percentile(tannin_pct: Floats, weights: Floats, share: float) -> float:
    """Strength below which ``share`` of the weights (n,) lie, straight between points."""
    below = np.cumsum(weights) - 0.5 * weights
    return float(np.interp(share, below / weights.sum(), tannin_pct))


def _normal(x: Floats) -> Floats:
    from scipy.special import ndtr

    return np.asarray(ndtr(x))

"""Effects in groups, each group drawn together by a spread of its own that is not known.

Everything that a trial shows is a sum of effects: treatment, block, jar, patch, grader.  The
effects of one group are normal about zero with a common spread (a hierarchical prior), so a group
of three patches cannot shout.  For given spreads the effects are found at their most likely place,
with a normal approximation there (Laplace); the spreads are integrated over by weighted points.
This is the nested Laplace approximation of Rue, Martino and Chopin (2009), in its plain form.

A likelihood only has to be concave in the effects; see :mod:`.ordinal` for grades and measures and
:mod:`.ranks` for pieces laid in a row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve
from scipy.linalg.lapack import dtrtri
from scipy.special import ndtri
from scipy.stats import qmc

from tanwright.errors import InputError
from tanwright.science.values import Floats

NEWTON_STEPS = 40
CLOSE = 1e-8
ROUND = 32
"""Points of the spreads tried in each round; all of them count in the end."""
LEAST_ROUNDS, MOST_ROUNDS = 3, 9
ENOUGH_POINTS = 12.0
"""With as many effective points no further round is made."""
FEW_POINTS = 6.0
"""Fewer effective points than this and the answer hangs on one guess of the spreads."""


@dataclass(frozen=True)
class Scale:
    """A positive figure that is not known: log-normal with this median and spread of the log."""

    name: str
    median: float
    log_sd: float


@dataclass(frozen=True)
class Group:
    """Effects ``start`` to ``stop`` of the vector, normal about zero with spread ``sd``."""

    start: int
    stop: int
    sd: Scale


@dataclass(frozen=True)
class Bend:
    """Minus the second derivatives, in parts.

    ``core`` (q, q) for the first q effects, ``cross`` (q, l) between them and the l local ones,
    ``local`` (l,) where local effects do not touch one another, else (l, l).
    """

    core: Floats
    cross: Floats
    local: Floats

    def __add__(self, other: Bend) -> Bend:
        one, two = self.local, other.local
        if one.ndim != two.ndim:
            one = np.diag(one) if one.ndim == 1 else one
            two = np.diag(two) if two.ndim == 1 else two
        return Bend(self.core + other.core, self.cross + other.cross, one + two)


class Likelihood(Protocol):
    """What was seen, as a concave function of the effects: core effects first, then local ones."""

    @property
    def scales(self) -> tuple[Scale, ...]:
        """Figures of its own that are not known."""
        ...

    def parts(self, effects: Floats, scales: Floats) -> tuple[float, Floats, Bend]:
        """Log-likelihood, its gradient (p,) and its bend."""
        ...


@dataclass(frozen=True)
class Together:
    """Two likelihoods or more that speak of the same effects."""

    each: tuple[Likelihood, ...]

    @property
    def scales(self) -> tuple[Scale, ...]:
        """Scales of all, in order."""
        return tuple(scale for part in self.each for scale in part.scales)

    def parts(self, effects: Floats, scales: Floats) -> tuple[float, Floats, Bend]:
        """Sums over the likelihoods."""
        at = len(self.each[0].scales)
        value, slope, bend = self.each[0].parts(effects, scales[:at])
        for part in self.each[1:]:
            own = scales[at : at + len(part.scales)]
            at += len(part.scales)
            more, steeper, sharper = part.parts(effects, own)
            value, slope, bend = value + more, slope + steeper, bend + sharper
        return value, slope, bend


@dataclass(frozen=True)
class Model:
    """A likelihood with its priors.

    Attributes
    ----------
    likelihood:
        Of the p effects: q core ones, then ``local`` ones (the patches), the last group.
    groups:
        Effects that share a spread; together with ``mean`` and ``precision`` they cover all p.
    mean, precision:
        Prior of the core effects outside groups (thresholds, level): (q,) and (q, q); zero for
        those in groups.
    local:
        How many effects are local; their prior mean is zero.
    """

    likelihood: Likelihood
    groups: tuple[Group, ...]
    mean: Floats
    precision: Floats
    local: int = 0

    @property
    def scales(self) -> tuple[Scale, ...]:
        """Spreads of the groups, then the scales of the likelihood."""
        return (*(group.sd for group in self.groups), *self.likelihood.scales)

    @property
    def start(self) -> Floats:
        """Where the search begins (p,)."""
        return np.concatenate([self.mean, np.zeros(self.local)])


@dataclass(frozen=True)
class Peak:
    """Most likely effects for given scales, and how well these scales explain what was seen."""

    effects: Floats
    root: Floats
    """Lower triangle L of the curvature of the core effects with local ones left free, L L'."""
    log_evidence: float
    settled: bool


def peak(model: Model, scales: Floats, start: Floats | None = None) -> Peak:
    """Laplace approximation for given ``scales`` (s,), by Newton steps that never go downhill."""
    count, core = len(model.groups), model.mean.size
    pull_of = np.zeros(core + model.local)
    log_det = _log_det(model.precision)
    for group, sd in zip(model.groups, scales[:count], strict=True):
        pull_of[group.start : group.stop] = 1.0 / sd**2
        log_det -= 2.0 * (group.stop - group.start) * float(np.log(sd))
    precision = model.precision + np.diag(pull_of[:core])
    rest = scales[count:]

    def height(effects: Floats) -> tuple[float, Floats, Bend]:
        value, slope, bend = model.likelihood.parts(effects, rest)
        away = effects[:core] - model.mean
        pull = np.concatenate([precision @ away, pull_of[core:] * effects[core:]])
        drop = 0.5 * float(away @ pull[:core] + effects[core:] @ pull[core:])
        local = bend.local + (pull_of[core:] if bend.local.ndim == 1 else np.diag(pull_of[core:]))
        return value - drop, slope - pull, Bend(bend.core + precision, bend.cross, local)

    effects = model.start if start is None else start
    value, slope, bend = height(effects)
    if not np.isfinite(value):
        effects = model.start
        value, slope, bend = height(effects)
    settled = False
    for _ in range(NEWTON_STEPS):
        step = _Folded(bend).solve(slope)
        gain = float(slope @ step)
        if gain < CLOSE:
            settled = True
            break
        length = 1.0
        while length > 1e-8:
            new_value, new_slope, new_bend = height(effects + length * step)
            if np.isfinite(new_value) and new_value >= value + 1e-4 * length * gain - 1e-10:
                break
            length *= 0.5
        else:
            break
        effects, value, slope, bend = effects + length * step, new_value, new_slope, new_bend
    folded = _Folded(bend)
    evidence = value + 0.5 * log_det - 0.5 * folded.log_det
    return Peak(np.asarray(effects, dtype=float), folded.root, evidence, settled)


class _Folded:
    """A bend with its local effects solved out (Schur complement)."""

    def __init__(self, bend: Bend) -> None:
        self._bend = bend
        if bend.local.ndim == 1:
            self._local_root = None
            lean = bend.cross.T / bend.local[:, None]
            local_log_det = float(np.log(bend.local).sum())
        else:
            self._local_root = cho_factor(bend.local, lower=True, check_finite=False)
            lean = cho_solve(self._local_root, bend.cross.T, check_finite=False)
            local_log_det = 2.0 * float(np.log(np.diag(self._local_root[0])).sum())
        self._lean = lean
        self.root = np.asarray(np.linalg.cholesky(bend.core - bend.cross @ lean), dtype=float)
        self.log_det = 2.0 * float(np.log(np.diag(self.root)).sum()) + local_log_det

    def solve(self, slope: Floats) -> Floats:
        core = self._bend.core.shape[0]
        first = slope[:core] - self._lean.T @ slope[core:]
        step = cho_solve((self.root, True), first, check_finite=False)
        if self._local_root is None:
            rest = slope[core:] / self._bend.local
        else:
            rest = cho_solve(self._local_root, slope[core:], check_finite=False)
        return np.concatenate([step, rest - self._lean @ step])


def _log_det(precision: Floats) -> float:
    free = np.flatnonzero(precision.any(axis=1))
    return float(np.linalg.slogdet(precision[np.ix_(free, free)])[1]) if free.size else 0.0


@dataclass(frozen=True)
class Fit:
    """Draws from what is believed after the trial.

    ``effects`` is (d, q), without the local ones; ``scales`` (d, s) in the order of
    ``Model.scales``.  ``points`` is the effective number of points of the scales, ``settled``
    false when a search did not end.
    """

    effects: Floats
    scales: Floats
    log_evidence: float
    points: float
    settled: bool


def fit(model: Model, *, seed: int = 0, draws: int = 4000) -> Fit:
    """What is believed of the effects and of the scales, as ``draws`` equal draws.

    The scales are tried at points drawn from their priors, then in rounds from a normal fitted to
    the points so far, twice and further until enough of them count; all points are weighted
    against the mixture they came from (adaptive multiple importance sampling, Cornuet and others
    2012).

    Raises
    ------
    InputError
        When what was seen holds figures that cannot be reckoned with.
    """
    count = len(model.scales)
    centre = np.log([scale.median for scale in model.scales])
    width = np.array([scale.log_sd for scale in model.scales])
    where: list[Floats] = []
    peaks: list[Peak] = []
    proposals: list[tuple[Floats, Floats, int]] = []
    middle, spread = np.zeros(count), np.eye(count)
    start = model.start
    weights = np.ones(1)
    log_mean = 0.0
    points = 0.0
    for number in range(MOST_ROUNDS if count else 1):
        if number >= LEAST_ROUNDS and points >= ENOUGH_POINTS:
            break
        size = ROUND if count else 1
        tries = middle + _normal_points(count, size, seed + number) @ np.linalg.cholesky(spread).T
        proposals.append((middle, spread, size))
        for z in tries:
            try:
                found = peak(model, np.exp(centre + width * z), start)
            except (LinAlgError, np.linalg.LinAlgError) as trouble:
                raise InputError(
                    "the figures of the trial cannot be reckoned with",
                    remedy="look for a figure that is far too large",
                ) from trouble
            where.append(z)
            peaks.append(found)
            start = found.effects
        weights, log_mean = _weights(np.array(where), peaks, proposals)
        points = 1.0 / float((weights**2).sum())
        start = peaks[int(np.argmax(weights))].effects
        if count:
            middle, spread = _fitted(np.array(where), weights)
    rng = np.random.default_rng(seed)
    chosen = _systematic(weights, draws, rng)
    core = model.mean.size
    effects = rng.standard_normal((draws, core))
    for index in np.unique(chosen):
        rows = chosen == index
        turn, _ = dtrtri(peaks[index].root, lower=1)
        effects[rows] = peaks[index].effects[:core] + effects[rows] @ turn
    return Fit(
        effects=effects,
        scales=np.exp(centre + width * np.array(where)[chosen]),
        log_evidence=log_mean,
        points=points,
        settled=all(peaks[i].settled for i in np.flatnonzero(weights > 1e-3)),
    )


def _normal_points(count: int, size: int, seed: int) -> Floats:
    """Evenly strewn standard normal points (size, count)."""
    if not count:
        return np.zeros((size, 0))
    uniform = qmc.Sobol(count, rng=np.random.default_rng(seed)).random(size)
    return np.asarray(ndtri(np.clip(uniform, 1e-6, 1.0 - 1e-6)))


def _log_normal_density(points: Floats, middle: Floats, spread: Floats) -> Floats:
    root = np.linalg.cholesky(spread)
    away = np.linalg.solve(root, (points - middle).T)
    return np.asarray(-0.5 * (away**2).sum(axis=0) - np.log(np.diag(root)).sum())


def _weights(
    where: Floats, peaks: Sequence[Peak], proposals: Sequence[tuple[Floats, Floats, int]]
) -> tuple[Floats, float]:
    """Weights of all points, summing to 1, and the log of their mean before scaling."""
    total = sum(size for _, _, size in proposals)
    mixture = np.logaddexp.reduce(
        [
            np.log(size / total) + _log_normal_density(where, middle, spread)
            for middle, spread, size in proposals
        ]
    )
    prior = -0.5 * (where**2).sum(axis=1)
    log_weights = np.array([found.log_evidence for found in peaks]) + prior - mixture
    top = float(log_weights.max())
    weights = np.exp(log_weights - top)
    return weights / weights.sum(), top + float(np.log(weights.mean()))


def _fitted(where: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """A normal about the weighted points, wide on purpose; weights are levelled while few count."""
    level = weights
    power = 1.0
    while 1.0 / float((level**2).sum()) < 2.0 * (where.shape[1] + 1) and power > 0.05:
        power *= 0.7
        level = weights**power
        level = level / level.sum()
    middle = level @ where
    away = where - middle
    spread = (away * level[:, None]).T @ away
    return middle, 1.2 * spread + 0.05 * np.eye(where.shape[1])


def _systematic(weights: Floats, draws: int, rng: np.random.Generator) -> np.ndarray:
    """Indices drawn in proportion to ``weights``, with as little chance in it as can be."""
    steps = (np.arange(draws) + rng.random()) / draws
    return np.minimum(np.searchsorted(np.cumsum(weights), steps), weights.size - 1)

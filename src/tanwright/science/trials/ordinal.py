"""Grades on a ladder of steps, and measures with a unit, as likelihoods of effects.

Grades follow the cumulative logit model (McCullagh 1980): a grade is ``k`` when what the grader
felt, ``eta`` plus logistic noise, lies between thresholds ``k - 1`` and ``k``.  Its log-likelihood
is concave in thresholds and effects together (Pratt 1981), so there is one peak.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, log_expit

from tanwright.errors import InputError
from tanwright.science.trials.effects import Bend, Scale
from tanwright.science.values import Floats

Ints = NDArray[np.int64]
STEP = 2.5
"""Usual width of a step against the noise of one grade (logistic, scale 1), from memory."""
STEP_SD = 1.5
MIDDLE_SD = 5.0


@dataclass(frozen=True)
class Seat:
    """Which local effect (patch) each of n looks sits on: numbers (n,) below ``count``.

    ``None`` for the numbers when patches have no effect of their own.
    """

    number: Ints | None = None
    count: int = 0

    def lift(self, local: Floats) -> Floats | float:
        """What the local effects (count,) add to each look."""
        return 0.0 if self.number is None else local[self.number]

    def sums(self, values: Floats) -> Floats:
        """Sums of ``values`` (n,) or (n, k) over the looks of each patch."""
        if self.number is None:
            return np.zeros((0, *values.shape[1:]))
        if values.ndim == 1:
            return np.bincount(self.number, values, minlength=self.count).astype(float)
        out = np.zeros((self.count, values.shape[1]))
        np.add.at(out, self.number, values)
        return out


@dataclass(frozen=True)
class Grades:
    """Grades 1 to ``steps`` of n looks.

    Core effects are, in order: ``steps - 1`` thresholds, then what ``design`` (n, q - steps + 1)
    adds up to ``eta``; ``seat`` adds the local ones.
    """

    grade: Ints
    steps: int
    design: Floats
    seat: Seat = field(default_factory=Seat)
    scales: tuple[Scale, ...] = field(default=(), init=False)

    def __post_init__(self) -> None:
        if self.steps < 2:
            raise InputError("a scale has two steps at least")
        if self.grade.size and not (self.grade.min() >= 1 and self.grade.max() <= self.steps):
            raise InputError(
                "a grade lies outside its scale", remedy=f"give a step from 1 to {self.steps}"
            )

    def log_chances(self, effects: Floats) -> Floats:
        """Log of the chance of each grade that was given (n,)."""
        return _log_between(*self._edges(effects))

    def parts(self, effects: Floats, scales: Floats) -> tuple[float, Floats, Bend]:
        """Log-likelihood with gradient and bend; -inf where thresholds cross."""
        cuts, core = self.steps - 1, self.steps - 1 + self.design.shape[1]
        over, under = self._edges(effects)
        width = over - under
        if width.size and np.min(width) <= 0.0:
            count = self.seat.count
            flat = Bend(np.eye(core), np.zeros((core, count)), np.ones(count))
            return -np.inf, np.zeros_like(effects), flat
        value = float(_log_between(over, under).sum())
        q = 1.0 / np.expm1(np.minimum(width, 700.0))
        s = q * (1.0 + q)
        above, below = expit(over), expit(under)
        slope_over, slope_under = 1.0 - above + q, -below - q
        bend_over, bend_under = above * (1.0 - above), below * (1.0 - below)
        weight = bend_over + bend_under

        tops, bottoms = self._marks
        lean = tops * bend_over[:, None] + bottoms * bend_under[:, None]
        whole = np.hstack([-lean, self.design * weight[:, None]])
        curve = np.zeros((core, core))
        between = (tops - bottoms) * s[:, None]
        curve[:cuts, :cuts] = (
            (tops * bend_over[:, None]).T @ tops
            + (bottoms * bend_under[:, None]).T @ bottoms
            + between.T @ (tops - bottoms)
        )
        curve[:, cuts:] = whole.T @ self.design
        curve[cuts:, :cuts] = curve[:cuts, cuts:].T
        pull = -(slope_over + slope_under)
        gradient = np.concatenate(
            [
                slope_over @ tops + slope_under @ bottoms,
                pull @ self.design,
                self.seat.sums(pull),
            ]
        )
        return value, gradient, Bend(curve, self.seat.sums(whole).T, self.seat.sums(weight))

    @cached_property
    def _marks(self) -> tuple[Floats, Floats]:
        eye = np.eye(self.steps + 1)
        return eye[self.grade][:, 1:-1], eye[self.grade - 1][:, 1:-1]

    def _edges(self, effects: Floats) -> tuple[Floats, Floats]:
        cuts, core = self.steps - 1, self.steps - 1 + self.design.shape[1]
        eta = self.design @ effects[cuts:core] + self.seat.lift(effects[core:])
        edges = np.concatenate(([-np.inf], effects[:cuts], [np.inf]))
        return edges[self.grade] - eta, edges[self.grade - 1] - eta


def _log_between(over: Floats, under: Floats) -> Floats:
    """log(F(over) - F(under)) of the logistic law, without loss in the tails."""
    with np.errstate(divide="ignore", invalid="ignore"):
        gap = np.log(-np.expm1(under - over))
    return np.asarray(log_expit(over) + log_expit(-under) + gap)


def threshold_prior(steps: int) -> tuple[Floats, Floats]:
    """Mean (k,) and precision (k, k) of the ``k = steps - 1`` thresholds.

    Steps are about equally wide, :data:`STEP` give or take :data:`STEP_SD`; the middle of the scale
    is left free. A step that nobody gave keeps its prior width.
    """
    cuts = steps - 1
    mean = STEP * (np.arange(cuts) - (cuts - 1) / 2.0)
    change = np.diff(np.eye(cuts), axis=0)
    precision: Floats = change.T @ change / STEP_SD**2 + np.full(
        (cuts, cuts), 1.0 / (cuts * MIDDLE_SD) ** 2
    )
    return np.asarray(mean, dtype=float), np.asarray(precision, dtype=float)


def step_width(thresholds: Floats) -> Floats:
    """Mean width of an inner step, of ``thresholds`` (..., k); :data:`STEP` when there is none."""
    cuts = thresholds.shape[-1]
    if cuts < 2:
        return np.full(thresholds.shape[:-1], STEP)
    wide = (thresholds[..., -1] - thresholds[..., 0]) / (cuts - 1)
    return np.asarray(np.maximum(wide, 0.2 * STEP))


def mean_grade(thresholds: Floats, eta: Floats) -> Floats:
    """Grade that ``eta`` (...) gets on average: 1 + the chances to lie above each threshold.

    ``thresholds`` is (..., k); all but the last axis broadcast against ``eta``.
    """
    grade = np.ones(np.broadcast_shapes(thresholds.shape[:-1], eta.shape))
    for k in range(thresholds.shape[-1]):
        grade += expit(eta - thresholds[..., k])
    return grade


@dataclass(frozen=True)
class Measures:
    """Figures of n measurements, normal about ``design`` (n, q) times the core effects, with
    those of ``seat`` added.
    """

    value: Floats
    design: Floats
    seat: Seat = field(default_factory=Seat)
    noise: Scale = field(default_factory=lambda: Scale("noise", 0.6, 0.8))

    @property
    def scales(self) -> tuple[Scale, ...]:
        """Spread of one measurement."""
        return (self.noise,)

    def parts(self, effects: Floats, scales: Floats) -> tuple[float, Floats, Bend]:
        """Log-likelihood with gradient and bend."""
        sd, core = float(scales[0]), self.design.shape[1]
        fitted = self.design @ effects[:core] + self.seat.lift(effects[core:])
        away = (self.value - fitted) / sd
        value = -0.5 * float(away @ away) - self.value.size * float(
            np.log(sd) + 0.5 * np.log(2.0 * np.pi)
        )
        gradient = np.concatenate([self.design.T @ away, self.seat.sums(away)]) / sd
        bend = Bend(
            self.design.T @ self.design / sd**2,
            self.seat.sums(self.design).T / sd**2,
            self.seat.sums(np.ones(self.value.size)) / sd**2,
        )
        return value, gradient, bend

"""Grades on a ladder of steps, and measures with a unit, as likelihoods of effects.

Grades follow the cumulative logit model (McCullagh 1980): a grade is ``k`` when what the grader
felt, ``eta`` plus logistic noise, lies between thresholds ``k - 1`` and ``k``.  Its log-likelihood is
concave in thresholds and effects together (Pratt 1981), so there is one peak.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, log_expit

from tanwright.errors import InputError
from tanwright.science.trials.effects import Scale
from tanwright.science.values import Floats

Ints = NDArray[np.int64]
STEP = 2.5
"""Usual width of a step against the noise of one grade (logistic, scale 1), from memory."""
STEP_SD = 1.5
MIDDLE_SD = 5.0


@dataclass(frozen=True)
class Grades:
    """Grades 1 to ``steps`` of n looks.

    Effects are, in order: ``steps - 1`` thresholds, then what ``design`` (n, p - steps + 1) adds up
    to ``eta``.
    """

    grade: Ints
    steps: int
    design: Floats
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
        over, under = self._edges(effects)
        return _log_between(over, under)

    def parts(self, effects: Floats, scales: Floats) -> tuple[float, Floats, Floats]:
        """Log-likelihood with gradient and curvature; -inf where thresholds cross."""
        cuts = self.steps - 1
        over, under = self._edges(effects)
        width = over - under
        if width.size and np.min(width) <= 0.0:
            return -np.inf, np.zeros_like(effects), np.eye(effects.size)
        value = float(_log_between(over, under).sum())
        apart = np.where(np.isfinite(width), width, 700.0).clip(max=700.0)
        q = np.where(np.isfinite(width), 1.0 / np.expm1(apart), 0.0)
        s = q * (1.0 + q)
        slope_over = expit(-over) + q
        slope_under = -expit(under) - q
        bend_over = expit(over) * expit(-over)
        bend_under = expit(under) * expit(-under)

        gradient = np.empty_like(effects)
        curvature = np.zeros((effects.size, effects.size))
        eye = np.eye(cuts + 2)
        tops = eye[self.grade][:, 1:-1]
        bottoms = eye[self.grade - 1][:, 1:-1]
        gradient[:cuts] = slope_over @ tops + slope_under @ bottoms
        gradient[cuts:] = -(slope_over + slope_under) @ self.design
        curvature[:cuts, :cuts] = (
            (tops * (bend_over + s)[:, None]).T @ tops
            + (bottoms * (bend_under + s)[:, None]).T @ bottoms
            - (tops * s[:, None]).T @ bottoms
            - (bottoms * s[:, None]).T @ tops
        )
        cross = (tops * bend_over[:, None] + bottoms * bend_under[:, None]).T @ self.design
        curvature[:cuts, cuts:] = -cross
        curvature[cuts:, :cuts] = -cross.T
        curvature[cuts:, cuts:] = (self.design * (bend_over + bend_under)[:, None]).T @ self.design
        return value, gradient, curvature

    def _edges(self, effects: Floats) -> tuple[Floats, Floats]:
        cuts = self.steps - 1
        eta = self.design @ effects[cuts:]
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
    precision = change.T @ change / STEP_SD**2 + np.full(
        (cuts, cuts), 1.0 / (cuts * MIDDLE_SD) ** 2
    )
    return mean, precision


def step_width(thresholds: Floats) -> Floats:
    """Mean width of an inner step, of ``thresholds`` (..., k); :data:`STEP` when there is none."""
    cuts = thresholds.shape[-1]
    if cuts < 2:
        return np.full(thresholds.shape[:-1], STEP)
    wide = (thresholds[..., -1] - thresholds[..., 0]) / (cuts - 1)
    return np.asarray(np.maximum(wide, 0.2 * STEP))


def mean_grade(thresholds: Floats, eta: Floats) -> Floats:
    """Grade that ``eta`` (...) gets on average: 1 + the chances to lie above each threshold."""
    return np.asarray(1.0 + expit(eta[..., None] - thresholds).sum(axis=-1))


@dataclass(frozen=True)
class Measures:
    """Figures of n measurements, normal about ``design`` (n, p) times the effects."""

    value: Floats
    design: Floats
    noise: Scale = field(default_factory=lambda: Scale("noise", 0.6, 0.8))

    @property
    def scales(self) -> tuple[Scale, ...]:
        """Spread of one measurement."""
        return (self.noise,)

    def parts(self, effects: Floats, scales: Floats) -> tuple[float, Floats, Floats]:
        """Log-likelihood with gradient and curvature."""
        sd = float(scales[0])
        away = (self.value - self.design @ effects) / sd
        value = -0.5 * float(away @ away) - self.value.size * float(
            np.log(sd) + 0.5 * np.log(2.0 * np.pi)
        )
        return value, self.design.T @ away / sd, self.design.T @ self.design / sd**2

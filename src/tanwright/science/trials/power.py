"""What a trial can tell before it is made: simulated patches, blocks, jars and graders.

One grade of one patch by one grader is, in steps of the scale,

    middle + effect of the treatment + block + jar + patch + severity of the grader + slip,

rounded to a step and held inside the scale.  Each simulated trial draws how large these scatters
are from their ranges and grades every patch by every grader.  What would then be said of it follows
the analysis of trials in short: patch means, blocks and treatments by least squares; the difference
is drawn towards nought as treatments usually differ; jars count for what they may hide; told apart
is what has nine chances in ten.

Sources
-------
The scatters are from memory (judging leather and food by hand on five steps), with wide ranges; a
trial's own analysis learns them anew.  How far differences are drawn in was set so that the chance
agrees with that analysis on simulated trials (docs/method/trial-design.md).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from tanwright.errors import InputError
from tanwright.science.trials.allotment import Ints
from tanwright.science.values import Floats, floats

Between = tuple[float, float]
TRIALS: Final = 1000
APART: Final = 0.90
"""Probability from which two treatments are called different, as in the analysis."""
_Z90: Final = 1.645
"""Half a 90 % interval in standard deviations."""


@dataclass(frozen=True)
class Noise:
    """Standard deviations in steps of a five-step scale, each a plausible range (5 % to 95 %)."""

    block: Between = (0.3, 1.0)
    """Between regions and skins; falls out of a comparison inside blocks."""
    jar: Between = (0.1, 0.35)
    """Between jars that were filled alike."""
    patch: Between = (0.25, 0.7)
    """Between patches of one block in one jar."""
    severity: Between = (0.2, 0.7)
    """Between graders as a whole; falls out when everybody grades every patch."""
    slip: Between = (0.3, 0.7)
    """Of one grade, the same grader and patch graded again."""


FROM_MEMORY: Final = Noise()


@dataclass(frozen=True)
class Reading:
    """How what was graded is read: standard deviations in steps.

    Attributes
    ----------
    treatment:
        By which treatments usually differ; a difference is drawn towards nought against it.
    jar:
        That jars of one treatment are taken to differ by, as far as the patches cannot show it.
    """

    treatment: float = 0.5
    jar: float = 0.32


AS_ANALYSED: Final = Reading()


@dataclass(frozen=True)
class Layout:
    """A trial as it would be graded; arrays of one row a patch, whole numbers from 0.

    Attributes
    ----------
    treatment, block, jar:
        Of each patch, (patches,).
    graders:
        How many people grade every patch.
    steps:
        Of the scale.
    """

    treatment: Ints
    block: Ints
    jar: Ints
    graders: int = 1
    steps: int = 5


@dataclass(frozen=True)
class Power:
    """What the simulated trials said of one difference.

    Attributes
    ----------
    chance:
        Share of the trials that would tell the difference, on the right side.
    wrong:
        Share that would tell one on the wrong side.
    half_width:
        Median half width of the 90 % interval, steps.
    trials:
        How many were simulated; ``chance`` is known to about 0.5 / sqrt(trials).
    """

    chance: float
    wrong: float
    half_width: float
    trials: int


def pair(treatments: int, one: int = 1, other: int = 0) -> Floats:
    """The difference of two treatments as weights, (treatments,)."""
    weights = np.zeros(treatments)
    weights[one], weights[other] = 1.0, -1.0
    return weights


def slope(levels: Floats) -> Floats:
    """Rise of a straight line over the whole of ``levels`` as weights, (treatments,).

    Least squares through the means of the treatments.
    """
    x = floats(levels) - np.mean(levels)
    if float(np.ptp(x)) <= 0.0:
        raise InputError("the doses are all alike", remedy="choose doses that differ")
    return np.asarray(x / (x @ x) * np.ptp(x))


def simulate(
    layout: Layout,
    weights: Floats,
    rng: np.random.Generator,
    *,
    difference: float = 1.0,
    noise: Noise = FROM_MEMORY,
    reading: Reading = AS_ANALYSED,
    trials: int = TRIALS,
    basis: Floats | None = None,
) -> Power:
    """How often a trial of this layout would tell that ``weights`` of the treatments differ.

    Parameters
    ----------
    layout:
        Patches, blocks, jars and graders.
    weights:
        A contrast, (coefficients,): of the treatments, or of the coefficients of ``basis``.
    difference:
        What it truly is, in steps of the scale.
    noise:
        Ranges of the scatters.
    reading:
        How the grades are read.
    trials:
        How many trials are simulated.
    basis:
        Columns that the treatments are fitted by, (treatments, coefficients), such as a mixture
        polynomial; each treatment its own mean when not given.

    Raises
    ------
    InputError
        When the layout cannot tell the contrast at all.
    """
    from scipy.special import ndtri, stdtrit

    basis_given = basis is not None
    basis = np.eye(int(layout.treatment.max()) + 1) if basis is None else floats(basis)
    design = basis[layout.treatment]
    line, spread, degrees = _estimator(design, layout.block, weights)
    truth = _smallest_truth(basis, weights, difference)
    middle = 0.5 * (layout.steps + 1)
    means = basis @ truth
    effect = (means - means.mean())[layout.treatment]

    def sd(between: Between) -> Floats:
        return _drawn(between, trials, rng)[:, None]

    patches, blocks, jars = layout.treatment.size, layout.block.max() + 1, layout.jar.max() + 1
    jar_sd = sd(noise.jar)
    level = middle + effect + rng.uniform(-0.5, 0.5, (trials, 1))
    level = level + (sd(noise.block) * rng.standard_normal((trials, blocks)))[:, layout.block]
    level = level + (jar_sd * rng.standard_normal((trials, jars)))[:, layout.jar]
    level = level + sd(noise.patch) * rng.standard_normal((trials, patches))
    total = np.zeros((trials, patches))
    severity, slip = sd(noise.severity), sd(noise.slip)
    for _ in range(layout.graders):
        seen = level + severity * rng.standard_normal((trials, 1))
        seen = seen + slip * rng.standard_normal((trials, patches))
        total += np.clip(np.rint(seen), 1, layout.steps)
    graded = total / layout.graders
    found = graded @ line
    left = graded - graded @ spread
    s2 = (left**2).sum(axis=1) / max(degrees, 1)
    # What jars add lies only in part in what is left over; the rest is taken for what it may be.
    of_jar = np.eye(jars)[layout.jar]
    left_of_jar = of_jar - spread @ of_jar
    by_jar = line @ of_jar
    seen_share = float((left_of_jar**2).sum()) / max(degrees, 1)
    unseen = max(float(by_jar @ by_jar - seen_share * (line @ line)), 0.0) * reading.jar**2
    if degrees < 1:
        s2 = np.full(trials, _square(noise.patch) + _square(noise.slip) / layout.graders)
        needed = float(ndtri(APART))
    else:
        needed = float(stdtrit(degrees, APART))
    variance = s2 * (line @ line) + unseen
    differ = reading.treatment**2 * (2.0 if basis_given else float(weights @ weights))
    drawn_in = differ / (differ + variance)
    told = np.sqrt(drawn_in / variance) * found * (np.sign(difference) or 1.0)
    return Power(
        chance=float(np.mean(told > needed)),
        wrong=float(np.mean(told < -needed)),
        half_width=float(np.median(_Z90 * np.sqrt(drawn_in * variance))),
        trials=trials,
    )


def _estimator(design: Floats, block: Ints, weights: Floats) -> tuple[Floats, Floats, int]:
    """Row that gives the contrast from patch means, the projection on the model, what is left."""
    blocks = np.eye(int(block.max()) + 1)[block]
    x = np.concatenate([design, blocks], axis=1)
    inverse = np.linalg.pinv(x)
    whole = np.concatenate([weights, np.zeros(blocks.shape[1])])
    line = whole @ inverse
    if np.abs(line @ x - whole).max() > 1e-6:
        raise InputError(
            "these patches cannot compare the treatments at all",
            remedy="cut patches so that each region holds two treatments or more",
        )
    rank = int(np.linalg.matrix_rank(x))
    return np.asarray(line), np.asarray(x @ inverse), x.shape[0] - rank


def _smallest_truth(basis: Floats, weights: Floats, difference: float) -> Floats:
    """Coefficients of which the contrast is ``difference``, changing the means the least."""
    gram = np.linalg.pinv(basis.T @ basis)
    along = gram @ weights
    return np.asarray(difference * along / (weights @ along))


def _drawn(between: Between, size: int, rng: np.random.Generator) -> Floats:
    """Lognormal between the 5th and the 95th percentile, (size,)."""
    low, high = np.log(between)
    return np.asarray(np.exp(0.5 * (low + high) + rng.standard_normal(size) * (high - low) / 3.29))


def _square(between: Between) -> float:
    """Mean square of what :func:`_drawn` draws."""
    low, high = np.log(between)
    return float(np.exp((low + high) + 2.0 * ((high - low) / 3.29) ** 2))

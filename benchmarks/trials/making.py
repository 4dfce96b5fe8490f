"""Made-up trials whose truth is known, in steps of a scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.science.trials.comparison import Laid, Looks
from tanwright.science.values import Floats


@dataclass(frozen=True)
class Noise:
    """Spreads in steps (from memory of what home trials look like)."""

    treatment: float = 0.8
    block: float = 0.5
    jar: float = 0.2
    patch: float = 0.4
    grader: float = 0.5
    grade: float = 0.7


@dataclass(frozen=True)
class Made:
    """A trial and its true effects in steps."""

    laid: Laid
    looks: Looks
    effects: Floats


def make_trial(
    rng: np.random.Generator,
    *,
    treatments: int = 4,
    patches: int = 6,
    blocks: int = 6,
    jars: int = 1,
    graders: int = 2,
    steps: int = 5,
    noise: Noise | None = None,
    effects: Sequence[float] | None = None,
    severity: Sequence[float] | None = None,
    kept: float = 1.0,
) -> Made:
    """A trial of randomised blocks: ``patches`` for each treatment, in ``jars`` jars each.

    Of the grades a share of ``kept`` is left, by chance.
    """
    sd = noise or Noise()
    if severity is not None:
        graders = len(severity)
    count = treatments * patches
    treatment = np.repeat(np.arange(treatments), patches)
    block = np.tile(np.arange(patches), treatments) % blocks
    jar = treatment * jars + np.tile(np.arange(patches), treatments) % jars
    true = rng.normal(0, sd.treatment, treatments) if effects is None else np.array(effects, float)
    strict = rng.normal(0, sd.grader, graders) if severity is None else np.array(severity, float)
    worth = (
        true[treatment]
        + rng.normal(0, sd.block, blocks)[block]
        + rng.normal(0, sd.jar, treatments * jars)[jar]
        + rng.normal(0, sd.patch, count)
    )
    patch, grader = np.repeat(np.arange(count), graders), np.tile(np.arange(graders), count)
    slip = rng.logistic(0, sd.grade * np.sqrt(3.0) / np.pi, count * graders)
    felt = (steps + 1) / 2.0 + worth[patch] + strict[grader] + slip
    grade = np.clip(np.round(felt), 1, steps).astype(int)
    left = slice(None) if kept >= 1.0 else rng.random(grade.size) < kept
    looks = Looks(patch[left], grader[left], grade[left], steps)
    return Made(Laid(treatment, treatments, block, jar), looks, true)

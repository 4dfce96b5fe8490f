"""The chance that a trial is promised is what its analysis then finds, on simulated trials."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.planning.trials.analysis import analyse
from tanwright.planning.trials.records import Grade, Patch, Seen, Treatment
from tanwright.science.trials import power
from tanwright.science.trials.allotment import allot

TREATMENTS = tuple(Treatment(key, key) for key in ("control", "one", "other"))


def laid(blocks: int, graders: int, jars: int) -> power.Layout:
    """Six patches a block; jars of a treatment are filled by turns."""
    block = np.repeat(np.arange(blocks), 6)
    found = allot(block, 3, np.random.default_rng(5))
    jar = found.treatment * jars + np.arange(block.size) % jars
    return power.Layout(found.treatment, block, jar, graders)


def graded(of: power.Layout, rng: np.random.Generator) -> Seen:
    """One trial whose last treatment is one step above the control, seen by its graders."""

    def sd(between: power.Between) -> float:
        low, high = np.log(between)
        return float(np.exp(0.5 * (low + high) + rng.standard_normal() * (high - low) / 3.29))

    noise, patches = power.FROM_MEMORY, of.treatment.size
    level = 3.0 + rng.uniform(-0.5, 0.5) + np.array([-0.5, 0.0, 0.5])[of.treatment]
    level = level + (sd(noise.block) * rng.standard_normal(of.block.max() + 1))[of.block]
    level = level + (sd(noise.jar) * rng.standard_normal(of.jar.max() + 1))[of.jar]
    level = level + sd(noise.patch) * rng.standard_normal(patches)
    severity, slip = sd(noise.severity), sd(noise.slip)
    grades = []
    for grader in range(of.graders):
        seen = level + severity * rng.standard_normal() + slip * rng.standard_normal(patches)
        steps = np.clip(np.rint(seen), 1, of.steps).astype(int)
        grades += [
            Grade(f"p{at}", f"g{grader}", "feel", int(step)) for at, step in enumerate(steps)
        ]
    records = tuple(
        Patch(f"p{at}", "1", "s", f"r{of.block[at]}", f"r{of.block[at]}",
              TREATMENTS[of.treatment[at]].key, str(of.jar[at]))
        for at in range(patches)
    )  # fmt: skip
    return Seen(TREATMENTS, records, tuple(grades))


@pytest.mark.parametrize(
    ("blocks", "graders", "jars", "trials", "within"), [(4, 2, 1, 24, 0.25), (8, 3, 2, 10, 0.25)]
)
def test_as_often_told_apart_as_was_promised(
    blocks: int, graders: int, jars: int, trials: int, within: float
) -> None:
    of, rng = laid(blocks, graders, jars), np.random.default_rng(11)
    promised = power.simulate(of, power.pair(3, 2), np.random.default_rng(1), trials=4000)
    told = 0
    for _ in range(trials):
        (quality,) = analyse(graded(of, rng)).qualities
        told += any(
            pair.upper == "other" and pair.lower == "control" and pair.verdict == "apart"
            for pair in quality.pairs
        )
    assert told / trials == pytest.approx(promised.chance, abs=within)

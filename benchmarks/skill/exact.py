"""The ensemble update held against a slow exact sampler on whole tannages.

Five synthetic tannages with their readings; emcee samples the same posterior with the same forward
model.  Medians should agree within a quarter of a posterior sd, sds within a quarter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from benchmarks.skill.audit import agreement, exact_sample
from benchmarks.skill.tannages import SHEETS, Case, make_case
from tanwright.planning.amounts import work_out
from tanwright.planning.forecast import forward_of
from tanwright.planning.outcome import run_course
from tanwright.planning.worlds import make_worlds
from tanwright.science.belief.unknowns import Floats, draw
from tanwright.science.belief.updating import update

DERIVED = ("log amount", "present depth", "present degree", "log finish day")
HORIZON_DAYS = 240.0


@dataclass(frozen=True)
class ExactCase:
    """One case: worst disagreement over all unknowns, and that of each derived target."""

    scenario: str
    readings: int
    worst_shift: float
    worst_ratio: float
    derived_shift: Floats
    derived_ratio: Floats
    effective: float


def derived(case: Case, z: Floats) -> Floats:
    """The targets of :data:`DERIVED`, (n, 4); a finish beyond the horizon is held there."""
    worlds = make_worlds(case.setting, z)
    outcome = run_course(worlds, case.setting, case.course, HORIZON_DAYS, stops=(case.now,))
    amount = np.log(work_out(worlds, case.setting).need_kg.sum(axis=1))
    depth = outcome.result.at(case.now, outcome.through)
    degree = outcome.result.at(case.now, outcome.degree)
    finish = np.log(np.minimum(outcome.finish_day, HORIZON_DAYS))
    return np.stack([amount, depth, degree, finish], axis=1)


def compare(
    seed: int, *, cases: int = 5, members: int = 1000, steps: int = 4000, progress: bool = False
) -> tuple[ExactCase, ...]:
    """Update and sample ``cases`` tannages of the scenarios in turn."""
    rng = np.random.default_rng(seed)
    found = []
    for name in list(SHEETS)[:cases]:
        case = make_case(name, rng, readings=6)
        readings = [seen.reading for seen in case.history.observed]
        forward = forward_of(case.setting, case.course, case.history)
        prior = draw(members, case.setting.unknowns, rng)
        posterior = update(prior, forward, readings, rng)
        walkers = 2 * (len(case.setting.unknowns) + 2)
        start = posterior.z[rng.choice(members, walkers, replace=False)]
        start = start + 0.05 * rng.standard_normal(start.shape)
        exact = exact_sample(forward, readings, start, rng, steps=steps, burn=steps // 4)
        unknowns = agreement(posterior.z, exact)
        thin = exact[rng.choice(exact.shape[0], 4000, replace=False)]
        targets = agreement(derived(case, posterior.z), derived(case, thin))
        found.append(
            ExactCase(
                name,
                len(readings),
                float(np.abs(unknowns.median_shift).max()),
                float(unknowns.sd_ratio[np.argmax(np.abs(np.log(unknowns.sd_ratio)))]),
                targets.median_shift,
                targets.sd_ratio,
                posterior.effective_members,
            )
        )
        if progress:
            print(found[-1], flush=True)
    return tuple(found)

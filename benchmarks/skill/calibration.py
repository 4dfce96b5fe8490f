"""Are the ranges honest? 90 % intervals over synthetic tannages drawn from the prior.

For each tannage a truth is drawn from the prior, its vat is run and read with the engine's own
noise, the engine updates and goes on planning, and the truth is run through the same course.  The
interval should hold the truth in about 90 of 100 tannages.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from benchmarks.skill.tannages import SHEETS, Case, make_case
from tanwright.planning.amounts import work_out
from tanwright.planning.forecast import continued, take_in
from tanwright.planning.outcome import run_course
from tanwright.planning.plan import run_to_end
from tanwright.planning.worlds import make_worlds
from tanwright.science.belief.unknowns import Floats, draw

TARGETS = ("amount still needed", "finish day", "present depth")


@dataclass(frozen=True)
class Calibration:
    """Rank of the truth among the worlds (n, targets), and how many intervals held it."""

    rank: Floats
    held: Floats
    effective: Floats
    scenarios: tuple[str, ...]

    def coverage(self) -> Floats:
        """Share of tannages whose truth lay in the 90 % interval, (targets,)."""
        return np.asarray(self.held.mean(axis=0))


def hold_against_truth(
    case: Case, rng: np.random.Generator, members: int
) -> tuple[Floats, Floats, float]:
    """Rank and 90 % hit of every target for one tannage, and the effective worlds."""
    setting = case.setting
    z = draw(members, setting.unknowns, rng)
    updated = take_in(z, setting, case.course, case.history, rng)
    effective = members if updated.posterior is None else updated.posterior.effective_members
    worlds = make_worlds(setting, updated.z)
    amounts = work_out(worlds, setting)
    course, _ = continued(setting, updated.z, case.course, amounts, case.history, case.now)
    outcome = run_to_end(worlds, setting, course)
    truth = make_worlds(setting, case.truth_z)
    true_amounts = work_out(truth, setting)
    true_outcome = run_course(truth, setting, course, float(outcome.day[-1]))
    believed = [
        amounts.need_kg.sum(axis=1),
        outcome.finish_day,
        outcome.result.at(case.now, outcome.through),
    ]
    true = [
        float(true_amounts.need_kg.sum()),
        float(true_outcome.finish_day[0]),
        float(true_outcome.result.at(case.now, true_outcome.through)[0]),
    ]
    ranks = np.array([_rank(b, t, rng) for b, t in zip(believed, true, strict=True)])
    return ranks, ((ranks >= 0.05) & (ranks <= 0.95)).astype(float), float(effective)


def _rank(values: Floats, truth: float, rng: np.random.Generator) -> float:
    """Share of the worlds below the truth; ties (such as never finishing) broken at random."""
    below = float(np.mean(values < truth))
    tied = float(np.mean(values == truth))
    return below + rng.random() * tied


def calibrate(
    tannages: int, seed: int, *, members: int = 1000, progress: bool = False
) -> Calibration:
    """Calibration over ``tannages`` synthetic tannages of all scenarios in turn."""
    rng = np.random.default_rng(seed)
    names = list(SHEETS)
    ranks, held, effective, used = [], [], [], []
    for number in range(tannages):
        name = names[number % len(names)]
        rank, hit, worth = hold_against_truth(make_case(name, rng), rng, members)
        ranks.append(rank)
        held.append(hit)
        effective.append(worth)
        used.append(name)
        if progress and (number + 1) % 25 == 0:
            shares = np.mean(held, axis=0)
            print(f"{number + 1:4d} tannages: " + ", ".join(f"{s:.3f}" for s in shares), flush=True)
    return Calibration(np.array(ranks), np.array(held), np.array(effective), tuple(used))

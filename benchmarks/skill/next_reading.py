"""What to measure next: the quick estimate against full updates for simulated readings.

For each synthetic tannage every reading possible now is ranked by its expected narrowing of the
finish day and of the amount, once from the thousand present worlds alone and once by
brute force: sixteen times as many worlds from the prior, all weighed anew for every simulated
reading.  The two rankings should agree: Spearman's coefficient 0.8 or more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from benchmarks.skill.tannages import SHEETS, Case, make_case
from tanwright.planning.amounts import work_out
from tanwright.planning.forecast import forward_of, take_in
from tanwright.planning.measuring import candidates
from tanwright.planning.outcome import run_course
from tanwright.planning.plan import guess_days
from tanwright.planning.worlds import make_worlds
from tanwright.science.belief.evidence import Evidence
from tanwright.science.belief.measure_next import Candidate, expected_narrowing
from tanwright.science.belief.unknowns import Floats, draw
from tanwright.science.belief.updating import DegenerateEnsembleError

WORLDS = 16_000
"""Worlds of the brute-force answer: enough that weighing them is an exact update."""
SIMULATED = 150


@dataclass(frozen=True)
class NextCase:
    """Narrowing by every candidate (c,) of finish and amount, quick and slow."""

    scenario: str
    names: tuple[str, ...]
    quick_finish: Floats
    slow_finish: Floats
    quick_amount: Floats
    slow_amount: Floats

    def correlation(self) -> float:
        """Spearman's coefficient over both targets together."""
        return spearman(
            np.concatenate([self.quick_finish, self.quick_amount]),
            np.concatenate([self.slow_finish, self.slow_amount]),
        )


def spearman(first: Floats, second: Floats) -> float:
    """Spearman's rank correlation of two arrays (n,)."""
    from scipy.stats import spearmanr

    return float(spearmanr(first, second).statistic)


def rank_readings(name: str, rng: np.random.Generator, *, members: int = 1000) -> NextCase:
    """One tannage with both rankings."""
    case = make_case(name, rng, readings=int(rng.integers(0, 3)))
    setting = case.setting
    middle = make_worlds(setting, np.zeros((1, len(setting.unknowns))))
    horizon = float(np.clip(3.0 * guess_days(middle, setting), 20.0, 500.0))

    def targets(z: Floats) -> dict[str, Floats]:
        worlds = make_worlds(setting, z)
        days = run_course(worlds, setting, case.course, horizon).finish_day
        need = work_out(worlds, setting).need_kg.sum(axis=1)
        return {"finish": np.minimum(days, horizon), "amount": np.log(need)}

    z = take_in(draw(members, setting.unknowns, rng), setting, case.course, case.history, rng).z
    listed = _possible(case, z)
    found = expected_narrowing(listed, targets(z), rng, cap=horizon)
    many = draw(WORLDS, setting.unknowns, rng)
    log_weight = np.zeros(WORLDS)
    if case.history.observed:
        predicted = forward_of(setting, case.course, case.history)(many)
        evidence = Evidence([seen.reading for seen in case.history.observed])
        log_weight = evidence.log_likelihoods(predicted).sum(axis=1)
    values = np.stack(list(targets(many).values()), axis=1)
    slow = np.stack([_narrowing(c, values, log_weight, rng) for c in _possible(case, many)])
    return NextCase(
        name,
        tuple(c.name for c in listed),
        found.share[:, 0],
        slow[:, 0],
        found.share[:, 1],
        slow[:, 1],
    )


def _narrowing(
    candidate: Candidate, values: Floats, log_weight: Floats, rng: np.random.Generator
) -> Floats:
    """1 - E[sd after] / sd before of every target (n, targets), by weighing all worlds anew for
    each simulated reading."""
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    before = _sds(weight, values)
    truth = rng.choice(weight.size, SIMULATED, p=weight)
    observed = candidate.noise.draw(candidate.predicted[truth], rng)
    after = np.zeros(values.shape[1])
    for y in observed:
        posterior = weight * candidate.noise.density(y, candidate.predicted)
        after += _sds(posterior / posterior.sum(), values)
    return np.asarray(1.0 - after / SIMULATED / before)


def _sds(weight: Floats, values: Floats) -> Floats:
    mean = weight @ values
    return np.asarray(np.sqrt(np.maximum(weight @ (values - mean) ** 2, 1e-300)))


def _possible(case: Case, z: Floats) -> list[Candidate]:
    """Readings possible now, predicted in the worlds ``z``."""
    worlds = make_worlds(case.setting, z)
    outcome = run_course(worlds, case.setting, case.course, case.now)
    return [candidate for candidate, _ in candidates(case.setting, worlds, outcome, case.now)]


def compare(cases: int, seed: int, *, progress: bool = False) -> tuple[NextCase, ...]:
    """Both rankings for ``cases`` tannages of all scenarios in turn."""
    rng = np.random.default_rng(seed)
    names = list(SHEETS)
    found: list[NextCase] = []
    while len(found) < cases:
        try:
            found.append(rank_readings(names[len(found) % len(names)], rng))
        except DegenerateEnsembleError:
            continue
        if progress:
            print(
                f"{len(found):3d} {found[-1].scenario}: {found[-1].correlation():.2f}", flush=True
            )
    return tuple(found)

"""Checks of the updating itself: coverage over simulated cases, and an exact sampler beside it.

Simulation-based calibration (Talts et al. 2018) draws the truth from the prior, simulates its
readings, updates, and looks where the truth lies in the posterior: its rank is uniform if all is
well.  The exact sampler is emcee (Foreman-Mackey et al. 2013), slow, and only needed for checks.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.science.belief.evidence import Evidence, Reading, draw_readings
from tanwright.science.belief.measure_next import Candidate, expected_narrowing, spread_over
from tanwright.science.belief.summary import spread
from tanwright.science.belief.unknowns import Floats
from tanwright.science.belief.updating import DegenerateEnsembleError, Effort, Forward, update


@dataclass(frozen=True)
class Coverage:
    """Where the truth lay among the posterior members, case by case.

    ``rank`` is between 0 and 1, shape (cases, targets), ties broken evenly; ``refused`` counts
    the cases that the update refused (their partial estimates are not in ``rank``).
    """

    rank: Floats
    refused: int

    def inside(self, level: float = 0.90) -> Floats:
        """Share of cases whose truth lies in the central interval of that level, (targets,)."""
        tail = 0.5 * (1.0 - level)
        return np.asarray(np.mean((self.rank >= tail) & (self.rank <= 1.0 - tail), axis=0))

    def uniformity(self, bins: int = 10) -> Floats:
        """p-value of a chi-squared test that the ranks are uniform, (targets,)."""
        from scipy.special import chdtrc

        cases, targets = self.rank.shape
        result = np.empty(targets)
        for k in range(targets):
            counts, _ = np.histogram(self.rank[:, k], bins=bins, range=(0.0, 1.0))
            distance = float(np.sum((counts - cases / bins) ** 2) / (cases / bins))
            result[k] = chdtrc(bins - 1, distance)
        return result


def coverage(
    draw_prior: Callable[[int, np.random.Generator], Floats],
    forward: Forward,
    readings: Sequence[Reading],
    targets: Callable[[Floats], Floats],
    rng: np.random.Generator,
    *,
    cases: int,
    members: int = 1000,
    effort: Effort | None = None,
    believed: Sequence[Reading] | None = None,
) -> Coverage:
    """Update on simulated readings of ``cases`` truths drawn from the prior.

    ``draw_prior(n, rng)`` gives z (n, d); ``readings`` give noise and instruments (their observed
    values are not looked at); ``targets`` maps z to (n, k). ``believed``, if given, are the noise
    models that the update is told instead of the true ones.
    """
    told = readings if believed is None else believed
    ranks, refused = [], 0
    for _ in range(cases):
        truth = rng.standard_normal((1, draw_prior(1, rng).shape[1]))
        observed = draw_readings(readings, forward(truth), rng)[0]
        taken = [
            Reading(r.noise, float(y), r.instrument, r.label)
            for r, y in zip(told, observed, strict=True)
        ]
        try:
            posterior = update(draw_prior(members, rng), forward, taken, rng, effort=effort)
        except DegenerateEnsembleError:
            refused += 1
            continue
        drawn, true = targets(posterior.z), targets(truth)[0]
        under = np.sum(drawn < true, axis=0)
        ties = np.sum(drawn == true, axis=0)
        ranks.append((under + rng.random(true.size) * (ties + 1)) / (drawn.shape[0] + 1))
    return Coverage(np.array(ranks), refused)


def exact_sample(
    forward: Forward,
    readings: Sequence[Reading],
    start: Floats,
    rng: np.random.Generator,
    *,
    steps: int = 2000,
    burn: int = 500,
) -> Floats:
    """Draws of z from the exact posterior by emcee, shape (n, d).

    ``start`` (walkers, d) are distinct starting points, an even number and more than twice as many
    as there are unknowns and shared instruments. Every reading is used; none is set aside.
    """
    import emcee  # type: ignore[import-untyped]

    evidence = Evidence(readings)
    walkers, size = start.shape
    hidden = rng.standard_normal((walkers, len(evidence.instruments)))
    begin = np.concatenate([start, 0.1 * hidden], axis=1)

    def log_posterior(z: Floats) -> Floats:
        seen = evidence.seen(forward(z[:, :size]), z[:, size:])
        likelihood = evidence.log_likelihoods(seen).sum(axis=1)
        return np.asarray(likelihood - 0.5 * np.sum(z * z, axis=1))

    # not the snooker move: on a normal target with 8 unknowns its sds came out 20 % too small
    moves = [(emcee.moves.StretchMove(), 0.5), (emcee.moves.DEMove(), 0.5)]
    sampler = emcee.EnsembleSampler(
        walkers, begin.shape[1], log_posterior, moves=moves, vectorize=True
    )
    # emcee keeps its own generator; its state is set from ours, no global seed is touched
    sampler.random_state = np.random.RandomState(int(rng.integers(2**31))).get_state()
    sampler.run_mcmc(begin, steps, progress=False)
    chain = sampler.get_chain(discard=burn, flat=True)
    return np.asarray(chain[:, :size], dtype=float)


@dataclass(frozen=True)
class Agreement:
    """How an ensemble stands to an exact sample, per column.

    ``median_shift`` in exact posterior sds, ``sd_ratio`` ours over exact.
    """

    median_shift: Floats
    sd_ratio: Floats


def agreement(ours: Floats, exact: Floats) -> Agreement:
    """Compare medians and sds of ours (n, k) and exact (m, k)."""
    sd, own = np.std(exact, axis=0), np.std(ours, axis=0)
    # A column that does not vary (a cut long through) agrees when neither does.
    still = (sd <= 1e-9) & (own <= 1e-9)
    safe = np.where(sd > 1e-9, sd, 1e-9)
    shift = (np.median(ours, axis=0) - np.median(exact, axis=0)) / safe
    return Agreement(np.asarray(shift), np.where(still, 1.0, own / safe))


def expected_narrowing_bruteforce(
    z_prior: Floats,
    forward: Forward,
    readings: Sequence[Reading],
    candidates: Sequence[Reading],
    candidate_forward: Forward,
    target: Callable[[Floats], Floats],
    rng: np.random.Generator,
    *,
    simulated: int = 20,
    effort: Effort | None = None,
) -> Floats:
    """The slow answer: a full update for every simulated reading, shape (candidates,).

    ``candidates`` are readings whose observed value is not looked at; ``candidate_forward`` gives
    their predictions (n, candidates). ``target`` maps z (n, d) to values (n,), which must be
    finite. A simulated reading whose update is refused counts with its partial estimate. The
    updates of different candidates share their random numbers, so that they can be compared.
    """
    seeds = rng.integers(2**32, size=simulated)
    first = [
        update(z_prior, forward, readings, np.random.default_rng(seed), effort=effort).z
        for seed in seeds[:8]
    ]
    before = float(np.mean([spread(target(z)) for z in first]))
    expected = candidate_forward(first[0])
    result = np.zeros(len(candidates))
    for column, candidate in enumerate(candidates):
        truth = spread_over(expected[:, column], simulated, rng)
        noise = candidate.noise.alone()
        observed = noise.draw(expected[truth, column], rng)

        def both(z: Floats, column: int = column) -> Floats:
            return np.column_stack([forward(z), candidate_forward(z)[:, column]])

        after = []
        for seed, y in zip(seeds, observed, strict=True):
            taken = [*readings, Reading(noise, float(y), label=candidate.label)]
            same = np.random.default_rng(seed)
            try:
                z = update(z_prior, both, taken, same, effort=effort).z
            except DegenerateEnsembleError as error:
                if error.partial is None:
                    raise
                z = error.partial.z
            after.append(spread(target(z)))
        result[column] = 1.0 - float(np.mean(after)) / before if before > 0.0 else 0.0
    return result


@dataclass(frozen=True)
class NarrowingCases:
    """Expected narrowing by the quick and by the slow way, each (cases, candidates)."""

    quick: Floats
    slow: Floats

    def rank_correlation(self) -> Floats:
        """Spearman's coefficient between the two in each case, (cases,)."""
        pairs = zip(_ranks(self.quick), _ranks(self.slow), strict=True)
        return np.array([np.corrcoef(a, b)[0, 1] for a, b in pairs])


def _ranks(values: Floats) -> Floats:
    return np.argsort(np.argsort(values, axis=1), axis=1).astype(float)


def narrowing_cases(
    draw_prior: Callable[[int, np.random.Generator], Floats],
    forward: Forward,
    readings: Sequence[Reading],
    candidates: Sequence[Reading],
    candidate_forward: Forward,
    target: Callable[[Floats], Floats],
    rng: np.random.Generator,
    *,
    cases: int,
    members: int = 1000,
    simulated: int = 16,
    effort: Effort | None = None,
) -> NarrowingCases:
    """What to measure next, quick and slow, for ``cases`` simulated tannages.

    Arguments as in :func:`coverage` and :func:`expected_narrowing_bruteforce`. A case whose
    readings cannot be updated is drawn again.
    """
    quick: list[Floats] = []
    slow: list[Floats] = []
    while len(quick) < cases:
        truth = rng.standard_normal((1, draw_prior(1, rng).shape[1]))
        observed = draw_readings(readings, forward(truth), rng)[0]
        taken = [
            Reading(r.noise, float(y), r.instrument, r.label)
            for r, y in zip(readings, observed, strict=True)
        ]
        prior = draw_prior(members, rng)
        try:
            z = update(prior, forward, taken, rng, effort=effort).z
        except DegenerateEnsembleError:
            continue
        predicted = candidate_forward(z)
        listed = [
            Candidate(str(i), r.noise.alone(), predicted[:, i]) for i, r in enumerate(candidates)
        ]
        found = expected_narrowing(listed, {"target": target(z)}, rng)
        quick.append(found.share[:, 0])
        slow.append(
            expected_narrowing_bruteforce(
                prior,
                forward,
                taken,
                candidates,
                candidate_forward,
                target,
                rng,
                simulated=simulated,
                effort=effort,
            )
        )
    return NarrowingCases(np.array(quick), np.array(slow))

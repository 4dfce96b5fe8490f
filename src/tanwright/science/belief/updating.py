"""From prior worlds and readings to worlds that fit: ES-MDA, then exact importance weights.

1. Predict every reading in the prior worlds; set aside what no world could give.
2. Unless the prior worlds already carry enough weight: move them by ES-MDA
   (:mod:`tanwright.science.belief.smoother`), lay a Student's t cloud over the result, draw from
   it, predict, and weigh all draws so far, the prior ones included, by prior times likelihood over
   the mixture of everything drawn from (adaptive multiple importance sampling, Cornuet et al.
   2012).  Lay a new cloud over the weighted draws and repeat until they are worth enough worlds.
3. Hold each reading against the worlds that the other readings lead to; set aside what is far off.
4. Pareto-smooth the weights (Vehtari et al. 2024), refuse if they are degenerate, resample.

Equations, limits and accuracy: docs/method/belief.md.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from tanwright.errors import EnsembleError
from tanwright.science.belief.checking import Check, check_reading
from tanwright.science.belief.evidence import Evidence, Flags, Reading
from tanwright.science.belief.proposal import Cloud, fit, log_mixture, standard
from tanwright.science.belief.smoother import careful_sds, smooth
from tanwright.science.belief.unknowns import Floats
from tanwright.science.belief.weights import effective, normalised, resample, smoothed, tempered

Forward = Callable[[Floats], Floats]

CLOUD_DOF = 30.0
"""Degrees of freedom of the clouds: near to normal, because the prior draws guard the tails."""

LIGHT_TAIL = 0.7
"""Pareto k below which weighted means are reliable (Vehtari et al. 2024)."""

HEAVY_TAIL = 1.0
"""Pareto k above which even the mean of the weights is not finite: refused."""


@dataclass(frozen=True)
class Effort:
    """How much work an update may do, in worlds run through the forward model.

    ``enough`` is the effective number that ends the rounds (if the tail of the weights is light,
    too), ``refuse_below`` the one under which the answer is refused.
    """

    smoother_steps: int = 3
    smoother_members: int = 300
    round_members: int = 500
    rounds: int = 8
    enough: float = 350.0
    refuse_below: float = 40.0


@dataclass(frozen=True)
class Stage:
    """One stage of an update: worlds run in it, and the effective number after it.

    The linear stage has no weights, and so no effective number.
    """

    name: str
    worlds_run: int
    effective_members: float | None


@dataclass(frozen=True)
class Diagnostics:
    """How an update went; ``pareto_k`` above 0.7 means that the weights are not to be trusted."""

    stages: tuple[Stage, ...] = ()
    pareto_k: float = 0.0

    @property
    def worlds_run(self) -> int:
        """Worlds run through the forward model, all stages together."""
        return sum(stage.worlds_run for stage in self.stages)


@dataclass(frozen=True)
class Posterior:
    """Equally likely worlds after the readings.

    Attributes
    ----------
    z:
        Standard-normal coordinates, shape (members, d).
    predictions:
        Forward model at ``z``, shape (members, readings).
    effective_members:
        Independent worlds that the ensemble is worth.
    checks:
        One per reading, in order: how it compared with what the other readings led to expect.
    diagnostics:
        Stages, Pareto k.
    """

    z: Floats
    predictions: Floats
    effective_members: float
    checks: tuple[Check, ...] = ()
    diagnostics: Diagnostics = field(default_factory=Diagnostics)


class DegenerateEnsembleError(EnsembleError):
    """Too few worlds fit the readings; ``partial`` holds the estimate as far as it got."""

    def __init__(self, what: str, *, place: str = "", remedy: str = "") -> None:
        super().__init__(what, place=place, remedy=remedy)
        self.partial: Posterior | None = None


@dataclass
class _Draws:
    """All worlds run so far with the clouds they came from."""

    z: Floats
    predictions: Floats
    clouds: list[Cloud]
    counts: list[int]

    def add(self, z: Floats, predictions: Floats, cloud: Cloud) -> None:
        self.z = np.concatenate([self.z, z])
        self.predictions = np.concatenate([self.predictions, predictions])
        self.clouds.append(cloud)
        self.counts.append(z.shape[0])


def update(
    z_prior: Floats,
    forward: Forward,
    readings: Sequence[Reading],
    rng: np.random.Generator,
    *,
    effort: Effort | None = None,
    prior_predictions: Floats | None = None,
) -> Posterior:
    """Worlds after the readings.

    Parameters
    ----------
    z_prior:
        Draws of N(0, I), shape (members, d); the posterior has as many members.
    forward:
        z (n, d) -> predictions (n, readings) in each reading's unit; ValueError if not finite.
    readings:
        One per column of the predictions.
    rng:
        Source of every random number.
    effort:
        Budget; the default runs 3 to 4 times 1000 worlds as a rule, 5.6 times at most.
    prior_predictions:
        ``forward(z_prior)`` if it is known already.

    Raises
    ------
    DegenerateEnsembleError
        If the weights are degenerate; its ``partial`` holds the estimate.
    InputError
        For a reading that is not a number.
    """
    effort = effort or Effort()
    evidence = Evidence(readings)
    if len(evidence) == 0:
        members = z_prior.shape[0]
        empty = np.empty((members, 0))
        return Posterior(z_prior, empty, float(members), (), Diagnostics())
    return _Update(z_prior, forward, evidence, rng, effort, prior_predictions).run()


def _finite(predictions: Floats) -> Floats:
    if not bool(np.all(np.isfinite(predictions))):
        raise ValueError("the forward model predicts a reading that is not a finite number")
    return predictions


class _Update:
    """One update in progress."""

    def __init__(
        self,
        z_prior: Floats,
        forward: Forward,
        evidence: Evidence,
        rng: np.random.Generator,
        effort: Effort,
        prior_predictions: Floats | None,
    ) -> None:
        self.evidence, self.rng, self.effort = evidence, rng, effort
        self.members, self.size = z_prior.shape
        self._forward = forward
        predictions = _finite(forward(z_prior) if prior_predictions is None else prior_predictions)
        if predictions.shape != (self.members, len(evidence)):
            raise ValueError("the forward model must give one column per reading")
        hidden = rng.standard_normal((self.members, len(evidence.instruments)))
        z = np.concatenate([z_prior, hidden], axis=1)
        self.draws = _Draws(z, predictions, [standard(z.shape[1])], [self.members])
        self.stages: list[Stage] = []
        self.used: Flags = np.ones(len(evidence), dtype=bool)
        self.first_run = self.members if prior_predictions is None else 0

    def predict(self, z: Floats) -> Floats:
        """Predictions (n, readings) for z with its hidden columns."""
        return _finite(self._forward(z[:, : self.size]))

    def seen(self, z: Floats, predictions: Floats) -> Floats:
        """Predictions as the instruments see them."""
        return self.evidence.seen(predictions, z[:, self.size :])

    def run(self) -> Posterior:
        """All stages."""
        z, predictions = self.draws.z, self.draws.predictions
        seen = self.seen(z, predictions)
        first = self.check(seen, None)
        self.used = np.array([check.verdict != "set-aside" for check in first])
        log_weights = self.weigh("prior", self.first_run)
        if not self.enough(log_weights):
            log_weights = self.rounds(self.first_cloud(seen), self.effort.rounds)
        checks = self.check_left_out(log_weights, first)
        kept = np.array([check.verdict != "set-aside" for check in checks])
        if np.any(kept != self.used):
            self.used = kept
            log_weights = self.weigh("without what was set aside", 0)
            if not self.enough(log_weights):
                log_weights = self.rounds(self.next_cloud(log_weights), 3)
            checks = self.check_left_out(log_weights, checks)
        return self.finish(log_weights, checks)

    def weigh(self, name: str, worlds_run: int) -> Floats:
        """Log weights of all draws so far: prior times likelihood over what they came from."""
        draws = self.draws
        likelihoods = self.evidence.log_likelihoods(self.seen(draws.z, draws.predictions))
        prior = draws.clouds[0].log_density(draws.z)
        proposed = log_mixture(draws.z, draws.clouds, draws.counts)
        log_weights = prior + likelihoods[:, self.used].sum(axis=1) - proposed
        worth = effective(normalised(log_weights))
        self.stages.append(Stage(name, worlds_run, worth))
        return np.asarray(log_weights)

    def enough(self, log_weights: Floats) -> bool:
        """Are the draws so far worth enough worlds, and is the tail of their weights light?"""
        if effective(normalised(log_weights)) < self.effort.enough:
            return False
        return smoothed(log_weights)[1] < LIGHT_TAIL

    def first_cloud(self, seen: Floats) -> Cloud:
        """Cloud over the ensemble that ES-MDA moved."""
        used = self.used
        if not np.any(used):
            return self.draws.clouds[0]
        observed, sds = (each[used] for each in self.evidence.data())
        transformed = self.evidence.transformed(seen)[:, used]
        sds = careful_sds(transformed, observed, sds)
        count = min(self.effort.smoother_members, self.members)

        def predict(z: Floats) -> Floats:
            return self.evidence.transformed(self.seen(z, self.predict(z)))[:, used]

        moved = smooth(
            self.draws.z[:count],
            transformed[:count],
            predict,
            observed,
            sds,
            self.rng,
            steps=self.effort.smoother_steps,
        )
        run = (self.effort.smoother_steps - 1) * count
        self.stages.append(Stage("smoother", run, None))
        return fit(moved, np.full(count, 1.0 / count), dof=CLOUD_DOF, widen=1.1)

    def rounds(self, cloud: Cloud, rounds: int) -> Floats:
        """Draw from the cloud, weigh, lay the next cloud, until enough worlds count."""
        for number in range(rounds):
            z = cloud.draw(self.effort.round_members, self.rng)
            self.draws.add(z, self.predict(z), cloud)
            log_weights = self.weigh(f"round {number + 1}", z.shape[0])
            if self.enough(log_weights):
                break
            cloud = self.next_cloud(log_weights)
        return log_weights

    def next_cloud(self, log_weights: Floats) -> Cloud:
        """Cloud over the weighted draws, leaning on the last one while they are few."""
        wide = self.draws.z.shape[1]
        weights = tempered(log_weights, 6.0 * wide)
        last = self.draws.clouds[-1]
        return fit(self.draws.z, weights, dof=CLOUD_DOF, widen=1.05, lean=last.root @ last.root.T)

    def check(self, seen: Floats, weights: Floats | None) -> tuple[Check, ...]:
        """Every reading against the draws."""
        return tuple(
            check_reading(noise, r.observed, seen[:, i], weights=weights, label=r.label)
            for i, (noise, r) in enumerate(
                zip(self.evidence.noises, self.evidence.readings, strict=True)
            )
        )

    def check_left_out(self, log_weights: Floats, before: Sequence[Check]) -> tuple[Check, ...]:
        """Every reading against the worlds that the other readings lead to."""
        draws = self.draws
        seen = self.seen(draws.z, draws.predictions)
        each = self.evidence.log_likelihoods(seen)
        everything = normalised(log_weights)
        result = []
        for i, (noise, r) in enumerate(
            zip(self.evidence.noises, self.evidence.readings, strict=True)
        ):
            others = log_weights - each[:, i] if self.used[i] else log_weights
            check = check_reading(
                noise, r.observed, seen[:, i], weights=smoothed(others)[0], label=r.label
            )
            slip = float(everything @ noise.slip_probability(r.observed, seen[:, i]))
            verdict = check.verdict
            if before[i].verdict == "set-aside":
                verdict = "set-aside"
            elif slip > 0.5 and verdict == "ok":
                verdict = "odd"
            result.append(replace(check, slip_probability=slip, verdict=verdict))
        return tuple(result)

    def finish(self, log_weights: Floats, checks: tuple[Check, ...]) -> Posterior:
        """Smooth, resample, and refuse if too few worlds carry the answer."""
        weights, shape = smoothed(log_weights)
        worth = effective(weights)
        # Shuffled, so that the first few worlds are as good a sample as any.
        chosen = self.rng.permutation(resample(weights, self.members, self.rng))
        posterior = Posterior(
            np.ascontiguousarray(self.draws.z[chosen, : self.size]),
            self.draws.predictions[chosen],
            min(worth, float(self.members)),
            checks,
            Diagnostics(tuple(self.stages), shape),
        )
        if worth < self.effort.refuse_below or shape > HEAVY_TAIL:
            error = DegenerateEnsembleError(
                f"too few worlds fit all the readings together (worth {worth:.0f} of "
                f"{self.draws.z.shape[0]} tried)",
                place="readings",
                remedy="check the readings marked odd, or leave out the one that disagrees most",
            )
            error.partial = posterior
            raise error
        return posterior

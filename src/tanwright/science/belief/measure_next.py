"""What to measure next: by how much each possible reading should narrow an answer.

For every candidate a reading is simulated from some of the present worlds, the present worlds are
weighed by its density, and the standard deviation of the target is taken before and after:
narrowing = 1 - E[sd after] / sd before (the expected value of sample information in sds; Lindley
1956 for the idea, importance weights as in Heath, Manolopoulou and Baio 2017).  The present
ensemble answers it all: no world is run again.

Method, accuracy and limits: docs/method/measure-next.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.science.belief.noise import Noise
from tanwright.science.belief.unknowns import Floats


@dataclass(frozen=True)
class Candidate:
    """A reading that could be taken: its noise and what each world predicts, shape (members,)."""

    name: str
    noise: Noise
    predicted: Floats


@dataclass(frozen=True)
class Narrowing:
    """Expected narrowing of each target by each candidate.

    Attributes
    ----------
    candidates, targets:
        Names, in the order given.
    share:
        1 - E[sd after] / sd before, clipped to 0..1, shape (candidates, targets); 0 for a target
        that does not vary.
    capped:
        Share of the worlds whose target was infinite and was held at the cap, (targets,).
    """

    candidates: tuple[str, ...]
    targets: tuple[str, ...]
    share: Floats
    capped: Floats

    def of(self, candidate: str, target: str) -> float:
        """Narrowing of one target by one candidate."""
        row, column = self.candidates.index(candidate), self.targets.index(target)
        return float(self.share[row, column])

    def ranked(self, target: str) -> tuple[str, ...]:
        """Candidates, the most telling first."""
        column = self.share[:, self.targets.index(target)]
        return tuple(self.candidates[i] for i in np.argsort(-column, kind="stable"))


def expected_narrowing(
    candidates: Sequence[Candidate],
    targets: Mapping[str, Floats],
    rng: np.random.Generator,
    *,
    cap: float | None = None,
    simulated: int = 200,
) -> Narrowing:
    """Expected narrowing of every target by every candidate, from equally likely worlds.

    Parameters
    ----------
    candidates:
        Readings with their predictions (members,) in the present worlds.
    targets:
        Name -> value in each world (members,), e.g. the finish day or the log of the amount.
        Infinite values (not within the horizon) are held at ``cap``.
    rng:
        Draws the simulated readings.
    cap:
        Where infinite targets are held; one step (1 %) past the largest finite value by default.
    simulated:
        Readings simulated per candidate, spread evenly over the worlds.
    """
    names = tuple(targets)
    raw = np.stack([np.asarray(targets[name], dtype=float) for name in names], axis=1)
    values, capped = _held(raw, cap)
    before = np.std(values, axis=0, ddof=1)
    still = before <= 1e-12 * np.maximum(np.abs(values).max(axis=0), 1e-300)
    share = np.zeros((len(candidates), len(names)))
    for row, candidate in enumerate(candidates):
        after = _expected_sd(candidate, values, rng, simulated)
        share[row] = np.where(still, 0.0, 1.0 - after / np.where(still, 1.0, before))
    return Narrowing(tuple(c.name for c in candidates), names, np.clip(share, 0.0, 1.0), capped)


def _held(values: Floats, cap: float | None) -> tuple[Floats, Floats]:
    """Targets (members, k) with the infinite ones held at the cap, and their share (k,)."""
    finite = np.isfinite(values)
    result = values.copy()
    for k in range(values.shape[1]):
        seen = values[finite[:, k], k]
        low, high = (float(seen.min()), float(seen.max())) if seen.size else (0.0, 0.0)
        ceiling = cap if cap is not None and cap >= high else high + 0.01 * max(high - low, 1.0)
        result[~finite[:, k], k] = ceiling
    return result, 1.0 - finite.mean(axis=0)


def _expected_sd(
    candidate: Candidate, values: Floats, rng: np.random.Generator, simulated: int
) -> Floats:
    """Mean sd of the targets (members, k) after the candidate, shape (k,)."""
    members = values.shape[0]
    truth = spread_over(candidate.predicted, min(simulated, members), rng)
    observed = candidate.noise.draw(candidate.predicted[truth], rng)
    centred = values - values.mean(axis=0)
    _, twin = np.unique(np.column_stack([candidate.predicted, values]), axis=0, return_inverse=True)
    twin = twin.reshape(-1)
    moments = np.concatenate([np.ones((members, 1)), centred, centred**2], axis=1)
    total = np.zeros(values.shape[1])
    for start in range(0, truth.size, 100):
        rows = truth[start : start + 100]
        weights = candidate.noise.density(
            observed[start : start + 100, None], candidate.predicted[None, :]
        )
        # Neither the true world nor its resampled twins may vouch for the reading.
        weights[twin[rows][:, None] == twin[None, :]] = 0.0
        sums = weights @ moments
        norm = sums[:, :1]
        mean, square = np.split(sums[:, 1:] / norm, 2, axis=1)
        lone = np.sum(weights * weights, axis=1, keepdims=True) / norm**2
        variance = np.maximum(square - mean**2, 0.0) / np.maximum(1.0 - lone, 0.05)
        total += np.sqrt(variance).sum(axis=0)
    return total / truth.size


def spread_over(
    predicted: Floats, count: int, rng: np.random.Generator
) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    """Worlds spread evenly over the ordered predictions, so that few of them serve, (count,)."""
    order = np.argsort(predicted + 1e-12 * rng.standard_normal(predicted.size))
    places = (np.arange(count) + rng.random(count)) / count * predicted.size
    return np.asarray(order[np.minimum(places.astype(np.intp), predicted.size - 1)])

"""Readings held together: what each instrument shares, and how likely they are in each world."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tanwright.errors import InputError
from tanwright.science.belief.noise import Noise, log_density
from tanwright.science.belief.unknowns import Floats

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Reading:
    """One reading and how it scatters.

    ``observed`` is in the unit of the noise model. Readings with the same ``instrument`` (a
    hydrometer, a refractometer, one person's eye) share its error; leave it empty if each stands
    for itself. ``label`` comes back in checks.
    """

    noise: Noise
    observed: float
    instrument: str = ""
    label: str = ""


class Evidence:
    """Several readings with the hidden errors of their instruments.

    An instrument that speaks twice or more has one hidden standard normal of its own: a column
    that stands beside the unknowns while the readings are weighed.

    Raises :class:`tanwright.errors.InputError` for a reading that is not a finite number.
    """

    def __init__(self, readings: Sequence[Reading]) -> None:
        for number, reading in enumerate(readings, start=1):
            if not np.isfinite(reading.observed):
                raise InputError(
                    "a reading must be a plain number",
                    place=reading.label or f"reading {number}",
                    remedy="leave it out if it is not known",
                )
        times = Counter(r.instrument for r in readings if r.instrument and r.noise.shared_sd > 0.0)
        shared = sorted(name for name, count in times.items() if count > 1)
        self.readings = tuple(readings)
        self.instruments = tuple(shared)
        self.column = tuple(
            shared.index(r.instrument) if r.instrument in shared and r.noise.shared_sd > 0.0 else -1
            for r in readings
        )
        self.noises: tuple[Noise, ...] = tuple(
            r.noise if column >= 0 else r.noise.alone()
            for r, column in zip(readings, self.column, strict=True)
        )

    def __len__(self) -> int:
        return len(self.readings)

    def seen(self, predictions: Floats, hidden: Floats) -> Floats:
        """Predictions (n, readings) as the instruments see them, for hidden errors (n, k)."""
        if not self.instruments:
            return predictions
        result = predictions.copy()
        for i, column in enumerate(self.column):
            if column >= 0:
                result[:, i] = self.noises[i].shifted(predictions[:, i], hidden[:, column])
        return result

    def log_likelihoods(self, seen: Floats) -> Floats:
        """Log density of each reading in each world, shape (n, readings)."""
        result = np.empty_like(seen)
        for i, (noise, reading) in enumerate(zip(self.noises, self.readings, strict=True)):
            result[:, i] = log_density(noise, reading.observed, seen[:, i])
        return result

    def transformed(self, seen: Floats) -> Floats:
        """Predictions in the scales of the linear stage, shape (n, readings)."""
        columns = [noise.transform(seen[:, i]) for i, noise in enumerate(self.noises)]
        return np.stack(columns, axis=1)

    def data(self) -> tuple[Floats, Floats]:
        """Observed values and sds in the scales of the linear stage, each (readings,)."""
        pairs = [n.datum(r.observed) for n, r in zip(self.noises, self.readings, strict=True)]
        return np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])


def draw_readings(
    readings: Sequence[Reading], predictions: Floats, rng: np.random.Generator
) -> Floats:
    """Simulated readings for predictions (n, readings), hidden instrument errors included."""
    evidence = Evidence(readings)
    hidden = rng.standard_normal((predictions.shape[0], len(evidence.instruments)))
    seen = evidence.seen(predictions, hidden)
    columns = [noise.draw(seen[:, i], rng) for i, noise in enumerate(evidence.noises)]
    return np.stack(columns, axis=1) if columns else np.empty_like(predictions)

"""The linear-Gaussian stage: ES-MDA moves the prior ensemble near to the readings.

Emerick and Reynolds (2013), by the library iterative_ensemble_smoother, in the scales where the
noise is near to normal.  It is exact for a linear model with normal errors and an approximation
otherwise; :mod:`tanwright.science.belief.updating` corrects it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tanwright.science.belief.checking import strangers
from tanwright.science.belief.unknowns import Floats

STRANGE = 4.0
"""A reading this many sds from what the others lead to expect gets a wider sd in this stage."""


def careful_sds(transformed: Floats, observed: Floats, sds: Floats) -> Floats:
    """Sds (readings,), widened for readings that the others contradict, worst one first."""
    result = sds.copy()
    for _ in range(observed.size):
        distance = np.abs(strangers(transformed, observed, result))
        worst = int(np.argmax(distance))
        if distance[worst] < STRANGE:
            break
        variance = np.var(transformed[:, worst]) + result[worst] ** 2
        result[worst] = max(
            3.0 * result[worst], float(np.sqrt(variance)) * distance[worst] / STRANGE
        )
    return result


def smooth(
    z: Floats,
    transformed: Floats,
    predict: Callable[[Floats], Floats],
    observed: Floats,
    sds: Floats,
    rng: np.random.Generator,
    *,
    steps: int,
) -> Floats:
    """Move z (n, d) by ES-MDA in ``steps`` assimilations; returns the moved z (n, d).

    ``transformed`` (n, readings) are the transformed predictions at z, ``predict`` computes them
    anew after each step but the last: ``steps`` - 1 sweeps.  A reading that every world predicts
    alike moves nothing.
    """
    from iterative_ensemble_smoother import ESMDA

    telling = np.ptp(transformed, axis=0) > 0.0
    if not telling.any():
        return z
    esmda = ESMDA(sds[telling] ** 2, observed[telling], alpha=steps, seed=rng)
    moved = np.ascontiguousarray(z.T)
    for step in range(steps):
        responses = transformed if step == 0 else predict(np.ascontiguousarray(moved.T))
        responses = responses[:, telling]
        if not np.all(np.ptp(responses, axis=0) > 0.0):
            break
        esmda.prepare_assimilation(Y=np.ascontiguousarray(responses.T), truncation=1.0)
        moved = esmda.assimilate_batch(X=moved)
    return np.ascontiguousarray(moved.T)

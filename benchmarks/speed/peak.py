"""What this machine can do at most, measured in the same run, on one core."""

from __future__ import annotations

import time

import numpy as np
from numba import njit

CHAINS = 64
"""Independent accumulators: enough to keep wide multiply-add units busy."""


@njit(fastmath={"contract"})
def multiply_add(x: np.ndarray, rounds: int) -> float:
    """``rounds`` of x = a x + b on every element: two operations each."""
    for _ in range(rounds):
        for i in range(x.size):
            y = x[i]
            y = 0.999 * y + 0.001
            y = 0.998 * y + 0.002
            y = 0.997 * y + 0.003
            y = 0.996 * y + 0.004
            y = 0.995 * y + 0.005
            y = 0.994 * y + 0.006
            y = 0.993 * y + 0.007
            y = 0.992 * y + 0.008
            x[i] = y
    return x[0]


@njit
def triad(a: np.ndarray, b: np.ndarray, c: np.ndarray, rounds: int) -> None:
    """a = b + 3 c, ``rounds`` times: three floats moved per element."""
    for _ in range(rounds):
        for i in range(a.size):
            a[i] = b[i] + 3.0 * c[i]


def best(work, *args, times: int = 5) -> float:
    """Least seconds of processor time of several runs."""
    work(*args)
    spent = []
    for _ in range(times):
        begin = time.process_time()
        work(*args)
        spent.append(time.process_time() - begin)
    return min(spent)


def arithmetic_peak() -> float:
    """Operations per second of multiply-adds from registers."""
    x = np.linspace(0.0, 1.0, 8 * CHAINS)
    rounds = 60_000
    return 16.0 * x.size * rounds / best(multiply_add, x, rounds)


def bandwidth(kilobytes: float) -> float:
    """Bytes per second of the triad on a working set of this size."""
    size = int(kilobytes * 1024 / 24)
    a, b, c = (np.ones(size) for _ in range(3))
    rounds = max(1, int(4e7 / size))
    return 24.0 * size * rounds / best(triad, a, b, c, rounds)

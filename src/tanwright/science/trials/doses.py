"""Doses in a ladder of equal steps of proportion around the usual one.

Twice as much bark does not twice as much to a skin: what a step does follows the proportion, so
that the rungs of a ladder are a fixed proportion apart (common practice of dose trials).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from tanwright.errors import InputError
from tanwright.science.values import Floats, positive, within

LEAST_RUNGS, MOST_RUNGS = 2, 9
SPAN: Final = 4.0
"""Highest to lowest dose when nobody says: from half to twice the usual one."""


def ladder(middle: float, rungs: int, span: float = SPAN, *, most: float | None = None) -> Floats:
    """Doses from the lowest to the highest, ``middle`` always among them, (rungs,).

    Parameters
    ----------
    middle:
        The usual dose, kg of dry material to kg of wet pelt (or any other unit).
    rungs:
        How many doses, the usual one among them.
    span:
        Highest to lowest; the steps are ``span ** (1 / (rungs - 1))``.
    most:
        The most that can be had; the ladder is then squeezed between ``middle`` and it.

    Raises
    ------
    InputError
        For a middle that is not above nought, a span below 1.1 or above 100, a number of rungs
        that makes no ladder, or a ``most`` below the usual dose.
    """
    positive(middle, "the usual dose")
    within(span, 1.1, 100.0, "the span of the ladder")
    within(float(rungs), LEAST_RUNGS, MOST_RUNGS, "the number of doses")
    below = (rungs - 1) // 2
    above = rungs - 1 - below
    step = float(span) ** (1.0 / (rungs - 1))
    up = step
    if most is not None:
        if most < middle:
            raise InputError(
                "the material in hand does not reach for the usual dose",
                remedy="use smaller patches or fewer of them, or get more of it",
            )
        up = min(step, (most / middle) ** (1.0 / above)) if above else step
    lower = middle / step ** np.arange(below, 0, -1)
    upper = middle * up ** np.arange(1, above + 1)
    found = np.concatenate([lower, [middle], upper])
    if np.any(np.diff(found) < 1e-6 * middle):
        raise InputError(
            "the material in hand leaves no room for a higher dose",
            remedy="use fewer or smaller patches, or get more of it",
        )
    return found

"""Pieces laid in a row, best first: the Plackett-Luce model, and how far graders agree.

The first of a row is chosen from all, the next from those left, each with a chance in proportion
to exp(worth) (Luce 1959, Plackett 1975).  The library ``choix`` (Maystre) finds the likeliest
worths of rows alone; inside the model of all effects the same likelihood is reckoned for all
choices at once, and tests hold it to that of ``choix``.  Pieces of one heap that were not told
apart are each chosen from themselves and all that lie behind the heap; among themselves they say
nothing.  Without heaps this is the usual likelihood.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tanwright.errors import InputError
from tanwright.science.trials.effects import Bend, Scale
from tanwright.science.values import Floats

Ints = NDArray[np.int64]

Row = Sequence[Sequence[int]]
"""Heaps of pieces, those of most worth first: the upper end of a scale, not what is wanted."""


def choices(row: Row) -> list[tuple[int, tuple[int, ...]]]:
    """Each piece with the pieces that it was put before."""
    pieces = [piece for heap in row for piece in heap]
    if len(set(pieces)) != len(pieces):
        raise InputError("a piece lies twice in one row", remedy="name each piece once")
    found = []
    for place, heap in enumerate(row):
        behind = tuple(piece for later in row[place + 1 :] for piece in later)
        if behind:
            found += [(piece, behind) for piece in heap]
    return found


@dataclass(frozen=True)
class Rows:
    """Rows of pieces as a likelihood of effects.

    Attributes
    ----------
    rows:
        Heaps of piece numbers, best first, one row for each grader and laying.
    design:
        Worth of each piece (pieces, q) from the core effects; local effects, where there are any,
        belong to the pieces one by one.
    sharpness:
        How much sharper than a single grade the eye is when pieces lie side by side; ``None`` when
        there are no grades to stand beside.
    """

    rows: tuple[Row, ...]
    design: Floats
    sharpness: Scale | None = None
    _chosen: Ints = field(init=False, repr=False, compare=False)
    _offered: NDArray[np.bool_] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        told = [choice for row in self.rows for choice in choices(row)]
        offered = np.zeros((len(told), self.design.shape[0]), dtype=bool)
        for number, (piece, behind) in enumerate(told):
            offered[number, [piece, *behind]] = True
        object.__setattr__(self, "_chosen", np.array([piece for piece, _ in told], dtype=int))
        object.__setattr__(self, "_offered", offered)

    @property
    def scales(self) -> tuple[Scale, ...]:
        """The sharpness, where there is one."""
        return () if self.sharpness is None else (self.sharpness,)

    def parts(self, effects: Floats, scales: Floats) -> tuple[float, Floats, Bend]:
        """Log-likelihood with gradient and bend."""
        times = float(scales[0]) if self.sharpness is not None else 1.0
        core = self.design.shape[1]
        own = effects[core:]
        worth = times * (self.design @ effects[:core] + (own if own.size else 0.0))
        offered = np.where(self._offered, worth, -np.inf)
        # Each choice by its own best, so that pieces far behind all others still count.
        top = offered.max(axis=1)
        weight = np.exp(offered - top[:, None])
        whole = weight.sum(axis=1)
        chance = weight / whole[:, None]
        expected = chance.sum(axis=0)
        slope = times * (np.bincount(self._chosen, minlength=worth.size) - expected)
        bend = times**2 * (np.diag(expected) - chance.T @ chance)
        leaning = self.design.T @ bend
        return (
            float(worth[self._chosen].sum() - (top + np.log(whole)).sum()),
            np.concatenate([self.design.T @ slope, slope[: own.size]]),
            Bend(leaning @ self.design, leaning[:, : own.size], bend[: own.size, : own.size]),
        )


def plackett_luce(count: int, rows: Sequence[Sequence[int]]) -> Floats:
    """Most likely worths (count,), summing to zero, of rows without heaps.

    Raises
    ------
    InputError
        When some pieces always lay before all others, so that no worth is likeliest.
    """
    from choix.lsr import ilsr_rankings

    try:
        worth: Floats = np.array(ilsr_rankings(count, [tuple(row) for row in rows]))
    except (ValueError, RuntimeError) as trouble:
        raise InputError(
            "some pieces always lay before all the others, so their distance cannot be told",
            remedy="lay them again, or by one grader more",
        ) from trouble
    return np.asarray(worth - worth.mean())


def mid_ranks(row: Row, count: int) -> Floats:
    """Places of the pieces in a row, 1 the best, shared within a heap; NaN for absent ones."""
    places = np.full(count, np.nan)
    gone = 0
    for heap in row:
        places[list(heap)] = gone + (len(heap) + 1) / 2.0
        gone += len(heap)
    return places


def agreement(places: Floats) -> float:
    """Kendall's W of ``places`` (graders, pieces), corrected for ties: 0 none, 1 all the same.

    NaN for fewer than two graders, fewer than two pieces, or when nobody told any apart.
    Source: Kendall and Babington Smith (1939); correction for ties as in Kendall (1948).
    """
    graders, pieces = places.shape
    if graders < 2 or pieces < 2:
        return float("nan")
    sums = places.sum(axis=0)
    spread = 12.0 * float(((sums - sums.mean()) ** 2).sum())
    ties = 0.0
    for row in places:
        _, counts = np.unique(row, return_counts=True)
        ties += float((counts**3 - counts).sum())
    most = graders**2 * (pieces**3 - pieces) - graders * ties
    return spread / most if most > 0.0 else float("nan")

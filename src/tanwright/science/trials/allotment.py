"""Treatments to the units of blocks: balanced, or as near to it as can be, found by exchanges.

A block is a set of pieces alike (one region of one skin).  With ``n`` the table of how often each
treatment lies in each block, ``k`` the sizes of the blocks and ``r`` the replications, what the
blocks leave of the information on the treatments is ``C = diag(r) - n diag(1/k) n'``.  Its t - 1
eigenvalues above nought say how well the treatments can be told apart: the mean variance of a
difference of two treatments is ``2 s**2 / h`` with ``h`` their harmonic mean.

Sources
-------
C and the efficiency factor are those of every textbook of incomplete blocks. The bound is the
inequality of harmonic and arithmetic mean, with the largest trace that the sizes of the blocks
leave; balanced incomplete blocks attain it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tanwright.errors import InputError
from tanwright.science.values import Floats

Ints = NDArray[np.int64]
MOST_UNITS: Final = 400
STARTS: Final = 24
"""Random starts of the search; it stops at the first that attains the bound."""
_CLOSE: Final = 1e-9


@dataclass(frozen=True)
class Allotment:
    """Which treatment each unit got.

    Attributes
    ----------
    treatment:
        Index of the treatment of each unit, (units,).
    block:
        Index of the block of each unit, (units,), as it was given.
    counts:
        How often each treatment lies in each block, (treatments, blocks).
    efficiency:
        Harmonic mean of the eigenvalues of C against the replications without blocks, 0 to 1.
    bound:
        No design of these blocks can have more.
    """

    treatment: Ints
    block: Ints
    counts: Ints
    efficiency: float
    bound: float

    @property
    def replications(self) -> Ints:
        """How many units each treatment has, (treatments,)."""
        return np.asarray(self.counts.sum(axis=1))

    @property
    def concurrence(self) -> Ints:
        """How often two treatments meet in a block, (treatments, treatments)."""
        return np.asarray(self.counts @ self.counts.T)

    @property
    def is_connected(self) -> bool:
        """Whether every treatment can be compared with every other one."""
        return self.efficiency > _CLOSE

    @property
    def is_balanced(self) -> bool:
        """Whether all pairs of treatments are compared with the same variance."""
        values = _eigenvalues(information(self.counts)[None])[0, 1:]
        return bool(np.ptp(values) < 1e-6 * max(float(values.max()), _CLOSE))


def information(counts: Ints) -> Floats:
    """C of the counts (treatments, blocks): what the blocks leave, (treatments, treatments)."""
    n = np.asarray(counts, dtype=float)
    return np.asarray(np.diag(n.sum(axis=1)) - (n / np.maximum(n.sum(axis=0), 1.0)) @ n.T)


def _eigenvalues(matrices: Floats) -> Floats:
    """Eigenvalues in rising order, none below nought, (..., t)."""
    return np.asarray(np.maximum(np.linalg.eigvalsh(matrices), 0.0))


def _harmonic(matrices: Floats) -> Floats:
    """Harmonic mean of the t - 1 largest eigenvalues, nought when one of them is, (...)."""
    values = _eigenvalues(matrices)[..., 1:]
    with np.errstate(divide="ignore"):
        mean = values.shape[-1] / (1.0 / values).sum(axis=-1)
    return np.asarray(np.where(values[..., 0] > _CLOSE, mean, 0.0))


def efficiency_of(counts: Ints) -> float:
    """Efficiency of a design against as many units without blocks (0 to 1); 0: not connected."""
    counts = np.asarray(counts)
    units, treatments = int(counts.sum()), counts.shape[0]
    return float(_harmonic(information(counts)[None])[0] / (units / treatments))


def bound_for(sizes: Sequence[int], treatments: int) -> float:
    """Upper bound of the efficiency of any design in blocks of ``sizes``."""
    k = np.asarray(sizes, dtype=int)
    whole, over = np.divmod(k, treatments)
    squares = over * (whole + 1) ** 2 + (treatments - over) * whole**2
    trace = float((k - squares / k).sum())
    return min(trace / (treatments - 1) / (float(k.sum()) / treatments), 1.0)


def replications_for(units: int, treatments: int, *, first_gets_more: bool = True) -> Ints:
    """Equal replications; what is left over goes to the first treatment, then to the next ones."""
    whole, over = divmod(units, treatments)
    found = np.full(treatments, whole)
    if first_gets_more:
        found[:over] += 1
    else:
        found[treatments - over :] += 1 if over else 0
    return found


def allot(
    block: Sequence[int] | Ints,
    treatments: int,
    rng: np.random.Generator,
    *,
    starts: int = STARTS,
) -> Allotment:
    """Give each unit a treatment, treatment 0 the control.

    Replications differ by one at most, the control having the more.  Each treatment lies in each
    block as often as any other one, or once more; which ones once more is found by exchanges that
    raise the efficiency.  Within a block the order is random.

    Parameters
    ----------
    block:
        Block of each unit, whole numbers from 0, (units,).
    treatments:
        How many, two or more.
    rng:
        Source of all that is random; the same one gives the same allotment.
    starts:
        Random starts at most.

    Raises
    ------
    InputError
        For fewer units than treatments, fewer than two treatments, or too many units.
    """
    block = np.asarray(block, dtype=np.int64)
    if treatments < 2:
        raise InputError("one treatment is no comparison", remedy="choose two or more")
    if block.size < treatments:
        raise InputError(
            f"{block.size} {'patch' if block.size == 1 else 'patches'} cannot hold {treatments}"
            " treatments",
            remedy="cut more patches, or compare fewer treatments",
        )
    if block.size > MOST_UNITS:
        raise InputError(
            f"{block.size} patches are too many", remedy=f"use up to {MOST_UNITS} of them"
        )
    names, block = np.unique(block, return_inverse=True)
    sizes = np.bincount(block, minlength=names.size)
    bound = bound_for(list(sizes), treatments)
    reach = bound * (1.0 - 1e-9)
    best: tuple[float, Ints] | None = None
    for _ in range(starts):
        counts = _improved(_start(sizes, treatments, rng))
        found = efficiency_of(counts)
        if best is None or found > best[0] + 1e-12:
            best = (found, counts)
        if best[0] >= reach:
            break
    assert best is not None
    counts = _relabelled(best[1], rng)
    given = np.empty(block.size, dtype=np.int64)
    for index in range(names.size):
        labels = np.repeat(np.arange(treatments), counts[:, index])
        given[block == index] = rng.permutation(labels)
    return Allotment(given, block, counts, best[0], bound)


def _start(sizes: Ints, treatments: int, rng: np.random.Generator) -> Ints:
    """Whole shares to every block, the rest by turns so that the replications stay equal."""
    left = replications_for(int(sizes.sum()), treatments)
    counts = np.repeat((sizes // treatments)[None, :], treatments, axis=0)
    left = left - counts.sum(axis=1)
    # Small blocks first: they have the least choice.
    order = rng.permutation(sizes.size)
    over = sizes % treatments
    for index in order[np.argsort(-over[order], kind="stable")]:
        if over[index] == 0:
            continue
        # Those that lack most come first, ties by chance.
        rank = np.lexsort((rng.random(treatments), -left))
        chosen = rank[: over[index]]
        counts[chosen, index] += 1
        left[chosen] -= 1
    return counts


def _improved(counts: Ints) -> Ints:
    """Exchange two treatments between two blocks as long as the efficiency rises."""
    counts = counts.copy()
    base = counts.min(axis=0)
    sizes = counts.sum(axis=0).astype(float)
    best = float(_harmonic(information(counts)[None])[0])
    while True:
        has = counts > base
        # Block a gives p and takes q, block b gives q and takes p; nobody goes twice into a block.
        gives = has[:, None, :] & ~has[None, :, :]
        p, q, a = np.nonzero(gives)
        pairs = [
            (i, j)
            for i in range(p.size)
            for j in np.flatnonzero((p == q[i]) & (q == p[i]) & (a > a[i]))
        ]
        if not pairs:
            return counts
        first, second = np.array(pairs).T
        trial = np.repeat(counts[None], first.size, axis=0)
        rows = np.arange(first.size)
        trial[rows, p[first], a[first]] -= 1
        trial[rows, q[first], a[first]] += 1
        trial[rows, p[second], a[second]] -= 1
        trial[rows, q[second], a[second]] += 1
        n = trial.astype(float)
        matrices = -(n / sizes) @ n.transpose(0, 2, 1)
        diagonal = np.arange(counts.shape[0])
        matrices[:, diagonal, diagonal] += n.sum(axis=2)
        values = _harmonic(matrices)
        top = int(np.argmax(values))
        if values[top] <= best + 1e-9:
            return counts
        best, counts = float(values[top]), trial[top]


def _relabelled(counts: Ints, rng: np.random.Generator) -> Ints:
    """Exchange at random the treatments that have equal replications, and like blocks."""
    counts = counts.copy()
    replications = counts.sum(axis=1)
    for value in np.unique(replications):
        rows = np.flatnonzero(replications == value)
        counts[rows] = counts[rng.permutation(rows)]
    return counts


def spread_over(groups: int, treatment: Ints, block: Ints, rng: np.random.Generator) -> Ints:
    """The units of each treatment over ``groups`` jars, evenly and across the blocks, (units,).

    Units of one treatment are dealt out by block in turn, so that each jar holds as many pieces of
    each region as any other jar of that treatment, or one more.
    """
    found = np.zeros(treatment.size, dtype=np.int64)
    for index in np.unique(treatment):
        units = np.flatnonzero(treatment == index)
        units = units[np.lexsort((rng.random(units.size), block[units]))]
        offset = int(rng.integers(groups))
        found[units] = (np.arange(units.size) + offset) % groups
    return found

"""When a trial cannot say: what is mixed up, missing or the same everywhere."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from tanwright.science.values import Floats

Ints = NDArray[np.int64]
FEW_PATCHES = 3
FEW_GRADES = 3


def in_one_jar(treatment: Ints, jar: Ints, treatments: int) -> tuple[int, ...]:
    """Treatments all of whose patches lay in one jar: jar and treatment are one there."""
    return tuple(t for t in range(treatments) if np.unique(jar[treatment == t]).size == 1)


def mixed_jars(treatment: Ints, jar: Ints) -> tuple[int, ...]:
    """Jars that held patches of more than one treatment."""
    return tuple(int(j) for j in np.unique(jar) if np.unique(treatment[jar == j]).size > 1)


def thin_treatments(treatment: Ints, treatments: int) -> tuple[int, ...]:
    """Treatments with fewer than :data:`FEW_PATCHES` patches."""
    counts = np.bincount(treatment, minlength=treatments)
    return tuple(int(t) for t in np.flatnonzero(counts < FEW_PATCHES))


def apart_in_blocks(treatment: Ints, block: Ints, treatments: int) -> tuple[tuple[int, ...], ...]:
    """Sets of treatments that share no block with the others: blocks may make the difference.

    One set holding all treatments when everything hangs together.
    """
    member = list(range(treatments))
    for b in np.unique(block):
        here = np.unique(treatment[block == b])
        first = member[int(here[0])]
        for t in here[1:]:
            old = member[int(t)]
            member = [first if m == old else m for m in member]
    sets: dict[int, list[int]] = {}
    for t, m in enumerate(member):
        if (treatment == t).any():
            sets.setdefault(m, []).append(t)
    return tuple(tuple(group) for group in sets.values())


def flat_graders(grader: Ints, grade: Ints) -> tuple[int, ...]:
    """Graders who gave one grade to all patches, :data:`FEW_GRADES` of them at least."""
    return tuple(
        int(g)
        for g in np.unique(grader)
        if (grader == g).sum() >= FEW_GRADES and np.unique(grade[grader == g]).size == 1
    )


def never_overlapping(
    treatment: Ints, value: Floats, treatments: int
) -> tuple[tuple[int, int], ...]:
    """Pairs (low, high) of treatments whose values never overlap (two of each at least).

    With grades the distance of such a pair cannot be told, only that there is one.
    """
    found = []
    for a, b in combinations(range(treatments), 2):
        one, other = value[treatment == a], value[treatment == b]
        if min(one.size, other.size) < 2:
            continue
        if one.max() < other.min():
            found.append((a, b))
        elif other.max() < one.min():
            found.append((b, a))
    return tuple(found)


def unlike_share(grader: Ints, treatment: Ints, treatments: int) -> tuple[int, ...]:
    """Graders who did not see every treatment that was graded, so severity and treatment mix."""
    graded = set(np.unique(treatment).tolist())
    return tuple(
        int(g) for g in np.unique(grader) if set(treatment[grader == g].tolist()) != graded
    )

"""How sure a trial can be before it is made: the smallest that answers, and what more would buy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.trials.design import MOST_JARS_EACH
from tanwright.planning.trials.records import Treatment
from tanwright.planning.trials.treatments import Question
from tanwright.science.trials import mixtures, power
from tanwright.science.trials.allotment import allot, spread_over
from tanwright.science.values import Floats

SURE: Final = 0.8
"""A trial answers when it shows a difference of one step at least 8 times in 10."""
MORE: Final = (2, 4, 8)
MOST_PATCHES: Final = 96
STEPS: Final = 5
_STARTS: Final = 3
_TRIALS: Final = 1600


@dataclass(frozen=True)
class Wish:
    """What is asked and what there is to ask it of.

    Attributes
    ----------
    question:
        Which, dose, blend or pretreatment.
    treatments:
        The control first.
    blocks:
        How many patches each group of like pieces (a region of a skin) gives.
    graders:
        How many people will grade every patch.
    jars_each:
        Jars of each treatment.
    """

    question: Question
    treatments: tuple[Treatment, ...]
    blocks: tuple[int, ...]
    graders: int = 1
    jars_each: int = 1

    @property
    def patches(self) -> int:
        """Patches in hand."""
        return sum(self.blocks)


@dataclass(frozen=True)
class Chance:
    """How sure a trial of ``patches`` is.

    ``chance`` is how often it shows a true difference of one step; ``half_width`` the half width
    of its 90 % interval, in steps.
    """

    patches: int
    chance: float
    half_width: float

    @property
    def in_words(self) -> str:
        """``"8 times in 10"``."""
        return times_in_ten(self.chance)


def times_in_ten(share: float) -> str:
    """A share as ``"8 times in 10"``, rounded down."""
    number = int(10 * share + 1e-9)
    if number < 1:
        return "hardly ever"
    if share >= 0.95:
        return "almost always"
    return f"{number} time{'' if number == 1 else 's'} in 10"


@dataclass(frozen=True)
class Proposal:
    """What can be said of a trial before it is cut.

    Attributes
    ----------
    now:
        With every patch in hand; ``None`` when they cannot compare at all.
    smallest:
        The fewest patches that answer (chance of at least :data:`SURE`), ``None`` when more than
        :data:`MOST_PATCHES` would be needed.
    smallest_jars:
        Jars of each treatment that ``smallest`` needs: more than were wished for when no number of
        patches would do with those.
    more:
        With 2, 4 and 8 patches more.
    second_jar, second_grader:
        With one jar of each treatment more, and with one grader more.
    answers, notes:
        Plain sentences: what comes out of it; what stands in its way.
    """

    now: Chance | None
    smallest: Chance | None
    smallest_jars: int
    more: tuple[Chance, ...]
    second_jar: Chance | None
    second_grader: Chance | None
    answers: tuple[str, ...]
    notes: tuple[str, ...]


def propose(wish: Wish, seed: int = 1) -> Proposal:
    """How sure the trial is, from simulated ones; the same seed says the same.

    Raises InputError for fewer than two treatments or no patches.
    """
    if len(wish.treatments) < 2:
        raise InputError(
            "a trial compares at least two treatments",
            place="treatments",
            remedy="choose one more",
        )
    blocks = tuple(size for size in wish.blocks if size > 0)
    if not blocks:
        raise InputError(
            "there are no patches yet", place="patches", remedy="add an offcut or count patches"
        )
    now = chance_of(wish, blocks, seed)
    more: list[Chance] = []
    for many in MORE:
        found = chance_of(wish, with_more(blocks, many), seed)
        if found is not None:
            more.append(_not_below(more[-1] if more else now, found))
    other_jar = replace(wish, jars_each=wish.jars_each + 1)
    other_grader = replace(wish, graders=wish.graders + 1)
    smallest, jars = None, wish.jars_each
    for jars in range(wish.jars_each, MOST_JARS_EACH + 1):
        smallest = _smallest(replace(wish, jars_each=jars), blocks, seed)
        if smallest is not None:
            break
    return Proposal(
        now=now,
        smallest=smallest,
        smallest_jars=jars,
        more=tuple(more),
        second_jar=chance_of(other_jar, blocks, seed),
        second_grader=chance_of(other_grader, blocks, seed),
        answers=tuple(_answers(wish, now, smallest, jars)),
        notes=tuple(_notes(wish, blocks, now)),
    )


def _not_below(before: Chance | None, found: Chance) -> Chance:
    """More patches never tell less: what looks like it is the noise of the simulation."""
    if before is None:
        return found
    return replace(
        found,
        chance=max(found.chance, before.chance),
        half_width=min(found.half_width, before.half_width),
    )


def chance_of(wish: Wish, blocks: Sequence[int], seed: int) -> Chance | None:
    """How sure ``wish`` is with ``blocks`` of patches; ``None`` when it cannot compare."""
    treatments = len(wish.treatments)
    if sum(blocks) < treatments:
        return None
    rng = np.random.default_rng([seed, *blocks])
    found = allot(np.repeat(np.arange(len(blocks)), blocks), treatments, rng, starts=_STARTS)
    if not found.is_connected:
        return None
    jar = spread_over(wish.jars_each, found.treatment, found.block, rng)
    layout = power.Layout(
        found.treatment,
        found.block,
        found.treatment * wish.jars_each + jar,
        max(wish.graders, 1),
        STEPS,
    )
    weights, basis = _asked(wish)
    seen = power.simulate(layout, weights, rng, basis=basis, trials=_TRIALS)
    return Chance(sum(blocks), seen.chance, seen.half_width)


def _asked(wish: Wish) -> tuple[Floats, Floats | None]:
    """The contrast that the question is about, and what the treatments are fitted by."""
    number = len(wish.treatments)
    if wish.question == "dose":
        doses = [item.dose for item in wish.treatments]
        if all(dose is not None for dose in doses):
            return power.slope(np.log(np.array(doses, dtype=float))), None
    if wish.question == "blend":
        ids = list(dict.fromkeys(id for item in wish.treatments for id in item.shares))
        shares = np.array([[item.shares.get(id, 0.0) for id in ids] for item in wish.treatments])
        basis = mixtures.canonical(shares, 2)
        if len(ids) > 1 and np.linalg.matrix_rank(basis) == basis.shape[1]:
            apart = np.abs(shares[:, None] - shares[None]).sum(axis=2)
            one, other = np.unravel_index(int(np.argmax(apart)), apart.shape)
            return basis[one] - basis[other], basis
    # The last treatment has the fewest patches of all: nothing is told better than is true.
    return power.pair(number, number - 1), None


def with_more(blocks: Sequence[int], many: int) -> tuple[int, ...]:
    """``many`` patches more, one by one to the smallest block."""
    sizes = list(blocks)
    for _ in range(many):
        sizes[int(np.argmin(sizes))] += 1
    return tuple(sizes)


def with_fewer(blocks: Sequence[int], many: int) -> tuple[int, ...]:
    """``many`` patches fewer, one by one from the largest block."""
    sizes = list(blocks)
    for _ in range(many):
        sizes[int(np.argmax(sizes))] -= 1
    return tuple(size for size in sizes if size > 0)


def _smallest(wish: Wish, blocks: Sequence[int], seed: int) -> Chance | None:
    """The fewest patches, in whole rounds of the treatments, that answer."""
    treatments = len(wish.treatments)
    low, high = 2, MOST_PATCHES // treatments
    best = _chance_of_many(wish, blocks, high * treatments, seed) if high >= low else None
    if best is None or best.chance < SURE:
        return None
    while low < high:
        middle = (low + high) // 2
        found = _chance_of_many(wish, blocks, middle * treatments, seed)
        if found is not None and found.chance >= SURE:
            best, high = found, middle
        else:
            low = middle + 1
    return best


def _chance_of_many(wish: Wish, blocks: Sequence[int], many: int, seed: int) -> Chance | None:
    """How sure it is with ``many`` patches, come by or gone from the blocks there are."""
    there = sum(blocks)
    sizes = with_fewer(blocks, there - many) if many <= there else with_more(blocks, many - there)
    return chance_of(wish, sizes, seed)


def _answers(wish: Wish, now: Chance | None, smallest: Chance | None, jars: int) -> list[str]:
    compared = {
        "which": "between the usual plant and another one",
        "dose": "from the lowest to the highest dose",
        "blend": "between the two blends that lie farthest apart",
        "pretreatment": "between the usual way and another one",
    }[wish.question]
    said = []
    if now is not None:
        said.append(
            f"With {now.patches} patches, a true difference of one step {compared} shows "
            f"{now.in_words}; the answer is good to about {now.half_width:.1f} steps either way."
        )
    if smallest is None:
        said.append(
            "No trial of a size that fits a shed would show one step 8 times in 10. Compare fewer "
            "treatments, or ask more people to grade."
        )
    elif jars > wish.jars_each:
        said.append(
            f"With {_counted(wish.jars_each)} of each treatment no number of patches shows one "
            f"step 8 times in 10, since a jar may go its own way. With {_counted(jars)} of each, "
            f"about {smallest.patches} patches do."
        )
    elif now is None or smallest.patches > now.patches:
        said.append(f"To see one step 8 times in 10, about {smallest.patches} patches are needed.")
    elif smallest.patches < now.patches:
        said.append(
            f"{smallest.patches} patches would do: that is the smallest trial that shows one step "
            "8 times in 10. The others may be kept, or make the answer surer."
        )
    else:
        said.append("This is just large enough: nothing to spare and nothing lacking.")
    return said


def _counted(jars: int) -> str:
    return "one jar" if jars == 1 else f"{('two', 'three', 'four')[jars - 2]} jars"


def _notes(wish: Wish, blocks: Sequence[int], now: Chance | None) -> list[str]:
    said = []
    treatments = len(wish.treatments)
    if now is None:
        said.append(
            "These patches cannot compare the treatments: each piece of skin holds one patch only. "
            "Cut smaller patches, so that two or more come from the same region."
        )
    if wish.jars_each < 2:
        said.append(
            "Each treatment lies in one jar: a jar that goes its own way looks like a treatment. "
            "Two jars of each are safer, and cost no skin."
        )
    if len(blocks) == 1:
        said.append(
            "All patches come from one region of one skin: the answer holds for it, and maybe not "
            "for another."
        )
    if 1 <= sum(blocks) // treatments < 3:
        said.append(
            "Fewer than three patches of each treatment: one odd patch can turn the answer over."
        )
    if wish.graders < 2:
        said.append("One grader only: a second pair of hands halves the slips of the hand.")
    said.append(
        "How much patches, jars and graders scatter is taken from memory, in wide ranges; the "
        "trial itself will show how much it really was."
    )
    return said

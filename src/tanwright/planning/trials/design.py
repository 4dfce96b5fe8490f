"""Which patch gets which treatment and lies in which jar, and how good that is."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from tanwright.errors import DataError, InputError
from tanwright.planning.trials.records import CONTROL, Patch, Treatment
from tanwright.science.trials.allotment import MOST_UNITS, allot, spread_over

KEPT_VERSION: Final = 1
MOST_JARS_EACH: Final = 4


@dataclass(frozen=True)
class Design:
    """A design with what it was made from.

    Attributes
    ----------
    seed:
        The same patches, treatments and seed give the same design.
    treatments:
        The control first.
    patches:
        As they were given, in order, with treatment, block and jar filled in.
    jars_each:
        Jars of each treatment.
    efficiency, bound:
        How much of the information the blocks leave, 0 to 1, and the most that any design of
        these blocks can have.
    balanced:
        Whether every two treatments are compared equally well.
    notes:
        Plain sentences on what was joined and what cannot be told.
    """

    seed: int
    treatments: tuple[Treatment, ...]
    patches: tuple[Patch, ...]
    jars_each: int
    efficiency: float
    bound: float
    balanced: bool
    notes: tuple[str, ...]

    @property
    def of_jar(self) -> Mapping[str, str]:
        """Jar to the key of its treatment, in order of jars."""
        found = {patch.jar: patch.treatment for patch in self.patches}
        return {jar: found[jar] for jar in sorted(found, key=int)}

    @property
    def counts(self) -> Mapping[str, int]:
        """Key of a treatment to how many patches it has."""
        found = Counter(patch.treatment for patch in self.patches)
        return {item.key: found[item.key] for item in self.treatments}

    @property
    def by_block(self) -> tuple[tuple[str, tuple[int, ...]], ...]:
        """Each block with how many patches of each treatment it holds."""
        found: defaultdict[str, Counter[str]] = defaultdict(Counter)
        for patch in self.patches:
            found[patch.block][patch.treatment] += 1
        return tuple(
            (block, tuple(there[item.key] for item in self.treatments))
            for block, there in found.items()
        )

    @property
    def words(self) -> tuple[str, ...]:
        """What a person should know of it, plain sentences."""
        return tuple(_words(self))


def make_design(
    patches: Sequence[Patch],
    treatments: Sequence[Treatment],
    *,
    seed: int,
    jars_each: int = 1,
) -> Design:
    """Give every patch a treatment and a jar.

    Patches of one ``block`` are compared with each other; those that are alone in theirs join
    another block of their region, else of their skin.  The control has as many patches as any
    other treatment, or one more.  Jars are numbered in an order that does not tell the treatment.

    Parameters
    ----------
    patches:
        In any order; the same ones in another order give the same design.
    treatments:
        Two or more, one of them the control.
    seed:
        Of all that is random.
    jars_each:
        Jars of each treatment, 1 to 4.

    Raises
    ------
    InputError
        When there is no control, or too few patches to compare.
    """
    treatments = sorted(treatments, key=lambda item: item.key != CONTROL)
    if not treatments or treatments[0].key != CONTROL:
        raise InputError(
            "there is no control", place="treatments", remedy="name the usual way as one of them"
        )
    if not 1 <= jars_each <= MOST_JARS_EACH:
        raise InputError(
            f"{jars_each} jars of each treatment cannot be",
            place="jars",
            remedy=f"choose 1 to {MOST_JARS_EACH}",
        )
    if len(patches) > MOST_UNITS:
        raise InputError(
            f"{len(patches)} patches are more than one trial can hold",
            place="patches",
            remedy=f"use up to {MOST_UNITS}",
        )
    codes = Counter(patch.code for patch in patches)
    if twice := [code for code, many in codes.items() if many > 1]:
        raise InputError(
            f'the code "{twice[0]}" stands on two patches',
            place="patches",
            remedy="give every patch its own code",
        )
    order = sorted(patches, key=lambda patch: patch.code)
    blocks, notes = joined_blocks(order)
    names = list(dict.fromkeys(blocks))
    rng = np.random.default_rng(seed)
    found = allot([names.index(block) for block in blocks], len(treatments), rng)
    if not found.is_connected:
        raise InputError(
            "these patches cannot compare the treatments: no region holds two of them",
            place="patches",
            remedy="cut smaller patches, so that each region gives two or more",
        )
    fewest = int(found.replications.min())
    jars_each = min(jars_each, fewest)
    part = spread_over(jars_each, found.treatment, found.block, rng)
    jars = len(treatments) * jars_each
    number = rng.permutation(jars) + 1
    given = {
        patch.code: replace(
            patch,
            block=block,
            treatment=treatments[index].key,
            jar=str(number[index * jars_each + group]),
        )
        for patch, block, index, group in zip(order, blocks, found.treatment, part, strict=True)
    }
    return Design(
        seed=seed,
        treatments=tuple(treatments),
        patches=tuple(given[patch.code] for patch in patches),
        jars_each=jars_each,
        efficiency=found.efficiency,
        bound=found.bound,
        balanced=found.is_balanced,
        notes=tuple(notes),
    )


def joined_blocks(patches: Sequence[Patch]) -> tuple[list[str], list[str]]:
    """The block of each patch, those of one patch joined to others; and what was done, in words."""
    block_of = {patch.code: patch.block or patch.region for patch in patches}
    notes: list[str] = []
    alone = [patch for patch in patches if list(block_of.values()).count(block_of[patch.code]) == 1]
    by_region: defaultdict[str, list[Patch]] = defaultdict(list)
    for patch in alone:
        by_region[patch.region].append(patch)
    for region, single in by_region.items():
        if len(single) > 1:
            for patch in single:
                block_of[patch.code] = f"{region}, all skins"
            notes.append(
                f"Single patches of the {region} of {len(single)} pieces are compared with each "
                "other: skins differ, so these tell less."
            )
            continue
        patch = single[0]
        others = [other for other in patches if other.code != patch.code]
        near = [other for other in others if other.region == region]
        near = near or [other for other in others if other.skin == patch.skin] or others
        if near:
            sizes = Counter(block_of[other.code] for other in near)
            block_of[patch.code] = min(sizes, key=lambda name: (sizes[name], name))
            notes.append(
                f"The only patch of the {region}{_of(patch.skin)} is compared with "
                f"{block_of[patch.code]}: it tells less."
            )
    return [block_of[patch.code] for patch in patches], notes


def _of(skin: str) -> str:
    return f" of {skin}" if skin else ""


def _words(design: Design) -> list[str]:
    counts = design.counts
    least, most = min(counts.values()), max(counts.values())
    each = f"{least} patches" if least == most else f"{least} or {most} patches"
    groups = len(design.by_block)
    if groups == 1:
        said = [f"{len(counts)} treatments, {each} each, all from one group of like pieces."]
    else:
        said = [
            f"{len(counts)} treatments, {each} each, in {groups} groups of like pieces: treatments "
            "are compared inside a group, so that neck is never held against belly."
        ]
    if groups > 1 and design.efficiency > 0.999:
        said.append("Every group holds every treatment alike: nothing is lost to the groups.")
    elif groups > 1:
        share = design.efficiency / design.bound if design.bound else 0.0
        said.append(
            f"Not every group holds every treatment alike, which costs "
            f"{100 * (1 - design.efficiency):.0f} % of what the patches could tell; no design of "
            f"these pieces could lose less than {100 * (1 - design.bound):.0f} %"
            + (". This is the best there is." if share > 0.9999 else ".")
        )
    if design.jars_each == 1 and len(counts) > 1:
        said.append(
            "Each treatment has one jar: a jar that goes its own way cannot be told from its "
            "treatment."
        )
    if least < 3:
        said.append("With fewer than three patches of a treatment, one odd patch decides.")
    return said


def keep(design: Design) -> dict[str, Any]:
    """``design`` as JSON's own types, to be kept with a trial."""
    return {
        "kept_version": KEPT_VERSION,
        "seed": design.seed,
        "jars_each": design.jars_each,
        "efficiency": design.efficiency,
        "bound": design.bound,
        "balanced": design.balanced,
        "notes": list(design.notes),
        "treatments": [treatment_row(item) for item in design.treatments],
        "patches": [
            {
                "code": item.code, "offcut": item.offcut, "skin": item.skin, "region": item.region,
                "block": item.block, "treatment": item.treatment, "jar": item.jar,
            }
            for item in design.patches
        ],
    }  # fmt: skip


def take_back(kept: Mapping[str, Any]) -> Design:
    """The design that :func:`keep` kept. Raises DataError for anything else."""
    if kept.get("kept_version") != KEPT_VERSION:
        raise DataError("this is not a design of this version", remedy="make the design anew")
    try:
        return Design(
            seed=int(kept["seed"]),
            treatments=tuple(treatment_of(row) for row in kept["treatments"]),
            patches=tuple(Patch(**row) for row in kept["patches"]),
            jars_each=int(kept["jars_each"]),
            efficiency=float(kept["efficiency"]),
            bound=float(kept["bound"]),
            balanced=bool(kept["balanced"]),
            notes=tuple(kept["notes"]),
        )
    except (KeyError, TypeError, ValueError):
        raise DataError("the kept design is broken", remedy="make the design anew") from None


def treatment_row(item: Treatment) -> dict[str, Any]:
    """A treatment as JSON's own types."""
    return {
        "key": item.key,
        "label": item.label,
        "shares": dict(item.shares),
        "dose": item.dose,
        "pretreatment": item.pretreatment,
    }


def treatment_of(row: Mapping[str, Any]) -> Treatment:
    """The treatment that :func:`treatment_row` wrote."""
    dose = row.get("dose")
    return Treatment(
        key=str(row["key"]),
        label=str(row["label"]),
        shares={str(id): float(part) for id, part in dict(row.get("shares") or {}).items()},
        dose=None if dose is None else float(dose),
        pretreatment=str(row.get("pretreatment") or ""),
    )

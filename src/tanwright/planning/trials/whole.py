"""A trial from its file to its jars in one go, as the command line shows it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from tanwright.errors import InputError
from tanwright.planning.trials.design import Design, joined_blocks, make_design
from tanwright.planning.trials.jars import Bought, JarPlan, jar_notes, plan_jars, shopping
from tanwright.planning.trials.question import Proposal, Wish, propose
from tanwright.planning.trials.records import Patch
from tanwright.planning.trials.schedule import Schedule, make_schedule
from tanwright.planning.trials.trial_file import TrialFile
from tanwright.reference.cautions import Caution, cautions_for


@dataclass(frozen=True)
class WholeTrial:
    """All that is worked out of a trial before it is cut."""

    proposal: Proposal
    design: Design
    jars: tuple[JarPlan, ...]
    bought: tuple[Bought, ...]
    schedule: Schedule
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]


def counted_patches(file: TrialFile) -> tuple[Patch, ...]:
    """Patches that are counted only, with codes to be replaced by those of the cutting map."""
    return tuple(
        Patch(f"{region}-{number}", region, "", region, region, "")
        for region, many in file.blocks.items()
        for number in range(1, many + 1)
    )


def proposal_for(file: TrialFile, patches: Sequence[Patch]) -> Proposal:
    """How sure the trial of these patches is. Raises InputError when there are none."""
    if not patches:
        raise InputError(
            "there are no patches yet",
            place=file.source,
            remedy="write [patches] and shoulder = 6, or name a patches.csv",
        )
    blocks = joined_blocks(patches)[0]
    sizes = tuple(blocks.count(name) for name in dict.fromkeys(blocks))
    return propose(
        Wish(file.question, file.treatments, sizes, file.graders, file.jars_each), file.seed
    )


def whole_trial(
    file: TrialFile, patches: Sequence[Patch], *, today: date, seed: int | None = None
) -> WholeTrial:
    """Proposal, design, jars, list and schedule. Raises InputError for what cannot be."""
    proposal = proposal_for(file, patches)
    design = make_design(
        patches,
        file.treatments,
        seed=file.seed if seed is None else seed,
        jars_each=file.jars_each,
    )
    jars = plan_jars(design, file.pieces, file.ratios)
    return WholeTrial(
        proposal=proposal,
        design=design,
        jars=jars,
        bought=shopping(jars, file.lots),
        schedule=make_schedule(jars, file.pieces, file.facts, today=today),
        notes=(*design.notes, *jar_notes(jars, file.pieces)),
        cautions=cautions_of(jars),
    )


def cautions_of(jars: Sequence[JarPlan]) -> tuple[Caution, ...]:
    """What to take care of: cooking, liquor, and each plant's own cautions."""
    plants = dict.fromkeys(id for jar in jars for id in jar.dry_kg)
    topics = ["iron", "fire", "effluent", *(f"material:{id}" for id in plants)]
    said = " ".join(jar.pretreatment.lower() for jar in jars)
    for word, topic in (("lime", "lime"), ("lye", "lye"), ("ash", "lye"), ("acid", "acid"),
                        ("pickle", "acid")):  # fmt: skip
        if word in said and topic not in topics:
            topics.append(topic)
    return cautions_for(topics)

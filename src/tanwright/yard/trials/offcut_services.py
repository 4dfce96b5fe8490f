"""Offcuts of a trial: added, taken away, and patches laid out on them; each one transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
from django.db import transaction
from django.db.models import Max

from tanwright.errors import InputError
from tanwright.planning.trials.cutting import (
    MOST_OFFCUTS,
    Cut,
    CutPatch,
    Cutting,
    PieceCut,
    cut_offcuts,
)
from tanwright.planning.trials.offcuts import Piece, checked_region
from tanwright.science.trials.bounds import Bounds
from tanwright.science.trials.layout import Packing
from tanwright.science.trials.outlines import Outline
from tanwright.yard.journal.services import refresh
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.trials.checking import not_begun, only_keeper
from tanwright.yard.trials.models import Offcut, Trial, TrialPatch
from tanwright.yard.trials.services import (
    COUNTED,
    MOST_PATCHES,
    forget_patches,
    set_facts,
)

MOST_POINTS_KEPT: Final = 1000


@transaction.atomic
def add_offcut(
    trial: Trial,
    outline: Outline,
    by: Person,
    *,
    region: str,
    how: str = Offcut.How.MEASURES,
    label: str = "",
    skin: Skin | None = None,
    thickness_mm: float | None = None,
) -> Offcut:
    """One more offcut. Patches laid out before are taken up again, as they no longer fit the trial.

    Raises InputError for an unknown region, too many offcuts or points, or once the patches are in
    the jars; PermissionDenied for a helper.
    """
    only_keeper(by, "plan a trial")
    checked_region(region)
    points = len(outline.outer) + sum(len(ring) for ring in outline.flaws)
    if points > MOST_POINTS_KEPT:
        raise InputError(
            f"the outline has {points} points", remedy=f"draw it with {MOST_POINTS_KEPT} or fewer"
        )
    forget_patches(trial)
    if trial.offcuts.count() >= MOST_OFFCUTS:
        raise InputError(
            f"a trial has at most {MOST_OFFCUTS} offcuts", remedy="take one away first"
        )
    last = trial.offcuts.aggregate(last=Max("number"))["last"] or 0
    outer, *holes = outline.rings()
    offcut = Offcut.objects.create(
        trial=trial,
        number=last + 1,
        skin=skin,
        region=region,
        label="" if label.strip() == COUNTED else label.strip()[:60],
        rings={"outer": outer, "holes": holes},
        how=how,
        thickness_mm=thickness_mm,
    )
    _no_longer_laid(trial, by)
    return offcut


@transaction.atomic
def remove_offcut(trial: Trial, number: int, by: Person) -> None:
    """Take an offcut out of the trial, and all patches laid out. Raises as :func:`add_offcut`."""
    only_keeper(by, "plan a trial")
    forget_patches(trial)
    gone, _ = trial.offcuts.filter(number=number).delete()
    if not gone:
        raise InputError(f"there is no offcut {number}", remedy="look at the list again")
    _no_longer_laid(trial, by)


@transaction.atomic
def lay_out(trial: Trial, cut: Cut, by: Person) -> Cutting:
    """Lay patches on every drawn offcut; they take the place of those laid or counted before.

    Raises InputError when nothing is drawn or fits, or once the patches are in the jars;
    PermissionDenied for a helper.
    """
    only_keeper(by, "plan a trial")
    not_begun(trial)
    offcuts = drawn_offcuts(trial)
    cut = replace(cut, most=min(cut.most or MOST_PATCHES, MOST_PATCHES))
    cutting = cut_offcuts([piece_of(offcut) for offcut in offcuts], cut)
    forget_patches(trial)
    by_name = {str(offcut.number): offcut for offcut in offcuts}
    TrialPatch.objects.bulk_create(
        TrialPatch(
            trial=trial,
            offcut=by_name[patch.offcut],
            number=patch.number,
            code=patch.code,
            region=patch.region,
            x_cm=patch.x_cm,
            y_cm=patch.y_cm,
            angle_deg=patch.angle_deg,
            width_cm=patch.width_cm,
            height_cm=patch.height_cm,
        )
        for patch in cutting.patches
    )
    set_facts(
        trial,
        {
            "width_cm": cut.width_cm,
            "height_cm": cut.height_cm,
            "counts": {},
            "laid": {
                "gap_cm": cut.gap_cm,
                "margin_cm": cut.margin_cm,
                "most": None if cut.most == MOST_PATCHES else cut.most,
                "alike": cut.alike,
                "seed": cut.seed,
                "fits": {
                    one.piece.name: [one.fits, one.bounds.area, one.bounds.alike]
                    for one in cutting.pieces
                },
            },
        },
        by,
    )
    return cutting


def drawn_offcuts(trial: Trial) -> list[Offcut]:
    """The offcuts whose outline is known, by their number."""
    found = trial.offcuts.select_related("skin").order_by("number")
    return [offcut for offcut in found if offcut.rings.get("outer")]


def outline_kept(offcut: Offcut) -> Outline:
    """The outline of a kept offcut, as it was checked when it was added."""
    holes = offcut.rings.get("holes", ())
    return Outline(np.array(offcut.rings["outer"]), tuple(np.array(ring) for ring in holes))


def piece_of(offcut: Offcut) -> Piece:
    """A kept offcut as the planning floor takes it."""
    skin = offcut.skin.title if offcut.skin else ""
    return Piece(str(offcut.number), offcut.region, outline_kept(offcut), skin)


def cut_of(trial: Trial) -> Cut | None:
    """How the patches of a trial were laid out; None when they were not."""
    laid = trial.facts.get("laid")
    patch = trial.patches.select_related("offcut").first()
    if not laid or patch is None or not patch.offcut.rings.get("outer"):
        return None
    return Cut(
        width_cm=patch.width_cm,
        height_cm=patch.height_cm,
        gap_cm=float(laid["gap_cm"]),
        margin_cm=float(laid["margin_cm"]),
        most=laid["most"],
        alike=bool(laid["alike"]),
        seed=int(laid["seed"]),
    )


def cutting_of(trial: Trial) -> Cutting | None:
    """The layout that a trial keeps, not laid out anew; None when there is none."""
    cut = cut_of(trial)
    if cut is None:
        return None
    patches = list(trial.patches.select_related("offcut__skin").order_by("number"))
    fits: dict[str, Sequence[int]] = trial.facts["laid"]["fits"]
    pieces = []
    for offcut in drawn_offcuts(trial):
        own = [patch for patch in patches if patch.offcut_id == offcut.pk]
        many, area, alike = fits.get(str(offcut.number), (len(own), len(own), len(own)))
        pieces.append(
            PieceCut(
                piece=piece_of(offcut),
                packing=_packing(own, cut),
                fits=int(many),
                bounds=Bounds(int(area), int(alike)),
                alike=cut.alike,
            )
        )
    return Cutting(cut, tuple(pieces), tuple(_cut_patch(patch) for patch in patches))


def marks_of(trial: Trial) -> dict[str, str]:
    """Letter of its treatment by the code of a patch; empty before the design."""
    letters = treatment_letters(trial)
    found = trial.patches.exclude(treatment="").values_list("code", "treatment")
    return {code: letters[treatment] for code, treatment in found if treatment in letters}


def treatment_letters(trial: Trial) -> dict[str, str]:
    """Letter by key of a treatment, in the order of the trial."""
    rows: list[dict[str, Any]] = trial.treatments
    return {str(row["key"]): chr(ord("A") + at) for at, row in enumerate(rows)}


def _packing(patches: Sequence[TrialPatch], cut: Cut) -> Packing:
    middles = np.array([(patch.x_cm, patch.y_cm) for patch in patches], dtype=float).reshape(-1, 2)
    turns = np.array([patch.angle_deg for patch in patches], dtype=float)
    return Packing(middles, turns, cut.size, cut.gap_cm)


def _cut_patch(patch: TrialPatch) -> CutPatch:
    return CutPatch(
        number=patch.number,
        code=patch.code,
        offcut=str(patch.offcut.number),
        skin=patch.offcut.skin.title if patch.offcut.skin else "",
        region=patch.region,
        x_cm=patch.x_cm,
        y_cm=patch.y_cm,
        angle_deg=patch.angle_deg,
        width_cm=patch.width_cm,
        height_cm=patch.height_cm,
    )


def _no_longer_laid(trial: Trial, by: Person) -> None:
    if "laid" in trial.facts:
        trial.facts = {key: value for key, value in trial.facts.items() if key != "laid"}
    set_facts(trial, {"counts": {}}, by)
    refresh([trial.pk])

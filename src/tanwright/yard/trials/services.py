"""What may be done with a trial; each function is one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from PIL.Image import Image

from tanwright.errors import InputError
from tanwright.planning.trials.design import keep, make_design, treatment_row
from tanwright.planning.trials.jars import lots_of as lots_of_jar
from tanwright.planning.trials.jars import plan_jars, shopping
from tanwright.reference.animals import regions
from tanwright.reference.leathers import leather as aim_named
from tanwright.science.trials.codes import codes_for
from tanwright.yard.journal.changes import change
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.services import Touched, Written, open_record, refresh, write
from tanwright.yard.liquors.services import calibration_for
from tanwright.yard.people.models import Device, Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.account import COOKED_FROM
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials import reckoning
from tanwright.yard.trials.checking import (
    OF_JARS,
    SLIP,
    in_the_jars,
    known_question,
    left_to_cook,
    not_begun,
    only_keeper,
)
from tanwright.yard.trials.models import Jar, Offcut, Trial, TrialPatch

MOST_PATCHES: Final = 200
COUNTED: Final = "counted, not drawn"
"""Label of an offcut of which only the number of patches is known."""


# Planning


@transaction.atomic
def begin_trial(by: Person, question: str, *, id: uuid.UUID | None = None, name: str = "") -> Trial:
    """A trial being planned. Keepers only; the same ``id`` again hands back the same one."""
    only_keeper(by, "plan a trial")
    return open_record(
        Trial,
        Record.Kind.TRIAL,
        by,
        id=id or uuid.uuid4(),
        name=name.strip(),
        question=known_question(question),
    )


@transaction.atomic
def set_facts(trial: Trial, facts: Mapping[str, Any], by: Person, **columns: Any) -> None:
    """Keep answers of the path; ``columns`` are fields of the trial itself (question, tannage...).

    What follows from them (the treatments) is worked out anew. Raises InputError once the patches
    are in the jars, PermissionDenied for a helper.
    """
    only_keeper(by, "plan a trial")
    not_begun(trial)
    trial.facts = {**trial.facts, **{key: _plain(value) for key, value in facts.items()}}
    for name, value in columns.items():
        setattr(trial, name, value)
    trial.treatments = _treatment_rows(trial)
    trial.save()
    refresh([trial.pk])
    trial.refresh_from_db()


def _treatment_rows(trial: Trial) -> list[dict[str, Any]]:
    """The treatments that the answers make; none while an answer is missing."""
    try:
        found, efficiency = reckoning.treatments_asked(trial)
    except InputError:
        return []
    trial.facts["blend_efficiency"] = round(efficiency, 4)
    return [treatment_row(item) for item in found]


@transaction.atomic
def count_patches(
    trial: Trial, counts: Mapping[str, int], by: Person, skin: Skin | None = None
) -> int:
    """Patches of which only the number by region is known; drawn offcuts are not needed for it.

    Every patch gets its edge code. Patches that were laid out before are replaced; offcuts that
    were drawn stay, for a layout later. Gives back how
    many there are now; raises InputError once the patches are in the jars.
    """
    only_keeper(by, "plan a trial")
    not_begun(trial)
    known = {region.id for region in regions()}
    wanted = {region: int(many) for region, many in counts.items() if int(many) > 0}
    for region in wanted:
        if region not in known:
            raise InputError(
                f'"{region}" is no region of a skin',
                place="counts",
                remedy="write one of " + ", ".join(sorted(known)),
            )
    whole = sum(wanted.values())
    if not 0 < whole <= MOST_PATCHES:
        raise InputError(
            f"{whole} patches make no trial", place="counts", remedy=f"write 2 to {MOST_PATCHES}"
        )
    forget_patches(trial)
    pieces = reckoning.pieces_of(trial)
    codes = codes_for(whole, square=abs(pieces.width_cm - pieces.height_cm) < 1e-6)
    number = 0
    drawn = trial.offcuts.aggregate(last=Max("number"))["last"] or 0
    for at, (region, many) in enumerate(wanted.items(), drawn + 1):
        offcut = Offcut.objects.create(
            trial=trial, number=at, region=region, skin=skin, label=COUNTED,
            how=Offcut.How.MEASURES, thickness_mm=pieces.thickness_mm,
        )  # fmt: skip
        for _ in range(many):
            number += 1
            TrialPatch.objects.create(
                trial=trial, offcut=offcut, number=number, code=codes[number - 1], region=region,
                x_cm=0.0, y_cm=0.0, width_cm=pieces.width_cm, height_cm=pieces.height_cm,
            )  # fmt: skip
    refresh([trial.pk])
    return whole


def forget_patches(trial: Trial) -> None:
    """Take away patches, jars and offcuts that were only counted; for a layout to be made anew."""
    not_begun(trial)
    trial.patches.all().delete()
    trial.jars.all().delete()
    trial.offcuts.filter(label=COUNTED).delete()
    trial.design = {}
    trial.save(update_fields=["design"])


@transaction.atomic
def make_the_design(
    trial: Trial,
    by: Person,
    *,
    id: uuid.UUID,
    seed: int | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
) -> Written:
    """Treatments to patches, patches to jars; kept with its inputs and its seed.

    Made again with another ``seed`` it takes the place of the one before, as long as no patch lies
    in its jar. Raises InputError, PermissionDenied.
    """
    only_keeper(by, "lay out a trial")
    if (known := Entry.objects.filter(pk=id).first()) is not None:
        return Written(known, new=False)
    not_begun(trial)
    treatments = reckoning.treatments_of(trial) or reckoning.treatments_asked(trial)[0]
    patches = list(trial.patches.select_related("offcut__skin", "jar").order_by("number"))
    if not patches:
        raise InputError(
            "there are no patches yet", place="patches", remedy="count them or lay them out"
        )
    for patch in patches:
        patch.block, patch.treatment, patch.jar = "", "", None
    records = [reckoning.record_of(patch) for patch in patches]
    seed = _seed_of(trial) if seed is None else seed
    design = make_design(
        records, treatments, seed=seed, jars_each=int(trial.facts.get("jars_each") or 1)
    )
    plans = plan_jars(design, reckoning.pieces_of(trial), reckoning.ratios_of(trial))
    bought = shopping(plans, reckoning.in_hand(trial))
    trial.jars.all().delete()
    jars = {
        str(plan.number): Jar.objects.create(
            trial=trial, number=plan.number, treatment=plan.treatment, litres=plan.litres,
            shares=dict(plan.dry_kg), lots=lots_of_jar(plan, bought), pelt_kg=plan.pelt_kg,
        )
        for plan in plans
    }  # fmt: skip
    for patch, laid in zip(patches, design.patches, strict=True):
        patch.block, patch.treatment, patch.jar = laid.block[:40], laid.treatment, jars[laid.jar]
    TrialPatch.objects.bulk_update(patches, ["block", "treatment", "jar"])
    trial.treatments = [treatment_row(item) for item in design.treatments]
    trial.design = {"design": keep(design), "inputs": reckoning.inputs_of(trial)}
    trial.save(update_fields=["design", "treatments"])
    written = write(
        id=id,
        record=trial,
        kind="trial.designed",
        data={"seed": seed, "patches": len(patches), "treatments": len(treatments),
              "jars": len(jars)},
        happened_at=happened_at or timezone.now(),
        by=by,
        device=device,
    )  # fmt: skip
    trial.refresh_from_db()
    return written


def _seed_of(trial: Trial) -> int:
    """The seed of the design before, one more; the number of the trial for the first one."""
    before = trial.design.get("design")
    return int(before["seed"]) + 1 if before else int(trial.number)


# Running


@transaction.atomic
def start(
    trial: Trial,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    part: float | None = None,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """The patches go into the jars; ``part`` of each jar's material was cooked for them."""
    if trial.state not in (Trial.State.CUT, Trial.State.RUNNING):
        raise InputError(
            "the jars are not planned yet", place="trial", remedy="make the design first"
        )
    if trial.state == Trial.State.CUT and reckoning.is_outdated(trial):
        raise InputError(
            "the plan was changed since the patches were dealt out",
            place="trial",
            remedy="have them dealt out anew on the page of the design",
        )
    written = log(trial, "started", {}, by, id=id, happened_at=happened_at, device=device,
                  note=note)  # fmt: skip
    if part and written.new:
        cook(trial, part, by, id=uuid.uuid5(id, "cooked"), happened_at=happened_at, device=device)
    trial.refresh_from_db()
    return written


@transaction.atomic
def cook(
    trial: Trial,
    part: float,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """``part`` of each jar's own material was cooked for it; the lots have as much less."""
    left = left_to_cook(trial)
    if part > left + SLIP and not Entry.objects.filter(pk=id).exists():
        raise InputError(
            f"only {100 * left:.0f} % of each jar's material is left",
            place="part_pct",
            remedy="write no more than that, or correct what was noted before",
        )
    taken: dict[str, float] = {}
    for jar in trial.jars.filter(ended_at=None):
        for lot, kg in jar.lots.items():
            taken[str(lot)] = taken.get(str(lot), 0.0) + part * float(kg)
    lots = list(Lot.objects.filter(pk__in=taken))
    touches: list[Touched] = [(lot, COOKED_FROM) for lot in lots]
    data = {"part": part, "lots": {str(lot.pk): taken[str(lot.pk)] for lot in lots}}
    return log(trial, "cooked", data, by, id=id, happened_at=happened_at, device=device, note=note,
               touches=touches)  # fmt: skip


@transaction.atomic
def log(
    trial: Trial,
    what: str,
    data: Mapping[str, Any],
    by: Person,
    *,
    id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
    touches: Sequence[Touched] = (),
    photo: Image | None = None,
) -> Written:
    """Note one thing of ``trial``; ``what`` is the kind without its area ("strength", "cut").

    Sending the same ``id`` again is a no-op. Raises InputError.
    """
    kept = {key: value for key, value in data.items() if value is not None}
    if what == "strength" and "calibrated_at_c" not in kept:
        calibrated = calibration_for(str(kept.get("scale")))
        if calibrated is not None:
            kept["calibrated_at_c"] = calibrated
    if "jar" in kept and not trial.jars.filter(number=kept["jar"]).exists():
        raise InputError(
            f"there is no jar {kept['jar']}", place="jar", remedy="choose a jar of this trial"
        )
    id, happened_at = id or uuid.uuid4(), happened_at or timezone.now()
    if what in OF_JARS and not Entry.objects.filter(pk=id).exists():
        in_the_jars(trial, happened_at)
    written = write(
        id=id,
        record=trial,
        kind=f"trial.{what}",
        data=kept,
        happened_at=happened_at,
        by=by,
        device=device,
        note=note,
        touches=touches,
    )
    if photo is not None and written.new:
        add_photo(written.entry, photo, note)
    trial.refresh_from_db()
    return written


@transaction.atomic
def log_jars(
    trial: Trial,
    what: str,
    rows: Mapping[int, Mapping[str, Any]],
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> int:
    """The same thing of many jars at once, by jar number; how many were noted now.

    Each becomes an entry of its own with an id made from ``id``, so that one slip can be corrected
    alone and the form may be sent twice.
    """
    if not rows:
        raise InputError("nothing was written", place="jars", remedy="fill in at least one jar")
    return sum(
        log(
            trial, what, {**data, "jar": number}, by, id=uuid.uuid5(id, f"{what} {number}"),
            happened_at=happened_at, device=device, note=note,
        ).new
        for number, data in rows.items()
    )  # fmt: skip


@transaction.atomic
def change_trial(
    trial: Trial, fields: Mapping[str, Any], by: Person, **entry: Any
) -> Written | None:
    """Change its name or the leather it aims at; what was before is kept. Keepers only."""
    only_keeper(by, "change a trial")
    checked = dict(fields)
    if checked.get("leather"):
        checked["leather"] = aim_named(checked["leather"]).id
    entry.setdefault("id", uuid.uuid4())
    entry.setdefault("happened_at", timezone.now())
    written = change(trial, fields=checked, by=by, **entry)
    trial.refresh_from_db()
    return written


def _plain(value: Any) -> Any:
    if isinstance(value, (uuid.UUID, Tannage, Lot)):
        return str(getattr(value, "pk", value))
    return value.isoformat() if hasattr(value, "isoformat") else value

"""From a trial to a skin: the chosen treatment as a tannage, and what the trial taught of lots."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.planning.trials.jars import lies_kg
from tanwright.planning.trials.records import Treatment
from tanwright.planning.trials.renewal import jar_of
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Device, Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.plants import name_of
from tanwright.yard.stock.services import set_tannin
from tanwright.yard.tannage import services as tannages
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials import reckoning, services
from tanwright.yard.trials.checking import only_keeper
from tanwright.yard.trials.models import Trial


@dataclass(frozen=True)
class Amount:
    """What a skin takes of one plant in the chosen way."""

    material_id: str
    name: str
    dry_kg: float
    lot: Lot | None
    lies_kg: float
    """Kg as it lies in ``lot``; air-dry kg without one."""
    missing_kg: float


@dataclass(frozen=True)
class Scaled:
    """The chosen treatment on skins of ``pelt_kg`` together."""

    treatment: Treatment
    pelt_kg: float
    litres: float
    amounts: tuple[Amount, ...]


def scaled(trial: Trial, treatment: Treatment, pelt_kg: float) -> Scaled:
    """Liquor and material for ``pelt_kg`` of wet skin, in the ratios of the trial."""
    ratios = reckoning.ratios_of(trial)
    dose = treatment.dose or ratios.dose
    shares = treatment.shares or ratios.shares
    lots = {lot.material_id: lot for lot in reversed(reckoning.lots_of(trial))}
    amounts = []
    for id, share in shares.items():
        dry, lot = share * dose * pelt_kg, lots.get(id)
        lies = dry if lot is None else lies_kg(id, dry, lot.state)
        left = None if lot is None else lot.left_kg
        missing = dry if lot is None else max(lies - left, 0.0) if left is not None else 0.0
        amounts.append(Amount(id, name_of(id), dry, lot, lies, missing))
    return Scaled(treatment, pelt_kg, ratios.litres_per_kg * pelt_kg, tuple(amounts))


def treatment_named(trial: Trial, key: str) -> Treatment:
    """The treatment ``key`` of ``trial``. Raises InputError."""
    for item in reckoning.treatments_of(trial):
        if item.key == key:
            return item
    raise InputError(
        f'"{key}" is no treatment of this trial', place="treatment", remedy="choose one of them"
    )


@transaction.atomic
def to_skin(
    trial: Trial,
    key: str,
    by: Person,
    *,
    id: uuid.UUID,
    skins: Sequence[Skin],
    pelt_kg: float,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Tannage:
    """The treatment ``key`` becomes a tannage that is planned for ``skins``; asked again, the same.

    Its lots are taken with the scaled amounts, what is missing is planned as wanted. Keepers only;
    raises InputError for a treatment that is not of this trial, or a skin that lies in a vat.
    """
    only_keeper(by, "plan a tannage")
    if (known := Entry.objects.filter(pk=id).first()) is not None:
        return Tannage.objects.get(pk=known.data["tannage"])
    if trial.begun_at is None:
        raise InputError(
            "no patch was in a jar yet, so that nothing is known of it",
            place="treatment",
            remedy="let the patches tell first, or plan the tannage without a trial",
        )
    treatment = treatment_named(trial, key)
    amounts = scaled(trial, treatment, pelt_kg)
    name = f"{treatment.label}, from {trial.title}"[:80]
    found = tannages.begin_draft(by, id=uuid.uuid5(id, "vat"), name=name)
    if skins:
        tannages.set_skins(found, skins, by)
    lots = [part.lot for part in amounts.amounts if part.lot is not None]
    wanted = [part.material_id for part in amounts.amounts if part.lot is None]
    tannages.set_materials(found, lots, wanted, by)
    for part in amounts.amounts:
        if part.lot is not None:
            have = part.lies_kg - part.missing_kg
            found.materials.filter(lot=part.lot).update(have_kg=max(have, 1e-3))
    facts = {
        "vat_volume_l": round(amounts.litres + pelt_kg, 3),
        "leather": trial.leather,
        "temperature_c": trial.facts.get("temperature_c"),
        "move": str(trial.facts.get("move") or ""),
        "water": str(trial.facts.get("water") or ""),
    }
    tannages.set_facts(found, facts, by)
    services.log(
        trial, "chosen",
        {"treatment": key, "label": treatment.label[:80], "tannage": str(found.pk)}, by,
        id=id, happened_at=happened_at or timezone.now(), device=device, note=note,
    )  # fmt: skip
    Trial.objects.filter(pk=trial.pk).update(became=found)
    trial.refresh_from_db()
    return found


@dataclass(frozen=True)
class Lesson:
    """Tannin of one lot, % as it lies: 5 to 95 % before the jars and now."""

    lot: Lot
    name: str
    before_low_pct: float
    before_high_pct: float
    low_pct: float
    high_pct: float
    entry_id: uuid.UUID


def lessons_of(trial: Trial) -> list[Lesson]:
    """What the jars' readings say of the lots that were dry; of each the surest jar counts.

    Jars share what was believed before, so that their answers are not added up.
    """
    lots = {lot.material_id: lot for lot in reckoning.lots_of(trial) if lot.state == "dry"}
    best: dict[str, tuple[float, float]] = {}
    read = set(
        Entry.objects.filter(
            record_id=trial.pk, kind="trial.strength", standing=Entry.Standing.LIVE
        ).values_list("data__jar", flat=True)
    )
    for jar in trial.jars.filter(number__in=read):
        if not jar.forecast:
            continue
        for id, (low, high) in jar_of(jar.forecast).tannin_pct.items():
            known = best.get(id)
            if low > 0.0 and (known is None or high / low < known[1] / known[0]):
                best[id] = (low, high)
    earlier = dict(trial.design.get("before") or {})
    found = []
    for id, (low, high) in best.items():
        lot, before = lots.get(id), earlier.get(id)
        if lot is None or before is None:
            continue
        if high / low < 0.98 * before[1] / before[0]:
            entry_id = uuid.uuid5(trial.pk, f"taught {lot.pk} {low:.3f} {high:.3f}")
            found.append(Lesson(lot, name_of(id), before[0], before[1], low, high, entry_id))
    return found


@transaction.atomic
def learn(trial: Trial, by: Person) -> list[Lot]:
    """Carry what the jars taught to the tannin figures of the lots, which are given back.

    Keepers only; done twice, nothing is written the second time.
    """
    only_keeper(by, "carry a figure to a lot")
    taught = []
    for lesson in lessons_of(trial):
        if not Entry.objects.filter(pk=lesson.entry_id).exists():
            how = f"taught by {trial.title}"[:120]
            set_tannin(lesson.lot, lesson.low_pct, lesson.high_pct, how, by, id=lesson.entry_id)
            taught.append(lesson.lot)
    return taught

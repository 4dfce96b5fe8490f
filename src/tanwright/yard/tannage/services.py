"""What may be done with a tannage; each function is one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone
from PIL.Image import Image

from tanwright.errors import InputError
from tanwright.reference import materials
from tanwright.yard.journal.changes import change
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.services import (
    Touched,
    Written,
    open_record,
    possible_time,
    refresh,
    write,
)
from tanwright.yard.liquors.account import POURED
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.liquors.services import calibration_for, keep_from_vat
from tanwright.yard.people.models import Device, Person
from tanwright.yard.shell.templatetags.words import day
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.account import COOKED_FROM
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import set_tannin
from tanwright.yard.stock.tables import material_table
from tanwright.yard.tannage.lessons import lessons_of
from tanwright.yard.tannage.models import Tannage, TannageMaterial, TannageSkin
from tanwright.yard.tannage.sheet import begun_on

GATE_WORDS: Final = {
    "thick": "a pale line is left",
    "raw": "some part feels raw",
    "bend": "a dry snip cracks",
}
"""What is noted where a question of the gate was answered with yes."""
ANY_TIME: Final = ("started", "note", "photo")
"""What may be noted of any day, also of one before the skins went in."""
INTO_VAT: Final = "into the vat"
OUT_OF_VAT: Final = "out of the vat"


def _only_keeper(by: Person, what: str) -> None:
    if not by.is_keeper:
        raise PermissionDenied(f"Only a keeper may {what}. A helper logs what was done and seen.")


@transaction.atomic
def begin_draft(by: Person, *, id: uuid.UUID | None = None, name: str = "") -> Tannage:
    """A tannage being planned. Keepers only; the same ``id`` again hands back the same one."""
    _only_keeper(by, "plan a tannage")
    return open_record(Tannage, Record.Kind.TANNAGE, by, id=id or uuid.uuid4(), name=name.strip())


@transaction.atomic
def set_facts(tannage: Tannage, fields: Mapping[str, Any], by: Person, **entry: Any) -> None:
    """Set facts of the vat or the aim. In a draft they are simply kept; later with what was."""
    _only_keeper(by, "change a tannage")
    if tannage.state == Tannage.State.DRAFT:
        for name, value in fields.items():
            setattr(tannage, name, value)
        tannage.save(update_fields=list(fields))
        refresh([tannage.pk])
        return
    entry.setdefault("id", uuid.uuid4())
    entry.setdefault("happened_at", timezone.now())
    change(tannage, fields=dict(fields), by=by, **entry)


@transaction.atomic
def set_skins(tannage: Tannage, skins: Iterable[Skin], by: Person) -> None:
    """Which skins go in. Raises InputError for one that lies in another vat."""
    _only_keeper(by, "choose the skins of a vat")
    chosen = {skin.pk: skin for skin in skins}
    if tannage.state in (Tannage.State.RUNNING, Tannage.State.ENDED):
        raise InputError(
            "this vat has begun already",
            place="skins",
            remedy="take a skin out or plan another tannage for the others",
        )
    elsewhere = (
        TannageSkin.objects.filter(
            skin__in=chosen, taken_out_at=None, tannage__state=Tannage.State.RUNNING
        )
        .exclude(tannage=tannage)
        .select_related("skin", "tannage")
        .first()
    )
    if elsewhere is not None:
        raise InputError(
            f"{elsewhere.skin.title} lies in {elsewhere.tannage.title}",
            place="skins",
            remedy="take it out there first, or choose another skin",
        )
    tannage.places.exclude(skin__in=chosen).delete()
    there = set(tannage.places.values_list("skin_id", flat=True))
    TannageSkin.objects.bulk_create(
        TannageSkin(tannage=tannage, skin=skin) for pk, skin in chosen.items() if pk not in there
    )
    refresh([tannage.pk])


@transaction.atomic
def set_materials(tannage: Tannage, lots: Sequence[Lot], wanted: Sequence[str], by: Person) -> None:
    """Which lots it uses, and which plants would have to be gathered for it."""
    _only_keeper(by, "choose the plants of a vat")
    tannage.materials.all().delete()
    rows = [
        TannageMaterial(tannage=tannage, lot=lot, material_id=lot.material_id, have_kg=lot.left_kg)
        for lot in lots
    ]
    rows += [
        TannageMaterial(tannage=tannage, material_id=materials.material(id).id, want=True)
        for id in wanted
    ]
    TannageMaterial.objects.bulk_create(rows)
    refresh([tannage.pk])


@transaction.atomic
def settle(tannage: Tannage, by: Person) -> None:
    """A draft that has its skins and plants becomes a plan."""
    _only_keeper(by, "plan a tannage")
    if not tannage.places.exists() or not tannage.materials.exists():
        raise InputError(
            "skins or plants are missing", place="plan", remedy="choose at least one of each"
        )
    if tannage.state == Tannage.State.DRAFT:
        Tannage.objects.filter(pk=tannage.pk).update(state=Tannage.State.PLANNED)
        tannage.state = Tannage.State.PLANNED
    refresh([tannage.pk])


@transaction.atomic
def start(
    tannage: Tannage,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """The skins go in: what lies in stock now is what the forecast may count on."""
    skins = list(tannage.skins.all())
    for use in tannage.materials.select_related("lot").exclude(lot=None):
        if use.lot is not None and use.have_kg is None:
            use.have_kg = use.lot.left_kg
            use.save(update_fields=["have_kg"])
    return log(
        tannage,
        "started",
        {"skins": [str(skin.pk) for skin in skins]},
        by,
        id=id,
        happened_at=happened_at,
        device=device,
        note=note,
        touches=[(skin, INTO_VAT) for skin in skins],
    )


@transaction.atomic
def log(
    tannage: Tannage,
    what: str,
    data: Mapping[str, Any],
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
    touches: Sequence[Touched] = (),
    photo: Image | None = None,
) -> Written:
    """Note one thing of ``tannage``; ``what`` is the kind without its area ("strength", "cut").

    Sending the same ``id`` again is a no-op. Raises InputError.
    """
    _since_the_start(tannage, what, happened_at)
    data = dict(data)
    if what == "strength" and "calibrated_at_c" not in data:
        data["calibrated_at_c"] = calibration_for(str(data.get("scale")))
    written = write(
        id=id,
        record=tannage,
        kind=f"tannage.{what}",
        data={key: value for key, value in data.items() if value is not None},
        happened_at=happened_at,
        by=by,
        device=device,
        note=note,
        touches=touches,
    )
    if photo is not None and written.new:
        add_photo(written.entry, photo, note)
    return written


def _since_the_start(tannage: Tannage, what: str, happened_at: datetime) -> None:
    """Refuse a day before the skins went in, a slip that the forecast could not use."""
    if what in ANY_TIME or tannage.state not in (Tannage.State.RUNNING, Tannage.State.ENDED):
        return
    began = begun_on(tannage)
    if began is not None and timezone.localtime(possible_time(happened_at)).date() < began:
        raise InputError(
            f"this is before the skins went in, {day(began)}",
            place="when",
            remedy="write the day and time at which it was done or seen",
        )


@transaction.atomic
def answer_gate(
    tannage: Tannage,
    answers: Mapping[str, str],
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Note the answers of the gate (``"yes"``: trouble is left); done when all of them say no."""
    done = all(answer == "no" for answer in answers.values())
    words = [GATE_WORDS[name] for name, answer in answers.items() if answer != "no"]
    note = "; ".join(part for part in (", ".join(words), note) if part)
    return log(tannage, "done" if done else "not_done", {}, by, id=id, happened_at=happened_at,
               device=device, note=note)  # fmt: skip


@transaction.atomic
def pour_in(
    tannage: Tannage,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    litres: float,
    liquor: Liquor | None = None,
    bk: float | None = None,
    how: str = "swap",
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Strengthen with ``litres`` of ``liquor`` (its kept strength counts), or of one of ``bk``."""
    if how == "swap" and tannage.vat_volume_l is not None and litres > tannage.vat_volume_l:
        raise InputError(
            "this is more than the vat holds, and as much cannot be taken out first",
            place="litres",
            remedy="check the number and the unit, or say that nothing was taken out",
        )
    data: dict[str, Any] = {"litres": litres, "how": how, "bk": bk}
    touches: list[Touched] = []
    if liquor is not None:
        touches.append((liquor, POURED))
        data["bk"] = liquor.strength_bk if bk is None else bk
        if liquor.materials:
            data["material_id"] = max(liquor.materials, key=lambda id: liquor.materials[id])
    return log(tannage, "strengthened", data, by, id=id, happened_at=happened_at, device=device,
               note=note, touches=touches)  # fmt: skip


@transaction.atomic
def cook_in(
    tannage: Tannage,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    lots: Mapping[Lot, float],
    in_litres: float | None = None,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Strengthen by cooking kg of each lot in the vat's own liquor and pouring it back."""
    data = {
        "lots": {str(lot.pk): kg for lot, kg in lots.items()},
        "plants": {str(lot.pk): material_table(lot)["name"] for lot in lots},
        "in_litres": in_litres,
    }
    return log(tannage, "strengthened", data, by, id=id, happened_at=happened_at, device=device,
               note=note, touches=[(lot, COOKED_FROM) for lot in lots])  # fmt: skip


@transaction.atomic
def take_out(
    tannage: Tannage,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    skins: Sequence[Skin] = (),
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Take ``skins`` out of the vat; all of them when none is named."""
    out = list(skins) or list(tannage.skins.filter(places__taken_out_at=None))
    data = {"skins": [str(skin.pk) for skin in skins]} if skins else {}
    return log(tannage, "taken_out", data, by, id=id, happened_at=happened_at, device=device,
               note=note, touches=[(skin, OUT_OF_VAT) for skin in out])  # fmt: skip


@transaction.atomic
def move_skin(
    tannage: Tannage,
    skin: Skin,
    to: Tannage | None,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Tannage:
    """Take ``skin`` out and plan it for another vat (a new one for ``None``), which is given back.

    A vat that runs is refused: its forecast would take the skin for a raw one. Keepers only.
    """
    _only_keeper(by, "move a skin to another vat")
    if to is not None and to.state in (Tannage.State.RUNNING, Tannage.State.ENDED):
        raise InputError(
            f"{to.title} has begun already", place="to", remedy="choose a vat that is planned"
        )
    to = to or begin_draft(by, id=uuid.uuid5(id, "vat"))
    take_out(tannage, by, id=id, happened_at=happened_at, skins=[skin], device=device, note=note)
    set_skins(to, [*to.skins.all(), skin], by)
    return to


@transaction.atomic
def keep_liquor(
    tannage: Tannage,
    litres: float,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    where: str = "",
    name: str = "",
    device: Device | None = None,
    note: str = "",
) -> Liquor:
    """What stands in the vat becomes a kept liquor, as strong as it was last read. Keepers only."""
    read = (
        Entry.objects.filter(
            record_id=tannage.pk, kind="tannage.strength", standing=Entry.Standing.LIVE
        )
        .order_by("-happened_at")
        .first()
    )
    return keep_from_vat(
        tannage,
        litres,
        by,
        id=id,
        strength_bk=read.data.get("bk") if read else None,
        where=where,
        name=name,
        happened_at=happened_at,
        device=device,
        note=note,
    )


@transaction.atomic
def learn(tannage: Tannage, by: Person) -> list[Lot]:
    """Carry what ``tannage`` taught to the tannin figures of its lots, which are given back.

    Done twice with the same forecast, nothing is written the second time. Keepers only.
    """
    _only_keeper(by, "carry a figure to a lot")
    taught = []
    for lesson in lessons_of(tannage):
        known = Entry.objects.filter(pk=lesson.entry_id).exists()
        if not known:
            # Its own forecast goes on from what was believed before, or it would count twice.
            tannage.materials.filter(lot=lesson.lot, as_believed={}).update(
                as_believed=material_table(lesson.lot)
            )
            set_tannin(lesson.lot, lesson.low_pct, lesson.high_pct, f"taught by {tannage.title}",
                       by, id=lesson.entry_id)  # fmt: skip
            taught.append(lesson.lot)
    return taught

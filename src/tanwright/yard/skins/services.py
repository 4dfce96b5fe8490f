"""What may be done with skins; each function is one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone
from PIL.Image import Image

from tanwright.errors import InputError
from tanwright.planning.preparation import STAGES, RawSkin, check_weight, route
from tanwright.reference import animals
from tanwright.units import System
from tanwright.yard.journal.changes import change
from tanwright.yard.journal.models import Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.services import Written, open_record, write
from tanwright.yard.people.models import Device, Person
from tanwright.yard.skins.models import IN_VAT, LEATHER, Skin
from tanwright.yard.skins.ways import stages_of

FACTS: Final = (
    "name", "animal", "count", "hair_on", "origin", "taken_on", "unhair", "delime", "bate",
)  # fmt: skip
"""Fields of a skin that are changed and not folded from entries."""


@transaction.atomic
def new_skin(
    by: Person,
    animal: str = "",
    *,
    id: uuid.UUID | None = None,
    name: str = "",
    count: int = 1,
    hair_on: bool = False,
    keeping: str = "fresh",
    place: str = "",
    weight_kg: float | None = None,
    thickness_mm: float | None = None,
    area_m2: float | None = None,
    origin: str = "",
    taken_on: date | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
) -> Skin:
    """A new skin, or ``count`` like ones; ``weight_kg`` is of one, as it lies.

    ``animal`` is a name of the reference, empty for another one; ``keeping`` one of fresh, frozen,
    salted, dry-salted, dried. The same ``id`` again hands back the skin that was made. Raises
    InputError, and PermissionDenied for a helper.
    """
    _only_keeper(by, "put a skin on the list")
    id, when = id or uuid.uuid4(), happened_at or timezone.now()
    facts = _checked({
        "name": name, "animal": animal, "count": count, "hair_on": hair_on, "origin": origin,
        "taken_on": taken_on,
    })  # fmt: skip
    skin = open_record(Skin, Record.Kind.SKIN, by, id=id, **facts)
    entry: dict[str, Any] = {"happened_at": when, "device": device}
    came = {"keeping": keeping, "place": place}
    log(skin, "skin.moved", came, by, id=uuid.uuid5(id, "came"), note=note, **entry)
    if weight_kg is not None:
        stage = STAGES[keeping]
        weigh(skin, weight_kg, by, stage=stage, id=uuid.uuid5(id, "weighed"), **entry)
    if thickness_mm is not None or area_m2 is not None:
        measure(
            skin, by, thickness_mm=thickness_mm, area_m2=area_m2, id=uuid.uuid5(id, "measured"),
            **entry,
        )  # fmt: skip
    skin.refresh_from_db()
    return skin


@transaction.atomic
def log(
    skin: Skin,
    kind: str,
    data: Mapping[str, Any],
    by: Person,
    *,
    id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    device: Device | None = None,
    note: str = "",
    photo: Image | None = None,
) -> Written:
    """Note something of a skin; ``kind`` is one of :mod:`tanwright.yard.skins.entry_kinds`.

    ``photo`` is a picture from :func:`tanwright.yard.journal.photos.opened`. Raises InputError.
    """
    written = write(
        id=id or uuid.uuid4(),
        record=skin,
        kind=kind,
        data={key: value for key, value in data.items() if value not in (None, "")},
        happened_at=happened_at or timezone.now(),
        by=by,
        device=device,
        note=note,
    )
    if photo is not None and written.new:
        add_photo(written.entry, photo, note)
    skin.refresh_from_db()
    return written


def weigh(
    skin: Skin, kg: float, by: Person, *, stage: str = "", on_scale: int = 1, **entry: Any
) -> Written:
    """``on_scale`` of these skins weigh ``kg`` together, at ``stage`` (else where they stand)."""
    data = {"kg": kg, "on_scale": on_scale, "stage": stage or weighing_stage(skin)}
    return log(skin, "skin.weighed", data, by, **entry)


def measure(
    skin: Skin,
    by: Person,
    *,
    thickness_mm: float | None = None,
    area_m2: float | None = None,
    part: str = "",
    **entry: Any,
) -> Written:
    """Thickness, mm (at ``part``), and area, m2, of one skin; at least one of them."""
    data = {"thickness_mm": thickness_mm, "area_m2": area_m2, "part": part}
    return log(skin, "skin.measured", data, by, **entry)


def move(skin: Skin, by: Person, *, place: str = "", keeping: str = "", **entry: Any) -> Written:
    """It lies at ``place`` now, kept as ``keeping`` says (fresh, frozen, salted ...)."""
    return log(skin, "skin.moved", {"place": place, "keeping": keeping}, by, **entry)


def note_flaw(skin: Skin, what: str, by: Person, *, where: str = "", **entry: Any) -> Written:
    """A flaw was seen: ``what`` is a key of entry_kinds.FLAWS."""
    return log(skin, "skin.flaw", {"what": what, "where": where}, by, **entry)


def note(skin: Skin, words: str, by: Person, **entry: Any) -> Written:
    """Words worth remembering."""
    return log(skin, "skin.note", {}, by, note=words, **entry)


def begin_stage(
    skin: Skin,
    step: str,
    temperature_c: float,
    by: Person,
    *,
    amounts: Sequence[Mapping[str, Any]] = (),
    place: str = "",
    **entry: Any,
) -> Written:
    """A stage of preparation begins; ``amounts`` are what went in (``what``, ``kg`` or ``l``), and
    ``place`` is where it lies now.

    Raises InputError for a skin that lies in a vat.
    """
    if skin.stage in (IN_VAT, LEATHER):
        raise InputError(
            "this skin is past its preparation", place="step", remedy="look at the log of its vat"
        )
    data = {
        "step": step,
        "temperature_c": temperature_c,
        "amounts": [dict(amount) for amount in amounts],
        "place": place,
    }
    return log(skin, "skin.stage_begun", data, by, **entry)


def end_stage(
    skin: Skin,
    step: str,
    looked: str,
    by: Person,
    *,
    kg: float | None = None,
    look_again_at: datetime | None = None,
    **entry: Any,
) -> Written:
    """Somebody looked at a stage and found it ``"done"``, ``"not-yet"`` or in ``"trouble"``."""
    data: dict[str, Any] = {"step": step, "looked": looked, "kg": kg}
    data["look_again_at"] = look_again_at.isoformat() if look_again_at else None
    return log(skin, "skin.stage_ended", data, by, **entry)


def odd_weight(skin: Skin, step: str, kg: float, system: System) -> str:
    """What is remarkable about the weight ``kg`` of one skin after ``step``; empty when usual.

    Ask before the weight is noted: what is expected follows from the weight before.
    """
    from tanwright.planning.telling.voice import Voice

    stage = next((stage for stage in stages_of(skin) if stage.key == step), None)
    if stage is None or skin.weight_kg is None:
        return ""
    return Voice(system).words(check_weight(stage, kg))


@transaction.atomic
def change_skin(skin: Skin, fields: Mapping[str, Any], by: Person, **entry: Any) -> Written | None:
    """Change facts of a skin (:data:`FACTS`); what was before is kept. Keepers only."""
    _only_keeper(by, "change a skin")
    entry.setdefault("id", uuid.uuid4())
    entry.setdefault("happened_at", timezone.now())
    written = change(skin, fields=_checked(fields), by=by, **entry)
    skin.refresh_from_db()
    return written


def choose_way(
    skin: Skin, unhair: str, delime: str, by: Person, *, bate: bool = False, **entry: Any
) -> Written | None:
    """Choose how hair and lime come out. Raises InputError for what does not go together."""
    raw = RawSkin(skin.weight_kg or 1.0, skin.keeping, skin.animal)
    route(raw, unhair=unhair, delime=delime, bate=bate)
    return change_skin(skin, {"unhair": unhair, "delime": delime, "bate": bate}, by, **entry)


def weighing_stage(skin: Skin) -> str:
    """The stage at which a weight taken now counts."""
    return "delimed" if skin.stage in (IN_VAT, LEATHER) else skin.stage


def _checked(fields: Mapping[str, Any]) -> dict[str, Any]:
    kept = dict(fields)
    if unknown := kept.keys() - set(FACTS):
        raise InputError(f"{', '.join(sorted(unknown))} cannot be changed here", place="skin")
    if kept.get("animal"):
        kept["animal"] = animals.animal(kept["animal"]).id
    for key in ("name", "origin"):
        if key in kept:
            kept[key] = kept[key].strip()
    if "count" in kept and not 1 <= kept["count"] <= 200:
        raise InputError("there must be 1 to 200 skins", place="count", remedy="check the number")
    day = kept.get("taken_on")
    if day is not None and not (day.year >= 1900 and day <= timezone.localdate()):
        raise InputError(
            f"{day} cannot be the day it was taken off",
            place="taken_on",
            remedy="write a day that has been",
        )
    return kept


def _only_keeper(by: Person, what: str) -> None:
    if not by.is_keeper:
        raise PermissionDenied(f"Only a keeper may {what}. A helper logs what was done and seen.")

"""Brings the kept columns of a skin up to date from its live entries."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import reduce
from typing import Any, Final

from django.db.models import Q
from django.utils import timezone

from tanwright.planning.preparation import STAGES
from tanwright.reference.work import StageRow, stage_row
from tanwright.yard.journal.models import Entry
from tanwright.yard.skins.entry_kinds import one_weighs
from tanwright.yard.skins.models import IN_VAT, LEATHER, RAW_STAGES, Skin

_INTO, _OUT = "into the vat", "out of the vat"
"""Roles by which an entry of a tannage touches its skins."""
_DAILY: Final = timedelta(days=1)


@dataclass(frozen=True)
class Happening:
    """One entry, as far as the state of a skin follows from it; ``role`` for those of a vat."""

    at: datetime
    kind: str
    data: Mapping[str, Any]
    role: str = ""


@dataclass(frozen=True)
class Standing:
    """Where a skin stands; the fields are the kept columns of :class:`Skin`."""

    stage: str = "green"
    place: str = ""
    weight_kg: float | None = None
    weighed_at_stage: str = ""
    thickness_by_part: Mapping[str, float] = field(default_factory=dict)
    area_m2: float | None = None
    step: str = ""
    step_since: datetime | None = None
    step_temperature_c: float | None = None
    step_done: str = ""
    look_again_at: datetime | None = None
    keeping: str = "fresh"
    since: datetime | None = None

    @property
    def thickness_mm(self) -> float | None:
        """Mean of the latest thickness at each part."""
        values = self.thickness_by_part.values()
        return sum(values) / len(values) if values else None


_KEPT: Final = (
    "stage", "place", "weight_kg", "weighed_at_stage", "thickness_mm", "area_m2", "step",
    "step_since", "step_temperature_c", "step_done", "look_again_at", "keeping", "since",
)  # fmt: skip


def fold(skin_id: uuid.UUID) -> None:
    """Fold the entries of one skin into its kept columns."""
    skin = Skin.objects.get(pk=skin_id)
    now = standing_after(happenings(skin_id), taken_on=skin.taken_on)
    Skin.objects.filter(pk=skin_id).update(**{name: getattr(now, name) for name in _KEPT})


def happenings(skin_id: uuid.UUID) -> list[Happening]:
    """Live entries of the skin, and those of vats that took it in or let it out, in order.

    Forms tell minutes: of two entries of one minute the one written first came first. A correction
    keeps the place of what it corrects.
    """
    rows = {
        row["id"]: row
        for row in Entry.objects.filter(
            Q(record=skin_id) | Q(touches__record=skin_id, touches__role__in=(_INTO, _OUT))
        )
        .distinct()
        .values("id", "record_id", "kind", "data", "happened_at", "written_at", "corrects_id",
                "standing", "touches__record_id", "touches__role")
        if row["touches__record_id"] in (None, skin_id) or row["record_id"] == skin_id
    }  # fmt: skip

    def order(row: Mapping[str, Any]) -> tuple[datetime, datetime]:
        first = row
        while first["corrects_id"] in rows:
            first = rows[first["corrects_id"]]
        return row["happened_at"].replace(second=0, microsecond=0), first["written_at"]

    live = [row for row in rows.values() if row["standing"] == Entry.Standing.LIVE]
    return [
        Happening(
            row["happened_at"],
            row["kind"],
            row["data"],
            "" if row["record_id"] == skin_id else row["touches__role"],
        )
        for row in sorted(live, key=order)
    ]


def standing_after(found: Iterable[Happening], taken_on: date | None = None) -> Standing:
    """Where a skin stands after ``found``, in order; it came off the animal on ``taken_on``."""
    now = reduce(_after, found, Standing())
    if taken_on and now.keeping == "fresh" and not (now.step or now.step_done):
        # Rot counts from the animal, not from when somebody wrote it down.
        came_off = timezone.make_aware(datetime.combine(taken_on, time(12)))
        return replace(now, since=min(now.since or came_off, came_off))
    return now


def _after(now: Standing, new: Happening) -> Standing:
    if new.role:
        return _vat(now, new)
    change = _CHANGES.get(new.kind)
    return change(now, new) if change else now


def _vat(now: Standing, new: Happening) -> Standing:
    stage = IN_VAT if new.role == _INTO else LEATHER
    return replace(
        now, stage=stage, step="", step_since=None, step_temperature_c=None, look_again_at=None,
        since=new.at, place="",
    )  # fmt: skip


def _weighed(now: Standing, new: Happening) -> Standing:
    return replace(now, weight_kg=one_weighs(new.data), weighed_at_stage=new.data["stage"])


def _measured(now: Standing, new: Happening) -> Standing:
    parts = dict(now.thickness_by_part)
    if "thickness_mm" in new.data:
        parts[new.data.get("part", "")] = new.data["thickness_mm"]
    return replace(now, thickness_by_part=parts, area_m2=new.data.get("area_m2", now.area_m2))


def _moved(now: Standing, new: Happening) -> Standing:
    moved = replace(now, place=new.data.get("place", now.place))
    keeping = new.data.get("keeping")
    if not keeping or now.step or now.step_done or now.stage in (IN_VAT, LEATHER):
        return moved
    same = keeping == now.keeping and now.since is not None
    return replace(
        moved, keeping=keeping, stage=STAGES[keeping], since=now.since if same else new.at
    )


def _came_as(now: Standing, step: str) -> Standing:
    """A soak says how the skin lay, also when that was written down later."""
    keeping = step.removeprefix("soak-")
    if keeping == step or keeping not in STAGES:
        return now
    stage = STAGES[keeping] if now.stage in RAW_STAGES else now.stage
    return replace(now, keeping=keeping, stage=stage)


def _begun(now: Standing, new: Happening) -> Standing:
    # Freezer, salt tub and loft are behind it once the first bath has begun.
    raw = not (now.step or now.step_done)
    return replace(
        _came_as(now, new.data["step"]),
        step=new.data["step"],
        step_since=new.at,
        step_temperature_c=new.data["temperature_c"],
        look_again_at=None,
        since=new.at,
        place=new.data.get("place", "" if raw else now.place),
    )


def _ended(now: Standing, new: Happening) -> Standing:
    row = stage_row(new.data["step"])
    now = _came_as(now, row.id)
    if new.data["looked"] != "done":
        return replace(now, look_again_at=_again(row, new))
    stage = row.reaches or now.stage
    if now.stage in (IN_VAT, LEATHER):
        stage = now.stage
    ended = replace(
        now, stage=stage, step="", step_since=None, step_temperature_c=None, look_again_at=None,
        step_done=row.id, since=new.at,
    )  # fmt: skip
    if "kg" in new.data:
        return replace(ended, weight_kg=new.data["kg"], weighed_at_stage=weighed_stage(stage))
    return ended


def weighed_stage(stage: str) -> str:
    """Stage of the engine at which something weighed now counts; in the vat it is a pelt."""
    return "delimed" if stage in (IN_VAT, LEATHER) else stage


def _again(row: StageRow, new: Happening) -> datetime:
    """When to look again: as was said, else next day or after a quarter of a shorter stage."""
    if told := new.data.get("look_again_at"):
        return datetime.fromisoformat(told)
    return new.at + min(_DAILY, timedelta(hours=row.hours_likely / 4.0))


_CHANGES: Final = {
    "skin.weighed": _weighed,
    "skin.measured": _measured,
    "skin.moved": _moved,
    "skin.stage_begun": _begun,
    "skin.stage_ended": _ended,
}

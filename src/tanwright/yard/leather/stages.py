"""The way of one leather from the vat to the shelf: which stages, and how far it has come."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final, Protocol

from tanwright.errors import InputError
from tanwright.planning.finishing import WetLeather, WorkStage, finish
from tanwright.yard.leather.models import Leather
from tanwright.yard.leather.pelt import damp_guess

ROOM_C: Final = 18.0
"""Warmth of the workroom while nobody has said another one."""


class Noted(Protocol):
    """The part of an entry that is folded."""

    kind: str
    data: dict[str, Any]
    happened_at: datetime


def aim_of(leather: Leather) -> str:
    """What it is to become: its own aim, else that of its tannage, else a bag leather."""
    return leather.aim or leather.tannage.leather or "bag"


def way_of(leather: Leather, temperature_c: float | None = None) -> tuple[WorkStage, ...]:
    """Its stages with amounts for this skin; a fur that was meant to be firm is finished soft."""
    weight = leather.damp_kg or damp_guess(leather.skin).kg or 1.0
    warm = temperature_c if temperature_c is not None else leather.step_temperature_c
    wet = WetLeather(weight, aim_of(leather), leather.skin.hair_on)
    room = ROOM_C if warm is None else warm
    try:
        return finish(wet, temperature_c=room)
    except InputError:
        return finish(replace(wet, leather="bag"), temperature_c=room)


@dataclass(frozen=True)
class Done:
    """A stage that ran: when it began, when its end test was met, at what warmth."""

    key: str
    begun_at: datetime | None
    ended_at: datetime | None
    temperature_c: float | None = None
    used_kg: float | None = None
    looked: str = ""


@dataclass(frozen=True)
class Standing:
    """Where a leather stands, from its live entries in order."""

    step: str = ""
    step_since: datetime | None = None
    step_temperature_c: float | None = None
    next_step: str = ""
    next_since: datetime | None = None
    finished_at: datetime | None = None
    damp_kg: float | None = None
    weight_kg: float | None = None
    area_m2: float | None = None
    thickness_mm: float | None = None
    ran: dict[str, Done] = field(default_factory=dict)


def standing_after(keys: tuple[str, ...], entries: Iterable[Noted]) -> Standing:
    """Fold ``entries``, oldest first, over a way whose stages are ``keys``."""
    now = Standing(next_step=keys[0])
    for entry in entries:
        now = _after(keys, now, entry)
    return now


def _after(keys: tuple[str, ...], now: Standing, entry: Noted) -> Standing:
    data, at = entry.data, entry.happened_at
    match entry.kind:
        case "leather.stage_begun":
            return _begun(now, data, at)
        case "leather.stage_ended":
            return _ended(keys, now, data, at)
        case "leather.weighed" if data["state"] == "damp":
            return replace(now, damp_kg=data["kg"])
        case "leather.weighed":
            return replace(now, weight_kg=data["kg"])
        case "leather.measured":
            return replace(
                now,
                area_m2=data.get("area_m2", now.area_m2),
                thickness_mm=data.get("thickness_mm", now.thickness_mm),
            )
    return now


def _begun(now: Standing, data: dict[str, Any], at: datetime) -> Standing:
    stage, warm = data["stage"], data.get("temperature_c")
    ran = now.ran | {stage: Done(stage, at, None, warm, data.get("used_kg"))}
    return replace(
        now, step=stage, step_since=at, step_temperature_c=warm, next_step="", next_since=None,
        finished_at=None, ran=ran,
    )  # fmt: skip


def _ended(keys: tuple[str, ...], now: Standing, data: dict[str, Any], at: datetime) -> Standing:
    stage, looked = data["stage"], data["looked"]
    before = now.ran.get(stage) or Done(stage, None, None)
    if looked != "done":
        return replace(now, ran=now.ran | {stage: replace(before, looked=looked)})
    ran = now.ran | {stage: replace(before, ended_at=at, looked=looked)}
    place = keys.index(stage) + 1 if stage in keys else len(keys)
    following = keys[place] if place < len(keys) else ""
    return replace(
        now, step="", step_since=None, step_temperature_c=None, next_step=following, next_since=at,
        finished_at=None if following else at, ran=ran,
    )  # fmt: skip

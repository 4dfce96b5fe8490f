"""A finishing stage as a page shows it, in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tanwright.planning import finishing
from tanwright.planning.beamwork import Quantity, WorkStage
from tanwright.planning.telling.voice import Voice
from tanwright.reference.cautions import Caution
from tanwright.reference.sources import source
from tanwright.units import format_mass
from tanwright.yard.leather.stages import Done, Standing

_HOURS_IN_DAYS = 48.0


@dataclass(frozen=True)
class AmountShown:
    """An amount for this skin, how it was reckoned, and its source."""

    words: str
    how: str
    source: str


@dataclass(frozen=True)
class StageShown:
    """One stage; ``state`` is ``"now"``, ``"done"`` or empty."""

    key: str
    name: str
    state: str
    is_next: bool
    do: str
    amounts: tuple[AmountShown, ...]
    time: str
    why: str
    end_test: str
    not_yet: str
    trouble: str
    looked: str
    warnings: tuple[str, ...]
    cautions: tuple[Caution, ...]
    begun_at: datetime | None
    ended_at: datetime | None
    look_from: datetime | None
    look_likely: datetime | None
    look_to: datetime | None
    used: str
    source: str


def stages_shown(
    way: tuple[WorkStage, ...], standing: Standing, voice: Voice
) -> tuple[StageShown, ...]:
    """Every stage of ``way`` with how far it has come."""
    return tuple(_shown(stage, standing, voice) for stage in way)


def _shown(stage: WorkStage, standing: Standing, voice: Voice) -> StageShown:
    ran = standing.ran.get(stage.key) or Done(stage.key, None, None)
    running = standing.step == stage.key
    due = None
    if running and ran.begun_at is not None:
        due = finishing.due(stage, ran.begun_at, stage.hours.temperature_c)
    words = voice.words
    return StageShown(
        key=stage.key,
        name=stage.name,
        state="now" if running else "done" if ran.ended_at else "",
        is_next=standing.next_step == stage.key,
        do=words(stage.do),
        amounts=tuple(_amount(part, voice) for part in stage.quantities),
        time=f"{said_hours(stage.hours.low)} to {said_hours(stage.hours.high)}, most likely "
        f"{said_hours(stage.hours.likely)}",
        why=words(stage.hours.why),
        end_test=words(stage.end_test),
        not_yet=words(stage.not_yet),
        trouble=words(stage.trouble),
        looked=ran.looked,
        warnings=tuple(words(text) for text in stage.warnings),
        cautions=stage.cautions,
        begun_at=ran.begun_at,
        ended_at=ran.ended_at,
        look_from=due.earliest if due else None,
        look_likely=due.likely if due else None,
        look_to=due.latest if due else None,
        used="" if ran.used_kg is None else format_mass(ran.used_kg, voice.system),
        source=source(stage.source).short,
    )


def _amount(part: Quantity, voice: Voice) -> AmountShown:
    text = f"{part.low:.4g} to {part.high:.4g} {part.unit}"
    return AmountShown(
        f"{voice.words(text)} of {part.what}", voice.words(part.how), source(part.source).short
    )


def said_hours(hours: float) -> str:
    """``"30 minutes"``, ``"8 hours"``, ``"5 days"``."""
    if hours < 1.0:
        return f"{max(round(60.0 * hours / 5.0) * 5, 5)} minutes"
    if hours >= _HOURS_IN_DAYS:
        return f"{hours / 24.0:.0f} days"
    return "1 hour" if round(hours) == 1 else f"{hours:.0f} hours"

"""What finishing asks for: stages to look at, stages to begin, leather to weigh."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.urls import reverse

from tanwright.planning import finishing
from tanwright.reference.work import stage_row
from tanwright.yard.journal.due import Due
from tanwright.yard.leather.models import Leather
from tanwright.yard.leather.stages import ROOM_C

MOST: Final = 100


@dataclass(frozen=True)
class Wait:
    """How long a leather may wait for a stage before it suffers, and what happens then."""

    hours: float
    weight: float
    why: str


_WAITS: Final = {
    "rinse-leather": Wait(12.0, 0.7, "Liquor that dries onto the grain stains it."),
    "sammy": Wait(24.0, 0.6, "Wet leather that lies in a heap goes mouldy."),
    "oil": Wait(24.0, 0.6, "Damp leather that dries without oil turns stiff and its grain breaks."),
    "oil-fur": Wait(24.0, 0.6, "A fur that dries without oil turns hard as a board."),
    "dry": Wait(24.0, 0.5, "Damp leather that lies goes mouldy."),
    "roll": Wait(48.0, 0.4, "It is beaten while it is still half damp."),
    "grease": Wait(72.0, 0.2, "Fat sinks in best while the leather is a little damp."),
    "stake": Wait(48.0, 0.4, "Bone dry it breaks hard; a little damp it breaks soft."),
}
"""By stage to begin; common practice, hours from memory."""
_LOOK_WEIGHT: Final = 0.45


def due(now: datetime) -> list[Due]:
    """What every unfinished leather asks for, and finished ones that nobody weighed."""
    live = Leather.objects.filter(withdrawn_at=None)
    unfinished = live.filter(finished_at=None).order_by("created_at")[:MOST]
    found = [_look(item, now) if item.step else _begin(item, now) for item in unfinished]
    unweighed = live.filter(weight_kg=None, finished_at__gte=now - timedelta(days=60))
    return found + [_weigh(item) for item in unweighed.order_by("finished_at")[:MOST]]


def _look(item: Leather, now: datetime) -> Due:
    """A stage that runs: look at it when it is likely done."""
    begun = item.step_since or now
    warm = ROOM_C if item.step_temperature_c is None else item.step_temperature_c
    when = finishing.due(item.step, begun, warm)
    row = stage_row(item.step)
    return Due(
        at=when.likely,
        late=now > when.latest,
        weight=_LOOK_WEIGHT,
        headline=f"{item.title}: look at it ({row.name.lower()})",
        reason=f"Done when: {row.end_test[:1].lower()}{row.end_test[1:]}",
        url=reverse("leather:ended", args=[item.pk]),
        record_id=item.pk,
        kind="leather",
    )


def _begin(item: Leather, now: datetime) -> Due:
    """No stage runs: begin the next one."""
    key = item.next_step or "rinse-leather"
    wait = _WAITS.get(key, Wait(48.0, 0.3, ""))
    since = item.next_since or item.created_at
    return Due(
        at=since,
        late=now > since + timedelta(hours=wait.hours),
        weight=wait.weight,
        headline=f"{item.title}: {stage_row(key).name.lower()}",
        reason=f"It is the next stage of finishing. {wait.why}".strip(),
        url=reverse("leather:begin", args=[item.pk, key]),
        record_id=item.pk,
        kind="leather",
    )


def _weigh(item: Leather) -> Due:
    return Due(
        at=None,
        late=False,
        weight=0.1,
        headline=f"{item.title}: weigh the dry leather",
        reason="Its weight tells how much tan it holds and what the pelt gave.",
        url=reverse("leather:log", args=[item.pk, "weighed"]),
        record_id=item.pk,
        kind="leather",
    )

"""What is next for a skin, and what is due among all of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.db.models import Q
from django.urls import reverse

from tanwright.planning.preparation import due as due_of_stage
from tanwright.reference.work import StageRow, stage_row
from tanwright.units import System
from tanwright.yard.journal.due import Due
from tanwright.yard.skins.models import IN_VAT, LEATHER, Skin
from tanwright.yard.skins.ways import StageShown, look_words, next_step, shown

KEEPS: Final = {
    "fresh": timedelta(hours=24),
    "salted": timedelta(days=180),
    "frozen": timedelta(days=365),
}
"""How long a raw skin keeps before it loses, by how it lies (from memory, common practice); one
that is dry keeps until moths find it."""
WET_KEEPS: Final = timedelta(hours=24)
"""A wet skin between two stages should not lie longer, cool and covered with water (common
practice)."""


@dataclass(frozen=True)
class Look:
    """When to look at a running stage."""

    earliest: datetime
    latest: datetime


@dataclass(frozen=True)
class Next:
    """What now comes first for a skin."""

    headline: str
    reason: str
    do: tuple[tuple[str, str], ...] = ()
    """Label and address of the buttons, the first one the main one."""
    late: bool = False


def look_at(skin: Skin) -> Look | None:
    """When to look at its running stage; ``None`` when none runs."""
    if not skin.step or skin.step_since is None:
        return None
    earliest, _, latest = due_of_stage(
        skin.step, skin.step_since, skin.step_temperature_c or stage_row(skin.step).at_c
    )
    if skin.look_again_at is not None:
        earliest = skin.look_again_at
    return Look(min(earliest, max(latest, earliest)), max(latest, earliest))


def keeps_until(skin: Skin) -> datetime | None:
    """When waiting begins to cost something; ``None`` when it does not."""
    if look := look_at(skin):
        return look.latest
    if skin.since is None or skin.stage in (IN_VAT, LEATHER):
        return None
    if not skin.is_raw:
        return skin.since + WET_KEEPS
    keeps = KEEPS.get(skin.keeping)
    return skin.since + keeps if keeps else None


def next_of(skin: Skin, temperature_c: float, system: System, now: datetime) -> Next | None:
    """What now comes first; ``None`` for a skin in a vat or out of it."""
    if skin.withdrawn_at is not None or skin.stage in (IN_VAT, LEATHER):
        return None
    until = keeps_until(skin)
    late = until is not None and now > until
    if skin.is_ready:
        return _ready(skin, late)
    stages = shown(skin, temperature_c, system)
    if look := look_at(skin):
        return _running(skin, look, stages, now)
    stage = next((stage for stage in stages if stage.standing == "next"), None)
    if stage is None:
        return None
    if stage.key.startswith("unhair-") and not skin.unhair:
        return Next(
            "Choose how the hair comes off",
            "It is fleshed. Lime, ash lye and sweating differ in time, in risk and in the leather.",
            (("Choose the way", reverse("skins:way", args=[skin.pk])),),
            late,
        )
    return _to_begin(skin, stage, until, late)


def _ready(skin: Skin, late: bool) -> Next:
    return Next(
        "Put it in the vat",
        "Its preparation is over. A wet skin should not wait longer than a day, cool and under "
        "water.",
        (("Plan a tannage", f"{reverse('tannage:new')}?skin={skin.pk}"),),
        late,
    )


def _running(skin: Skin, look: Look, stages: tuple[StageShown, ...], now: datetime) -> Next:
    row = stage_row(skin.step)
    told = next((stage for stage in stages if stage.key == skin.step), None)
    test = told.end_test if told else row.end_test
    ready = now >= look.earliest
    headline = f"{row.name}: look at it now" if ready else f"{row.name} runs"
    return Next(
        headline,
        f"{look_words(look.earliest, look.latest, now)} Done when: {test}",
        (("Say what you found", reverse("skins:end", args=[skin.pk])),),
        now > look.latest,
    )


def _to_begin(skin: Skin, stage: StageShown, until: datetime | None, late: bool) -> Next:
    from tanwright.yard.shell.templatetags.words import moment

    do = [
        (f"Begin: {stage.name.lower()}", reverse("skins:begin", args=[skin.pk])),
        ("All stages", reverse("skins:preparation", args=[skin.pk])),
    ]
    reason = stage.do
    if skin.is_raw and skin.keeping == "fresh":
        do.insert(1, ("It is salted or frozen", reverse("skins:log", args=[skin.pk, "moved"])))
        reason = (
            "Fresh skin spoils within about a day, sooner in the warm (common practice). Salt it, "
            f"freeze it, or begin. {stage.do}"
        )
    elif until is not None and not skin.is_raw:
        reason = f"It lies wet; go on by {moment(until)}. {stage.do}"
    return Next(f"Next: {stage.name.lower()}", reason, tuple(do), late)


def due(now: datetime) -> list[Due]:
    """Stages to look at, raw skins that begin to spoil, wet ones that wait; one query."""
    asking = Q(keeping="fresh") | ~Q(step="") | ~Q(step_done="")
    for keeping, keeps in KEEPS.items():
        asking |= Q(keeping=keeping, since__lte=now - keeps)
    rows = (
        Skin.objects.filter(withdrawn_at__isnull=True, since__isnull=False)
        .exclude(stage__in=(IN_VAT, LEATHER))
        .filter(asking)
        .order_by("since")[:200]
    )
    return [found for skin in rows if (found := _due(skin, now))]


def _due(skin: Skin, now: datetime) -> Due | None:
    if look := look_at(skin):
        return _due_look(skin, look, now)
    until = keeps_until(skin)
    if until is None:
        return None
    late = now > until
    if skin.is_raw:
        return _due_raw(skin, until, late)
    if skin.is_ready:
        headline, reason = (
            f"Put {skin.title} in the vat",
            "It is prepared, and a wet skin spoils if it waits (common practice: a day at most).",
        )
    else:
        headline = f"Go on with {skin.title}: {_next_words(skin)}"
        reason = "It lies wet between two stages (common practice: a day at most, cool)."
    return _due_of(skin, until, late, 0.85 if late else 0.6, headline, reason)


def _next_words(skin: Skin) -> str:
    key = next_step(skin)
    if key.startswith("unhair-") and not skin.unhair:
        return "choose how the hair comes off"
    return stage_row(key).name.lower() if key else "look at its stages"


def _due_look(skin: Skin, look: Look, now: datetime) -> Due:
    row: StageRow = stage_row(skin.step)
    late, ready = now > look.latest, now >= look.earliest
    headline = f"Look at {skin.title}: {row.name.lower()}"
    reason = f"{look_words(look.earliest, look.latest, now)} Done when: {row.end_test}"
    return _due_of(
        skin, look.earliest, late, 0.95 if late else 0.7 if ready else 0.3, headline, reason
    )


def _due_raw(skin: Skin, until: datetime, late: bool) -> Due:
    if skin.keeping == "fresh":
        return _due_of(
            skin, until, late, 0.97 if late else 0.9,
            f"Salt or freeze {skin.title}, or begin to soak it",
            "It lies fresh and spoils within about a day, sooner in the warm (common practice).",
        )  # fmt: skip
    how = "in salt for half a year" if skin.keeping == "salted" else "frozen for a year"
    return _due_of(
        skin, until, late, 0.3, f"Use {skin.title} before it loses",
        f"It has lain {how} and more; it keeps no better with time (from memory). Look for red "
        "spots, smell and dried edges.",
    )  # fmt: skip


def _due_of(skin: Skin, at: datetime, late: bool, weight: float, headline: str, reason: str) -> Due:
    return Due(
        at=at,
        late=late,
        weight=weight,
        headline=headline,
        reason=reason,
        url=skin.get_absolute_url(),
        record_id=skin.pk,
        kind="skin",
    )

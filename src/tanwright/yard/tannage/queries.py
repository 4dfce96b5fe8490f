"""Lists of vats and what is due, from kept columns alone."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from django.db.models import Count, Q, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone

from tanwright.planning.telling.voice import Voice
from tanwright.units import System
from tanwright.yard.journal.due import Due
from tanwright.yard.shell.templatetags.words import day
from tanwright.yard.tannage.models import Tannage

NO_LOOK_DAYS: Final = 21
"""A vat that nobody logged for so long is brought up: cuts lie two to three weeks apart."""
HARM: Final = {
    "strengthen": 0.8,
    "top-up": 0.8,
    "start": 0.7,
    "move": 0.6,
    "look": 0.5,
    "gate": 0.5,
    "rinse": 0.6,
    "prepare": 0.6,
    "gather": 0.4,
    "wait": 0.1,
}
"""How much waiting harms by action: a core rots in weak liquor, a look can wait (from memory)."""


@dataclass(frozen=True)
class Row:
    """One vat in the list."""

    title: str
    note: str
    chip: str
    late: bool
    url: str


@dataclass(frozen=True)
class WorthReading:
    """The reading most worth taking over all vats."""

    what: str
    share: float
    """Expected share that it takes off the range of the finish day, 0 to 1."""
    title: str
    url: str

    @property
    def words(self) -> str:
        """What it would buy."""
        return f"takes about {100 * self.share:.0f} % off the range of the finish day"


def tannages(text: str = "", show: str = "") -> QuerySet[Tannage]:
    """Vats of the list, the most pressing first; ended ones only when asked."""
    found = Tannage.objects.filter(withdrawn_at=None).annotate(skin_count=Count("places"))
    if show != "all":
        found = found.exclude(state=Tannage.State.ENDED)
    if text := text.replace("\0", "").strip():
        number = text.lower().removeprefix("tannage").strip(" -")
        fits = Q(name__icontains=text) | Q(vat__icontains=text)
        found = found.filter(fits | Q(number=int(number)) if number.isdecimal() and
                             len(number) < 7 else fits)  # fmt: skip
    return found.order_by("next_on", "-created_at")


def row_of(tannage: Tannage, today: date, system: System = "metric") -> Row:
    """One row; ``tannage`` comes from :func:`tannages`."""
    late = is_late(tannage, today)
    chip = tannage.get_state_display()
    if tannage.state == Tannage.State.RUNNING and tannage.next_on is not None:
        chip = "late" if late else day(tannage.next_on)
    count = getattr(tannage, "skin_count", 0)
    parts = [f"{count} skin{'' if count == 1 else 's'}" if count else "no skin chosen yet"]
    if tannage.vat:
        parts.append(tannage.vat)
    if tannage.state != Tannage.State.ENDED and tannage.next_headline:
        parts.append(Voice(system).words(tannage.next_headline))
    return Row(tannage.title, "; ".join(parts), chip, late, tannage.get_absolute_url())


def is_late(tannage: Tannage, today: date) -> bool:
    """Whether its next action is past."""
    return (
        tannage.state in (Tannage.State.RUNNING, Tannage.State.PLANNED)
        and tannage.next_on is not None
        and tannage.next_on < today
    )


def tannage_of(id: uuid.UUID) -> Tannage:
    """The tannage, or 404."""
    return get_object_or_404(Tannage.objects.select_related("created_by"), pk=id)


def due(now: datetime, system: System = "metric") -> list[Due]:
    """The next action of every vat that runs or is planned, and vats nobody looked at (1 query)."""
    voice = Voice(system)
    today = timezone.localtime(now).date()
    found = Tannage.objects.filter(
        withdrawn_at=None, state__in=(Tannage.State.RUNNING, Tannage.State.PLANNED)
    ).order_by("next_on")
    return [_due(tannage, today, now, voice) for tannage in found]


def _due(tannage: Tannage, today: date, now: datetime, voice: Voice) -> Due:
    running = tannage.state == Tannage.State.RUNNING
    quiet = running and tannage.last_logged_at is not None and (now - tannage.last_logged_at) >= \
        timedelta(days=NO_LOOK_DAYS)  # fmt: skip
    headline = tannage.next_headline or ("Look at the vat" if running else "See whether it can go")
    reason = tannage.next_reason
    if quiet and tannage.last_logged_at is not None:
        days = (now - tannage.last_logged_at).days
        headline = headline if tannage.next_headline else "Look at the vat"
        reason = f"Nothing was noted of it for {days} days. {reason}".strip()
    at = timezone.make_aware(datetime.combine(tannage.next_on, time())) if tannage.next_on else None
    return Due(
        at=at,
        late=is_late(tannage, today) or quiet,
        weight=max(HARM.get(tannage.next_action, 0.3), 0.6 if quiet else 0.0),
        headline=f"{tannage.title}: {voice.words(headline)}",
        reason=voice.words(reason),
        url=tannage.get_absolute_url(),
        record_id=tannage.pk,
        kind="tannage",
    )


def worth(now: datetime) -> WorthReading | None:
    """The reading that should narrow a finish day most, over all vats that run (1 query)."""
    best = (
        Tannage.objects.filter(
            withdrawn_at=None, state=Tannage.State.RUNNING, worth_share__gte=0.01
        )
        .order_by("-worth_share")
        .first()
    )
    if best is None or best.worth_share is None:
        return None
    return WorthReading(best.worth_what, best.worth_share, best.title, best.get_absolute_url())

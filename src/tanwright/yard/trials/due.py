"""What trials ask for: jars to fill, to look at, to grade."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Final

from django.urls import reverse
from django.utils import timezone

from tanwright.planning.trials.renewal import schedule_of
from tanwright.planning.trials.schedule import Day
from tanwright.yard.journal.due import Due
from tanwright.yard.trials.models import Trial

MOST: Final = 50
_LOOK_EVERY: Final = timedelta(days=7)
"""Jars of which nothing was noted for so long are asked after (from memory)."""


def due(now: datetime) -> list[Due]:
    """What every trial that is not done asks for."""
    asking = (Trial.State.CUT, Trial.State.RUNNING, Trial.State.GRADING)
    live = Trial.objects.filter(withdrawn_at=None, state__in=asking)
    found = []
    for trial in live.prefetch_related("jars")[:MOST]:
        if trial.state == Trial.State.CUT:
            found.append(_due(trial, None, 0.2, "fill the jars and lay the patches in",
                              "Its design is made; cut patches dry out.",
                              "trials:jars"))  # fmt: skip
        elif trial.state == Trial.State.RUNNING:
            found += _running(trial, now)
        else:
            found.append(_due(trial, None, 0.3, "grade its patches",
                              "Blind, by their marks, while all of them lie side by side.",
                              "trials:grading"))  # fmt: skip
    return found


def _running(trial: Trial, now: datetime) -> list[Due]:
    day = next_day(trial, now)
    if day is not None:
        at = timezone.make_aware(datetime.combine(day.on, time(9)))
        weight = 0.45 if day.action == "strengthen" else 0.4
        late = timezone.localtime(now).date() > day.on + timedelta(days=2)
        return [_due(trial, at, weight, _lower(day.what), day.why, "trials:trial", late=late)]
    seen = [jar.last_logged_at for jar in trial.jars.all() if jar.last_logged_at]
    last = max(seen, default=trial.begun_at or now)
    return [
        _due(trial, last + _LOOK_EVERY, 0.4, "look at its jars",
             "Nothing was noted for a while.", "trials:trial",
             late=now > last + 2 * _LOOK_EVERY)
    ]  # fmt: skip


def next_day(trial: Trial, now: datetime) -> Day | None:
    """The next day of the schedule that is still to be done; ``None`` without a schedule.

    A schedule of the trial as it stands holds only what is left; of an older one, the days up to
    the last entry are taken as done.
    """
    kept = trial.design.get("schedule")
    if not kept or "days" not in kept:
        return None
    days = [day for day in schedule_of(kept).days if day.action != "start"]
    if kept.get("version") == trial.version:
        return next(iter(days), None)
    logged = [jar.last_logged_at for jar in trial.jars.all() if jar.last_logged_at]
    last = timezone.localtime(max(logged, default=trial.begun_at or now)).date()
    return next((day for day in days if day.on > last), None)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _due(
    trial: Trial, at: datetime | None, weight: float, what: str, why: str, url: str,
    *, late: bool = False,
) -> Due:  # fmt: skip
    return Due(
        at=at,
        late=late,
        weight=weight,
        headline=f"{trial.title}: {what}",
        reason=why,
        url=reverse(url, args=[trial.pk]),
        record_id=trial.pk,
        kind="trial",
    )

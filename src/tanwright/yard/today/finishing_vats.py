"""When each running vat should be leather, as something to look forward to in a calendar."""

from __future__ import annotations

from datetime import date, datetime, time

from django.urls import reverse
from django.utils import timezone

from tanwright.yard.journal.due import Due
from tanwright.yard.tannage.models import Tannage


def finishing(now: datetime) -> list[Due]:
    """One for every running vat whose likely day is known and still to come."""
    today = timezone.localtime(now).date()
    rows = Tannage.objects.filter(
        withdrawn_at=None, state=Tannage.State.RUNNING, finish_likely__gte=today
    )
    return [_finish(tannage) for tannage in rows]


def _finish(tannage: Tannage) -> Due:
    assert tannage.finish_likely is not None
    return Due(
        at=timezone.make_aware(datetime.combine(tannage.finish_likely, time(12))),
        late=False,
        weight=0.2,
        headline=f"{tannage.title}: most likely leather about now",
        reason=f"{_window(tannage.finish_from, tannage.finish_to)} The cut and the done questions "
        "decide, not the day; each reading moves it.",
        url=reverse("tannage:tannage", args=[tannage.pk]),
        record_id=tannage.pk,
        kind="finish",
    )


def _window(first: date | None, last: date | None) -> str:
    if first is None:
        return "How early it may be cannot be said yet."
    early = f"{first.day} {first:%B}"
    if last is None:
        return f"From {early} on; it may take far longer."
    return f"Between {early} and {last.day} {last:%B} {last.year}."

"""What comes first: things to do, sorted by when they are due and what waiting costs.

Four groups, in this order:

* *late*: the area that reports it says that waiting longer begins to cost something;
* *today*: its day is today, or was, without harm so far;
* *soon*: its day is one of the next :data:`SOON_DAYS`;
* *whenever*: it has no day.

Among late ones the harm grows with every day, so they stand by ``weight * (1 + days late)``: a skin
that may rot (weight near 1) stands before a lot that should be weighed, until the lot has waited
many times longer.  Today's stand by weight, then by the hour.  Soon ones stand by day, then by
weight: nothing is gained by doing them early.  What is due later than that is left to the calendar.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from django.utils import timezone

from tanwright.yard.journal.due import Due

SOON_DAYS: Final = 7
_DAY_S: Final = 86_400.0


@dataclass(frozen=True)
class Ordered:
    """Things to do in their groups, the most urgent first in each."""

    late: tuple[Due, ...]
    today: tuple[Due, ...]
    soon: tuple[Due, ...]
    whenever: tuple[Due, ...]

    @property
    def everything(self) -> tuple[Due, ...]:
        """All groups in a row."""
        return self.late + self.today + self.soon + self.whenever

    def first(self, most: int) -> Ordered:
        """The ``most`` urgent ones, in their groups."""
        groups, room = [], most
        for group in (self.late, self.today, self.soon, self.whenever):
            groups.append(group[: max(room, 0)])
            room -= len(group)
        return Ordered(*groups)


def ordered(dues: Iterable[Due], now: datetime) -> Ordered:
    """``dues`` in groups as seen from ``now``, in the order told above."""
    groups: dict[str, list[Due]] = {
        "late": [],
        "today": [],
        "soon": [],
        "whenever": [],
        "later": [],
    }
    for due in dues:
        groups[_group(due, now)].append(due)
    return Ordered(
        late=tuple(sorted(groups["late"], key=lambda due: (-pressure(due, now), due.headline))),
        today=tuple(sorted(groups["today"], key=_by_weight)),
        soon=tuple(sorted(groups["soon"], key=_by_day)),
        whenever=tuple(sorted(groups["whenever"], key=_by_weight)),
    )


def pressure(due: Due, now: datetime) -> float:
    """How much a late thing presses: its weight, once more for every day that it is late."""
    if due.at is None:
        return due.weight
    return due.weight * (1.0 + max((now - due.at).total_seconds(), 0.0) / _DAY_S)


def day_of(when: datetime) -> date:
    """The day of a moment by the yard's clock."""
    return timezone.localtime(when).date() if timezone.is_aware(when) else when.date()


def _group(due: Due, now: datetime) -> str:
    if due.late:
        return "late"
    if due.at is None:
        return "whenever"
    day, today = day_of(due.at), day_of(now)
    if day <= today:
        return "today"
    return "soon" if day <= today + timedelta(days=SOON_DAYS) else "later"


def _by_weight(due: Due) -> tuple[float, float, str]:
    return -due.weight, due.at.timestamp() if due.at else 0.0, due.headline


def _by_day(due: Due) -> tuple[date, float, str]:
    assert due.at is not None
    return day_of(due.at), -due.weight, due.headline

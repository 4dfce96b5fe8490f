"""Which of the daily backups are kept: close together lately, further apart long ago."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from datetime import datetime
from typing import Final

DAILY: Final = 7
WEEKLY: Final = 4
MONTHLY: Final = 12


def kept(times: Iterable[datetime]) -> set[datetime]:
    """Of backups made at ``times``, those to keep.

    The newest of each of the last 7 days, 4 weeks and 12 months that have one. A yard that was
    left alone for a year keeps what it has: only days with a backup count.
    """
    newest_first = sorted(set(times), reverse=True)
    return (
        _newest_of_each(newest_first, lambda time: time.date(), DAILY)
        | _newest_of_each(newest_first, lambda time: time.isocalendar()[:2], WEEKLY)
        | _newest_of_each(newest_first, lambda time: (time.year, time.month), MONTHLY)
    )


def _newest_of_each(
    newest_first: list[datetime], span: Callable[[datetime], Hashable], most: int
) -> set[datetime]:
    found: dict[Hashable, datetime] = {}
    for time in newest_first:
        found.setdefault(span(time), time)
    return set(list(found.values())[:most])

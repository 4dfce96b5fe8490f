"""Dates of records: ISO 8601 as Darwin Core asks for it, or the terms year, month and day."""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta
from typing import Final

NO_DATE: Final = "it has no date"
UNREADABLE: Final = "its date cannot be read"
NO_MONTH: Final = "its date does not tell the month"
TO_COME: Final = "its date is still to come"
TOO_OLD: Final = "its date lies before 1600"
BACKWARDS: Final = "its date ends before it begins"

FIRST_YEAR: Final = 1600
LONGEST: Final = timedelta(days=31)
"""A longer span tells no month."""

_PARTIAL: Final = re.compile(r"([0-9]{4})(?:-([0-9]{2}))?$")
_ORDINAL: Final = re.compile(r"([0-9]{4})-?([0-9]{3})$")
Span = tuple[date, date]


def month_and_day(
    event_date: str, year: str, month: str, day: str, today: date
) -> tuple[int, int] | str:
    """Month of the year and last day (proleptic ordinal) of a record, or what is wrong with it.

    ``event_date`` is believed first; what it leaves open or garbles is taken from the other three.
    A span of up to 31 days counts for the month in which it begins. A day that is not told, or that
    would lie after ``today``, is taken as the last that it can be.
    """
    found: Span | str = _event(event_date) if event_date.strip() else NO_DATE
    if isinstance(found, str) or found[1] - found[0] >= LONGEST:
        told = _parts(year, month, day)
        if not isinstance(told, str):
            found = told
    if isinstance(found, str):
        return found
    first, last = found
    if last < first:
        return BACKWARDS
    if first > today + timedelta(days=1):  # elsewhere it may be tomorrow already
        return TO_COME
    if first.year < FIRST_YEAR:
        return TOO_OLD
    if last - first >= LONGEST:
        return NO_MONTH
    return first.month, max(first, min(last, today)).toordinal()


def _event(text: str) -> Span | str:
    begin, slash, end = text.strip().partition("/")
    first = _span(_day_of(begin))
    if first is None:
        return UNREADABLE
    if not slash:
        return first
    last = _span(_completed(_day_of(begin), end.strip()))
    return UNREADABLE if last is None else (first[0], last[1])


def _day_of(text: str) -> str:
    """The date without the time of day."""
    return re.split(r"[T ]", text.strip(), maxsplit=1)[0]


def _completed(begin: str, end: str) -> str:
    """The end of a span, which may leave out what it shares with the beginning."""
    if ":" in _day_of(end):
        return begin  # a time of the same day
    day = _day_of(end)
    if not day:
        return ""
    return begin[: len(begin) - len(day)] + day if len(day) < len(begin) else day


def _span(text: str) -> Span | None:
    """First and last day of a date, a month or a year."""
    try:
        if found := _PARTIAL.match(text):
            return _months(int(found[1]), found[2])
        if found := _ORDINAL.match(text):
            one = date(int(found[1]), 1, 1) + timedelta(days=int(found[2]) - 1)
            return (one, one) if one.year == int(found[1]) else None
        one = date.fromisoformat(text)
    except (ValueError, OverflowError):
        return None
    return one, one


def _months(year: int, month: str | None) -> Span:
    first = int(month) if month else 1
    last = int(month) if month else 12
    return date(year, first, 1), date(year, last, calendar.monthrange(year, last)[1])


def _parts(year: str, month: str, day: str) -> Span | str:
    try:
        y, m = int(float(year)), int(float(month))
        if day.strip():
            one = date(y, m, int(float(day)))
            return one, one
        return _months(y, str(m))
    except (ValueError, OverflowError):
        return UNREADABLE

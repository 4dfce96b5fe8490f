"""Dates of records, against the examples that Darwin Core gives with its term eventDate."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.planning.occurrences import dates as d

TODAY = date(2026, 11, 28)


def asked(text: str, year: str = "", month: str = "", day: str = "") -> tuple[int, str] | str:
    found = d.month_and_day(text, year, month, day, TODAY)
    if isinstance(found, str):
        return found
    return found[0], date.fromordinal(found[1]).isoformat()


# Published: examples with the term eventDate, Darwin Core Quick Reference Guide (TDWG).
@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("1963-03-08T14:07-06:00", (3, "1963-03-08")),
        ("2009-02-20T08:40Z", (2, "2009-02-20")),
        ("2018-08-29T15:19", (8, "2018-08-29")),
        ("1809-02-12", (2, "1809-02-12")),
        ("1906-06", (6, "1906-06-30")),
        ("1971", d.NO_MONTH),
        ("2007-03-01T13:00:00Z/2008-05-11T15:30:00Z", d.NO_MONTH),
        ("1900/1909", d.NO_MONTH),
        ("2007-11-13/15", (11, "2007-11-15")),
    ],
)
def test_examples_of_the_standard(text: str, found: tuple[int, str] | str) -> None:
    assert asked(text) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("20070503", (5, "2007-05-03")),
        ("2007-123", (5, "2007-05-03")),
        ("2007-W18-4", (5, "2007-05-03")),
        ("2007-05-03 14:00:00", (5, "2007-05-03")),
        ("2007-05-03T08:00/09:30", (5, "2007-05-03")),
        ("2007-05-28/06-04", (5, "2007-06-04")),
        ("2007-05/06", d.NO_MONTH),
        ("2007-05-03/2007-05-01", d.BACKWARDS),
        ("2026-11", (11, "2026-11-28")),
        ("2026-11-29", (11, "2026-11-29")),
        ("2026-11-30", d.TO_COME),
        ("1599-12-31", d.TOO_OLD),
        ("2007-13", d.UNREADABLE),
        ("2007-02-30", d.UNREADABLE),
        ("2007-366", d.UNREADABLE),
        ("03/08/1963", d.UNREADABLE),
        ("Tue Apr 01 00:00:00 CET 1930", d.UNREADABLE),
        ("2007-05-03/", d.UNREADABLE),
        ("  ", d.NO_DATE),
    ],
)
def test_other_forms_of_iso_8601_and_none(text: str, found: tuple[int, str] | str) -> None:
    assert asked(text) == found


def test_year_month_and_day_help_out() -> None:
    assert asked("", "1963", "3", "8") == (3, "1963-03-08")
    assert asked("08.03.1963", "1963", "3", "8") == (3, "1963-03-08")
    assert asked("1963", "1963", "3", "") == (3, "1963-03-31")
    assert asked("1963", "1963", "", "") == d.NO_MONTH
    assert asked("1963-04-01", "1963", "3", "8") == (4, "1963-04-01")
    assert asked("", "1963.0", "3.0", "8.0") == (3, "1963-03-08")
    assert asked("", "nan", "inf", "") == d.NO_DATE
    assert asked("", "1963", "13", "") == d.NO_DATE


days = st.dates(date(1600, 1, 1), TODAY)


@given(days, st.sampled_from(["%Y-%m-%d", "%Y%m%d", "%Y-%j", "%Y-%m-%dT10:11:12Z"]))
def test_every_day_is_read_back(day: date, form: str) -> None:
    assert asked(day.strftime(form).rjust(len("2000")), "", "", "") == (day.month, day.isoformat())


@given(days, st.integers(0, 400))
def test_a_span_counts_for_the_month_in_which_it_begins_or_for_none(day: date, length: int) -> None:
    last = min(day + timedelta(days=length), TODAY)
    found = asked(f"{day.isoformat()}/{last.isoformat()}")
    long = (last - day) >= d.LONGEST
    assert found == (d.NO_MONTH if long else (day.month, last.isoformat()))


@given(st.text(max_size=30), st.text(max_size=5), st.text(max_size=5), st.text(max_size=5))
def test_any_text_is_a_date_or_is_not(text: str, year: str, month: str, day: str) -> None:
    found = d.month_and_day(text, year, month, day, TODAY)
    if not isinstance(found, str):
        assert 1 <= found[0] <= 12
        assert found[1] <= TODAY.toordinal() + 1

"""The gathering year shows each window in the months that it touches, and nothing twice."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.planning.gathering.windows import gathering_year
from tanwright.reference.seasons import windows_for

IDS = ("quercus-robur-bark", "rhus-typhina-leaf", "schinopsis-balansae-wood", "shorea-robusta-bark")


def test_months_are_those_that_windows_touch() -> None:
    year = gathering_year(IDS, 2026)
    assert [month.number for month in year.months] == list(range(1, 13))
    for window in windows_for("quercus-robur-bark", latitude=None, year=2026):
        touched = {
            (day.year, day.month)
            for day in (
                window.start + timedelta(days=step)
                for step in range((window.end - window.start).days + 1)
            )
        }
        shown = {
            (month.year, month.number)
            for month in year.months
            if any(each.window == window for each in month.open)
        }
        assert shown == {(y, m) for y, m in touched if y == 2026}


def test_opening_and_closing_are_told_once() -> None:
    year = gathering_year(["quercus-robur-bark"], 2026)
    best = [each for month in year.months for each in month.open if each.window.best]
    assert [(each.opens, each.closes) for each in best] == [
        (True, False),
        (False, False),
        (False, True),
    ]
    assert year.months[3].name == "April 2026"


def test_winter_bark_of_the_year_before_is_shown_in_january() -> None:
    year = gathering_year(["quercus-robur-bark"], 2026)
    assert [each.window.what for each in year.months[0].open] == ["winter bark, held fast"]


def test_what_has_no_dates_is_told_apart() -> None:
    year = gathering_year([*IDS, IDS[0]], 2026)
    assert len(year.any_time) == 1
    assert len(year.in_words) == 1
    assert all(not any(each.window.all_year for each in month.open) for month in year.months)


def test_the_year_may_begin_with_this_month() -> None:
    months = gathering_year(IDS, 2026, first_month=11).months
    assert (months[0].year, months[0].number) == (2026, 11)
    assert (months[-1].year, months[-1].number) == (2027, 10)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(UnknownMaterialError):
        gathering_year(["no-such-bark"], 2026)
    with pytest.raises(InputError):
        gathering_year(IDS, 2026, latitude=200.0)
    with pytest.raises(InputError, match="the year 99999"):
        gathering_year(IDS, 99999)

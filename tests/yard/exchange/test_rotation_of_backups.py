"""Which backups are kept: close together lately, further apart long ago."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.yard.exchange.backing_up import backups, rotate
from tanwright.yard.exchange.rotation import kept

NOON = datetime(2026, 11, 25, 12)


def test_a_year_of_daily_backups_keeps_days_weeks_and_months() -> None:
    times = [NOON - timedelta(days=day) for day in range(400)]
    keep = kept(times)
    assert {NOON - timedelta(days=day) for day in range(7)} <= keep
    assert len(keep) <= 7 + 4 + 12
    assert min(keep) < NOON - timedelta(days=320)


def test_of_several_on_one_day_the_newest_is_kept() -> None:
    assert kept([NOON, NOON - timedelta(hours=3)]) == {NOON}


def test_a_yard_left_alone_keeps_what_it_has() -> None:
    old = [NOON - timedelta(days=1000 + day) for day in range(5)]
    assert kept(old) == set(old)


@given(st.sets(st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1)), max_size=60))
def test_the_newest_is_always_kept_and_keeping_twice_lets_nothing_more_go(
    times: set[datetime],
) -> None:
    keep = kept(times)
    assert keep <= times
    assert kept(keep) == keep
    if times:
        assert max(times) in keep


@pytest.mark.django_db
def test_only_the_yards_own_archives_are_deleted(settings: Any) -> None:
    folder = Path(settings.BACKUP_FOLDER)
    folder.mkdir(parents=True)
    for hour in (8, 9):
        (folder / f"yard-2026-11-25-{hour:02d}0000.backup.zip").write_bytes(b"x")
    for name in ("yard-of-mine.zip", "yard-2026-13-45-000000.backup.zip", "notes.txt"):
        (folder / name).write_bytes(b"mine")
    assert [path.name for path in rotate()] == ["yard-2026-11-25-080000.backup.zip"]
    assert [backup.path.name for backup in backups()] == ["yard-2026-11-25-090000.backup.zip"]
    assert (folder / "yard-of-mine.zip").exists()
    assert (folder / "notes.txt").exists()

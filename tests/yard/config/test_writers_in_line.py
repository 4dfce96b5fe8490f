"""Writers of one process wait in line for SQLite, and a turn always ends."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connections

from tanwright.yard.config.sqlite.base import DatabaseWrapper, _turns

pytestmark = pytest.mark.django_db  # what lets any connection be opened at all

Opener = Callable[[], DatabaseWrapper]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "line.sqlite3"


@pytest.fixture
def opened(file: Path) -> Opener:
    """Opens a connection of its own, as each thread of the server has one."""
    options = {"transaction_mode": "IMMEDIATE", "timeout": 0.2}
    settings = {**connections["default"].settings_dict, "NAME": file, "OPTIONS": options}

    def one() -> DatabaseWrapper:
        return DatabaseWrapper(settings, alias="line")

    first = one()
    with first.cursor() as cursor:
        cursor.execute("PRAGMA journal_mode=WAL")
        cursor.execute("CREATE TABLE noted (name TEXT)")
    first.close()
    return one


def begin(writer: DatabaseWrapper) -> None:
    """As ``transaction.atomic`` begins its outermost block."""
    writer.set_autocommit(False, force_begin_transaction_with_broken_autocommit=True)


def test_a_turn_ends_with_commit_rollback_and_a_closed_connection(
    opened: Opener, file: Path
) -> None:
    writer, turn = opened(), _turns[str(file)]
    for end in (writer.commit, writer.rollback, writer.close):
        writer.ensure_connection()
        begin(writer)
        assert turn.locked()
        end()
        assert not turn.locked()
        writer.close()


def test_many_writers_each_get_their_turn_though_sqlite_would_send_them_away(
    opened: Opener, file: Path
) -> None:
    # Twelve writers who each hold it for 0.05 s: the last waits longer than SQLite's 0.2 s.
    failed: list[Exception] = []
    done = threading.Event()

    def write(number: int) -> None:
        writer = opened()
        try:
            writer.ensure_connection()
            begin(writer)
            with writer.cursor() as cursor:
                cursor.execute("INSERT INTO noted VALUES (%s)", [f"person {number}"])
                done.wait(0.05)
            writer.commit()
        except Exception as error:
            failed.append(error)
        finally:
            writer.close()

    threads = [threading.Thread(target=write, args=(number,)) for number in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    assert failed == []
    reader = opened()
    with reader.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM noted")
        assert cursor.fetchone() == (12,)
    reader.close()
    assert not _turns[str(file)].locked()


def test_reading_needs_no_turn(opened: Opener, file: Path) -> None:
    reader = opened()
    with _turns[str(file)], reader.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM noted")
        assert cursor.fetchone() == (0,)
    reader.close()

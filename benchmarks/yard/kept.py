"""What is really in a yard's database, read past the program."""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

DATABASE = "yard.sqlite3"


def faults(yard: Path) -> list[str]:
    """What SQLite's own checks find; empty when the database is sound."""
    with closing(sqlite3.connect(yard / DATABASE)) as database:
        found = [row[0] for row in database.execute("PRAGMA integrity_check")]
        broken = database.execute("PRAGMA foreign_key_check").fetchall()
    return [line for line in found if line != "ok"] + [f"no such parent: {row}" for row in broken]


def lost(yard: Path, acknowledged: Iterable[uuid.UUID]) -> list[uuid.UUID]:
    """Of the entries that the yard said it kept, those that are not there."""
    with closing(sqlite3.connect(yard / DATABASE)) as database:
        there = {row[0] for row in database.execute("SELECT id FROM journal_entry")}
    return [id for id in acknowledged if id.hex not in there]


def ids(yard: Path, query: str) -> list[uuid.UUID]:
    """Ids that ``query`` selects."""
    with closing(sqlite3.connect(yard / DATABASE)) as database:
        return [uuid.UUID(row[0]) for row in database.execute(query)]

"""What is looked at when the yard starts and by ``tanwright doctor``: each with an id and a cure.

Nothing here stops the yard; what must not be is refused by :mod:`tanwright.yard.config.starting`.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.checks import CheckMessage, Tags, Warning, register
from django.db import DatabaseError, connection

LEAST_FREE_BYTES: Final = 500_000_000
OLDEST_BACKUP: Final = timedelta(days=3)
_PROGRAM_MADE: Final = datetime(2026, 11, 1, tzinfo=UTC)
"""No clock that is right stands before the day this program was written."""

Look = Callable[[], CheckMessage | None]


@dataclass(frozen=True)
class Check:
    """One thing looked at: what it is called when it is well, and what finds it unwell."""

    id: str
    well: str
    look: Look
    needs_database: bool = False


def folder_writable() -> CheckMessage | None:
    folder: Path = settings.YARD_FOLDER
    if os.access(folder, os.W_OK | os.X_OK):
        return None
    return Warning(
        f"The yard's folder {folder} cannot be written; nothing can be noted.",
        hint="Give the person who runs the yard the right to write there, or name another folder "
        "with --yard.",
        id="tanwright.W001",
    )


def folder_private() -> CheckMessage | None:
    """Private keys and the secret of the sessions are nobody else's to read."""
    folder: Path = settings.YARD_FOLDER
    private = [folder / "secret-key", *(folder / "certificate").glob("*.key")]
    try:
        open_ones = [path for path in private if path.exists() and path.stat().st_mode & 0o077]
    except OSError:
        return None
    if not open_ones or os.name == "nt":
        return None
    return Warning(
        f"Others on this machine can read {', '.join(path.name for path in open_ones)}.",
        hint=f"chmod 600 {' '.join(str(path) for path in open_ones)}",
        id="tanwright.W002",
    )


def disk_space() -> CheckMessage | None:
    try:
        free = shutil.disk_usage(settings.YARD_FOLDER).free
    except OSError:
        return None
    if free >= LEAST_FREE_BYTES:
        return None
    return Warning(
        f"Only {free / 1e6:.0f} MB are free where the yard is kept.",
        hint="Remove old backups from another disk's copy, or move the yard with --yard.",
        id="tanwright.W003",
    )


def clock_sane() -> CheckMessage | None:
    now = datetime.now(UTC)
    if now > _PROGRAM_MADE:
        return None
    return Warning(
        f"This machine's clock says {now:%d %B %Y}, before this program was made.",
        hint="Set the clock: every entry and every forecast is dated by it.",
        id="tanwright.W004",
    )


def phones_safe() -> CheckMessage | None:
    if not settings.LAN or settings.HTTPS:
        return None
    return Warning(
        "The yard is open to the network without a certificate: others in it can read along, and "
        "a phone cannot open the shed page without signal.",
        hint="Start it without --no-certificate.",
        id="tanwright.W005",
    )


def database_reachable() -> CheckMessage | None:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError as error:
        return Warning(
            f"The database does not answer ({' '.join(str(error).split())}).",
            hint="Look at TANWRIGHT_DATABASE, and whether the database server runs.",
            id="tanwright.W006",
        )
    return None


def journal_ahead() -> CheckMessage | None:
    """SQLite keeps a write-ahead log; without it a reader would hold up a writer."""
    if connection.vendor != "sqlite":
        return None
    try:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA journal_mode")
            mode = cursor.fetchone()[0]
    except DatabaseError:
        return None  # told by database_reachable
    if mode in ("wal", "memory"):
        return None
    return Warning(
        f'The database keeps no write-ahead log (it is in "{mode}" mode).',
        hint="Keep the yard on a disk of this machine, not on a network drive.",
        id="tanwright.W007",
    )


def backup_recent() -> CheckMessage | None:
    from tanwright.yard.exchange.backing_up import backups

    made = [backup.path.stat().st_mtime for backup in backups()]
    database = Path(settings.YARD_FOLDER) / "yard.sqlite3"
    if not made and (not database.exists() or _age(_begun(database)) < OLDEST_BACKUP):
        return None
    if made and _age(max(made)) < OLDEST_BACKUP:
        return None
    last = f"{datetime.fromtimestamp(max(made)):%d %B %Y}" if made else "never"
    return Warning(
        f"The last backup was made: {last}.",
        hint="tanwright backup; and copy one to another disk now and then.",
        id="tanwright.W008",
    )


def _begun(database: Path) -> float:
    """When the yard began: its secret key is written once, on the first start."""
    key = database.with_name("secret-key")
    return (key if key.exists() else database).stat().st_mtime


def _age(stamp: float) -> timedelta:
    return datetime.now(UTC) - datetime.fromtimestamp(stamp, UTC)


CHECKS: Final[Sequence[Check]] = (
    Check("tanwright.W001", "the folder can be written", folder_writable),
    Check("tanwright.W002", "keys are private", folder_private),
    Check("tanwright.W003", "there is room on the disk", disk_space),
    Check("tanwright.W004", "the clock is sane", clock_sane),
    Check("tanwright.W005", "phones are served safely", phones_safe),
    Check("tanwright.W006", "the database answers", database_reachable, needs_database=True),
    Check("tanwright.W007", "the write-ahead log is on", journal_ahead, needs_database=True),
    Check("tanwright.W008", "a backup is recent", backup_recent),
)


def register_all() -> None:
    """Hang every check on Django's own list (``check``, ``check --deploy``, ``migrate``)."""
    for check in CHECKS:
        register(_for_django(check), *([Tags.database] if check.needs_database else []))


def _for_django(check: Check) -> Any:
    def looked(**kwargs: Any) -> list[CheckMessage]:
        found = check.look()
        return [] if found is None else [found]

    looked.__name__ = check.look.__name__
    return looked

"""A backup: one dated archive with the database, the photos and the checksums of both."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
import tempfile
import time
import zipfile
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.exchange.archive import (
    DATABASE,
    FORMAT,
    FORMAT_VERSION,
    MANIFEST,
    PHOTOS,
    cannot_write,
    program,
    put_down,
    room_for,
    sha256_of,
)
from tanwright.yard.exchange.package import export
from tanwright.yard.exchange.rotation import kept

_NAME: Final = re.compile(r"yard-(\d{4}-\d{2}-\d{2}-\d{6})\.(?:backup|package)\.zip")
_STAMP: Final = "%Y-%m-%d-%H%M%S"
MOST_WAIT_S: Final = 30.0


@dataclass(frozen=True)
class Backup:
    """An archive in the folder of backups, and when it was made (local time)."""

    path: Path
    made_at: datetime
    size: int


def make_backup(to: Path | None = None) -> Backup:
    """Make a backup into ``to`` (a folder or a file name), or into the yard's own folder.

    The yard may be in use: SQLite copies a state that is whole. Only archives in the yard's own
    folder are rotated. On PostgreSQL the archive is an export package instead, for the server's
    own tools do that work better.

    Raises
    ------
    InputError
        When the disk refuses, or the copy does not pass SQLite's own check.
    """
    now = timezone.localtime()
    target = _target(to, now)
    if not is_sqlite():
        export(target)
    else:
        _archive_sqlite(target, now)
    if target.parent == settings.BACKUP_FOLDER:
        rotate()
    return Backup(target, now, target.stat().st_size)


def backups() -> list[Backup]:
    """The archives in the yard's own folder, newest first."""
    folder: Path = settings.BACKUP_FOLDER
    if not folder.is_dir():
        return []
    found = []
    for path in folder.iterdir():
        if made_at := _made_at(path.name):
            found.append(Backup(path, made_at, path.stat().st_size))
    return sorted(found, key=lambda backup: backup.made_at, reverse=True)


def rotate() -> list[Path]:
    """Delete the archives that the rotation lets go; other files in the folder are not touched."""
    present = backups()
    keep = kept(backup.made_at for backup in present)
    gone = [backup.path for backup in present if backup.made_at not in keep]
    for path in gone:
        path.unlink(missing_ok=True)
    return gone


def is_sqlite() -> bool:
    """Whether the yard is kept in a file of its own."""
    return connection.vendor == "sqlite"


def database_bytes() -> int:
    """Size of the SQLite database."""
    with connection.cursor() as cursor:
        pages = cursor.execute("PRAGMA page_count").fetchone()[0]
        return int(pages) * int(cursor.execute("PRAGMA page_size").fetchone()[0])


def copy_database(target: Path) -> None:
    """Copy the SQLite database while it is in use and check the copy. Raises InputError."""
    connection.ensure_connection()
    try:
        with closing(sqlite3.connect(target)) as copy:
            connection.connection.backup(copy, pages=1024, progress=_patience(), sleep=0.1)
            # The copy stands alone: no side files belong to it.
            copy.execute("PRAGMA journal_mode=DELETE")
            check_integrity(copy, "the copy of the database")
    except sqlite3.OperationalError as error:
        raise InputError(
            f"the database could not be copied ({error})",
            place=str(target.parent),
            remedy="see that the disk has room and nothing else holds the database, then try again",
        ) from None


def _patience() -> Callable[[int, int, int], None]:
    """Give up on a database that stays locked; Python would try for ever."""
    last_step = time.monotonic()

    def look(status: int, remaining: int, total: int) -> None:
        nonlocal last_step
        if status not in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            last_step = time.monotonic()
        elif time.monotonic() - last_step > MOST_WAIT_S:
            raise sqlite3.OperationalError("it stays locked")

    return look


def check_integrity(database: sqlite3.Connection, what: str) -> None:
    """SQLite's own check of structure and references. Raises InputError."""
    told = [row[0] for row in database.execute("PRAGMA integrity_check(5)")]
    if told != ["ok"]:
        raise InputError(
            f"{what} is damaged: {told[0]}", place="database", remedy="restore an earlier backup"
        )
    if broken := database.execute("PRAGMA foreign_key_check").fetchone():
        raise InputError(
            f"{what} has a row of {broken[0]} that points to nothing",
            place="database",
            remedy="restore an earlier backup",
        )


def _archive_sqlite(target: Path, now: datetime) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        room_for(target.parent, 2 * database_bytes())
        workroom = tempfile.TemporaryDirectory(prefix=".copy-", dir=target.parent)
    except OSError as error:
        raise cannot_write(target, error) from None
    with workroom as folder:
        copy = Path(folder) / DATABASE
        copy_database(copy)
        with put_down(target) as file:
            _fill(file, copy, now)


def _fill(file: Any, copy: Path, now: datetime) -> None:
    files: dict[str, dict[str, Any]] = {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        files[DATABASE] = _add(archive, DATABASE, copy)
        photos: Path = settings.PHOTO_FOLDER
        for path in sorted(photos.rglob("*")) if photos.is_dir() else ():
            if path.is_file():
                name = f"{PHOTOS}/{path.relative_to(photos).as_posix()}"
                files[name] = _add(archive, name, path)
        manifest = {
            "format": FORMAT,
            "format_version": FORMAT_VERSION,
            "made_at": now.isoformat(timespec="seconds"),
            "tanwright": program(),
            "migrations": sorted(
                f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations()
            ),
            "files": files,
        }
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1, ensure_ascii=False))


def _add(archive: zipfile.ZipFile, name: str, path: Path) -> dict[str, Any]:
    with path.open("rb") as source:
        digest, size = sha256_of(source)
        source.seek(0)
        info = zipfile.ZipInfo.from_file(path, name, strict_timestamps=False)
        # Photos are packed already.
        info.compress_type = zipfile.ZIP_STORED if name != DATABASE else zipfile.ZIP_DEFLATED
        with archive.open(info, "w") as part:
            shutil.copyfileobj(source, part, 1 << 20)
    return {"sha256": digest, "bytes": size}


def _target(to: Path | None, now: datetime) -> Path:
    end = "backup" if is_sqlite() else "package"
    name = f"yard-{now.strftime(_STAMP)}.{end}.zip"
    if to is None:
        return Path(settings.BACKUP_FOLDER) / name
    to = to.expanduser()
    return to / name if to.is_dir() or not to.suffix else to


def _made_at(name: str) -> datetime | None:
    found = _NAME.fullmatch(name)
    if not found:
        return None
    try:
        made = datetime.strptime(found[1], _STAMP)
    except ValueError:
        return None
    return timezone.make_aware(made)

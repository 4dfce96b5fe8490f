"""Restoring a backup: checked first, put in place as a whole, with the present yard kept aside."""

from __future__ import annotations

import json
import os
import re
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.exchange.archive import (
    DATABASE,
    FORMAT,
    FORMAT_VERSION,
    MANIFEST,
    PHOTOS,
    cannot_write,
    settle,
    sha256_of,
)
from tanwright.yard.exchange.backing_up import check_integrity, is_sqlite
from tanwright.yard.exchange.opening import unpack
from tanwright.yard.exchange.swapping import begin_swap, finish_swap

_PHOTO: Final = re.compile(rf"{PHOTOS}/[^\x00]+")


@dataclass(frozen=True)
class Checked:
    """A backup that passed every check."""

    made_at: datetime
    tanwright: str
    photos: int
    entries: int


@dataclass(frozen=True)
class Restored:
    """What was put in place, and the folder in which the yard as it was before is kept."""

    backup: Checked
    aside: Path | None


def check_backup(path: Path) -> Checked:
    """Check the archive at ``path`` without touching the yard. Raises InputError."""
    with _unpacked(path) as folder:
        return _checked(folder, path)


def restore(path: Path) -> Restored:
    """Put the backup at ``path`` in the place of the present yard, which is kept beside it.

    Checks checksums, SQLite's integrity and that this program knows every migration in it; brings
    an older database up to date before it takes the place; refuses while the yard is in use.  When
    the machine stops in the middle, the next start of the yard finishes the exchange.

    Raises
    ------
    InputError
        When anything is not as it should be; the present yard is then as it was.
    """
    if not is_sqlite():
        raise InputError(
            "a yard on PostgreSQL is not restored from a file of SQLite",
            place=str(path),
            remedy="take an export package with tanwright import, or the server's own tools",
        )
    yard = Path(settings.YARD_FOLDER)
    if Path(settings.DATABASES["default"]["NAME"]) != yard / DATABASE:
        raise InputError(
            "the database of this yard is not in its folder",
            place="TANWRIGHT_DATABASE",
            remedy="restore into a folder with --yard and without this variable, then move it",
        )
    with _unpacked(path) as folder:
        backup = _checked(folder, path)
        _bring_up_to_date(folder / DATABASE)
        (folder / PHOTOS).mkdir(exist_ok=True)
        stop_if_in_use()
        connection.close()
        stamp = timezone.localtime().strftime("%Y-%m-%d-%H%M%S")
        aside = begin_swap(yard, folder, stamp)
        finish_swap(yard)
    return Restored(backup, aside)


def stop_if_in_use() -> None:
    """Raises InputError while another process has the database open.

    Leaving the WAL mode needs the file for oneself, so SQLite tells; it also folds the log back
    into the one file that is set aside.
    """
    name = Path(settings.DATABASES["default"]["NAME"])
    if not name.exists():
        return
    connection.close()
    try:
        with closing(sqlite3.connect(name, timeout=0.5)) as database:
            database.execute("PRAGMA journal_mode=DELETE").fetchone()
            database.execute("BEGIN EXCLUSIVE")
            database.execute("ROLLBACK")
    except sqlite3.OperationalError:
        raise InputError(
            "the yard is in use",
            place=str(name.parent),
            remedy="stop tanwright serve (and whatever else has it open) and try again",
        ) from None
    except sqlite3.DatabaseError:
        return  # A broken database is what a restore is for.


@contextmanager
def _unpacked(path: Path) -> Iterator[Path]:
    """The archive in a folder inside the yard's own, on the same disk; gone afterwards."""
    yard = Path(settings.YARD_FOLDER)
    try:
        room = tempfile.TemporaryDirectory(prefix=".restore-", dir=yard)
    except OSError as error:
        raise cannot_write(yard, error) from None
    with room as folder:
        unpack(path, Path(folder), _belongs)
        yield Path(folder)


def _belongs(name: str) -> bool:
    return (
        name in (MANIFEST, DATABASE, "datapackage.json")
        or name.startswith("data/")
        or bool(_PHOTO.fullmatch(name))
    )


def _checked(folder: Path, path: Path) -> Checked:
    manifest = _manifest(folder, path)
    _checksums(folder, manifest, path)
    _known_migrations(manifest, path)
    with closing(sqlite3.connect(folder / DATABASE)) as database:
        try:
            check_integrity(database, "the database in the backup")
            entries = database.execute("SELECT COUNT(*) FROM journal_entry").fetchone()[0]
        except sqlite3.DatabaseError as error:
            raise _not_usable(path, f"its database cannot be read ({error})") from None
    photos = sum(name.startswith(f"{PHOTOS}/") for name in manifest["files"])
    made_at = datetime.fromisoformat(manifest["made_at"])
    return Checked(made_at, str(manifest["tanwright"]), photos, entries)


def _manifest(folder: Path, path: Path) -> dict[str, Any]:
    if (folder / "datapackage.json").exists():
        raise InputError(
            "this is an export package, not a backup",
            place=str(path),
            remedy="take it in with tanwright import",
        )
    try:
        told = json.loads((folder / MANIFEST).read_text("utf-8"))
        datetime.fromisoformat(told["made_at"])
        whole = told["format"] == FORMAT and {"tanwright", "migrations", "files"} <= told.keys()
        newer = int(told["format_version"]) > FORMAT_VERSION
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        raise _not_usable(path, "it has no manifest that can be read") from None
    if not whole or not isinstance(told["files"], dict):
        raise _not_usable(path, "it is no backup of a yard")
    if newer:
        raise _newer(path)
    return told


def _checksums(folder: Path, manifest: dict[str, Any], path: Path) -> None:
    present = {
        file.relative_to(folder).as_posix() for file in folder.rglob("*") if file.is_file()
    } - {MANIFEST}
    listed = set(manifest["files"])
    if DATABASE not in listed:
        raise _not_usable(path, "it has no database")
    if present != listed:
        odd = sorted(present ^ listed)[0]
        raise _not_usable(path, f'"{odd}" is missing, or is not in the manifest')
    for name, told in manifest["files"].items():
        with (folder / name).open("rb") as file:
            digest, _ = sha256_of(file)
        if not isinstance(told, dict) or digest != told.get("sha256"):
            raise _not_usable(path, f'"{name}" is not what it was when the backup was made')


def _known_migrations(manifest: dict[str, Any], path: Path) -> None:
    known = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    ours = {name.split(".")[0] for name in known}
    if any(
        name not in known for name in map(str, manifest["migrations"]) if name.split(".")[0] in ours
    ):
        raise _newer(path)


def _bring_up_to_date(database: Path) -> None:
    """Apply the migrations that came after the backup, on the copy that is not in place yet."""
    connections.settings["staged"] = {
        **connections.settings["default"],
        "NAME": str(database),
        "OPTIONS": {"transaction_mode": "IMMEDIATE"},
    }
    try:
        call_command("migrate", database="staged", verbosity=0, interactive=False)
    finally:
        connections["staged"].close()
        del connections["staged"]
        del connections.settings["staged"]
    with database.open("rb") as file:
        os.fsync(file.fileno())
    settle(database.parent)


def _not_usable(path: Path, what: str) -> InputError:
    return InputError(what, place=str(path), remedy="take another backup; the yard is as it was")


def _newer(path: Path) -> InputError:
    return InputError(
        "it was made by a newer tanwright than this one",
        place=str(path),
        remedy="install that version, then restore it again",
    )

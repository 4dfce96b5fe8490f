"""Making a backup: what is in it, who may, and what a disk that refuses is told as."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.exchange import archive, backing_up, daily
from tanwright.yard.exchange.backing_up import backups, make_backup
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person

from .conftest import files_of

pytestmark = pytest.mark.django_db(transaction=True)


def test_it_holds_the_database_the_photos_and_their_checksums(
    full_yard: Person, tmp_path: Path
) -> None:
    made = make_backup()
    files = files_of(made.path)
    manifest = json.loads(files.pop("manifest.json"))
    assert set(manifest["files"]) == set(files)
    assert "photos/2026/11/one.jpg" in files
    for name, content in files.items():
        assert hashlib.sha256(content).hexdigest() == manifest["files"][name]["sha256"]
    (tmp_path / "copy.sqlite3").write_bytes(files["yard.sqlite3"])
    with closing(sqlite3.connect(tmp_path / "copy.sqlite3")) as copy:
        count = copy.execute("SELECT COUNT(*) FROM journal_entry").fetchone()[0]
        assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert count == Entry.objects.count() > 0


def test_only_its_owner_may_read_it(full_yard: Person) -> None:
    assert make_backup().path.stat().st_mode & 0o077 == 0


def test_it_goes_where_it_is_told_to_and_nothing_there_is_rotated(
    full_yard: Person, tmp_path: Path
) -> None:
    elsewhere = tmp_path / "stick"
    first, second = make_backup(elsewhere), make_backup(elsewhere / "named.zip")
    assert first.path.parent == elsewhere
    assert second.path.name == "named.zip"
    assert backups() == []


def test_a_full_disk_leaves_no_half_archive(
    full_yard: Person, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(archive.os, "fsync", full)
    with pytest.raises(InputError, match="free some space"):
        make_backup()
    assert list(Path(settings.BACKUP_FOLDER).iterdir()) == []


def test_too_little_room_is_told_before_anything_is_begun(
    full_yard: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backing_up, "database_bytes", lambda: 10**18)
    with pytest.raises(InputError, match="the disk has"):
        make_backup()


def test_a_damaged_copy_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "broken.sqlite3"
    with closing(sqlite3.connect(path)) as database:
        database.execute("CREATE TABLE parent (id INTEGER PRIMARY KEY)")
        database.execute("CREATE TABLE child (parent INTEGER REFERENCES parent (id))")
        database.execute("INSERT INTO child VALUES (5)")
        database.commit()
        with pytest.raises(InputError, match="points to nothing"):
            backing_up.check_integrity(database, "the copy")


def test_the_daily_backup_is_made_only_when_the_last_is_a_day_old(
    full_yard: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert daily.once() is not None
    assert daily.once() is None
    later = timezone.now() + timedelta(hours=24, minutes=1)
    monkeypatch.setattr(daily.timezone, "now", lambda: later)
    assert daily.once() is not None


def test_a_daily_backup_that_fails_is_logged_and_tried_again(
    full_yard: Person, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def refuse() -> None:
        raise InputError("the disk is full", place="disk")

    monkeypatch.setattr(daily, "make_backup", refuse)
    assert daily.once() is None
    assert "the disk is full" in caplog.text
    assert daily.due()


def test_starting_the_daily_thread_twice_starts_one(monkeypatch: pytest.MonkeyPatch) -> None:
    stop = threading.Event()
    monkeypatch.setattr(daily, "_run", stop.wait)
    monkeypatch.setattr(daily, "_thread", None)
    daily.start()
    first = daily._thread
    daily.start()
    assert daily._thread is first
    stop.set()


def test_a_keeper_makes_one_and_downloads_it(
    full_yard: Person, client_of: Callable[[Person | None], Client], on_network: None
) -> None:
    client = client_of(full_yard)
    answer = client.post("/keeping/back-up/", follow=True)
    assert "Backup made" in answer.content.decode()
    name = backups()[0].path.name
    assert name in client.get("/keeping/").content.decode()
    got = client.get(f"/keeping/backups/{name}")
    assert b"".join(got.streaming_content) == backups()[0].path.read_bytes()  # type: ignore[attr-defined]
    assert client.get("/keeping/back-up/").status_code == 405


@pytest.mark.parametrize(
    "name", ["..%2Fsecret-key", "secret-key", "yard-2026-01-01-000000.backup.zip", "%00"]
)
def test_no_other_file_can_be_had(
    name: str, full_yard: Person, client_of: Callable[[Person | None], Client], on_network: None
) -> None:
    assert client_of(full_yard).get(f"/keeping/backups/{name}").status_code == 404


@pytest.mark.parametrize(
    ("method", "url"),
    [
        ("get", "/keeping/"),
        ("post", "/keeping/back-up/"),
        ("post", "/keeping/export/"),
        ("post", "/keeping/demo/"),
        ("get", "/keeping/backups/yard-2026-01-01-000000.backup.zip"),
    ],
)
def test_neither_a_helper_nor_a_stranger_may(
    method: str,
    url: str,
    helper: Person,
    client_of: Callable[[Person | None], Client],
    on_network: None,
) -> None:
    assert getattr(client_of(helper), method)(url).status_code == 403
    answer = getattr(client_of(None), method)(url)
    assert answer.status_code == 302
    assert "sign-in" in answer["Location"]
    assert backups() == []


def test_the_page_tells_a_refusal_in_words(
    full_yard: Person,
    client_of: Callable[[Person | None], Client],
    monkeypatch: pytest.MonkeyPatch,
    on_network: None,
) -> None:
    monkeypatch.setattr(backing_up, "database_bytes", lambda: 10**18)
    page = client_of(full_yard).post("/keeping/back-up/", follow=True).content.decode()
    assert "No backup was made" in page
    assert "free some space" in page

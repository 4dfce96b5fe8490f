"""Each of the yard's own checks finds what it is for, and is quiet when all is well."""

from __future__ import annotations

import errno
import os
import socket
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from django.core.checks import run_checks

from tanwright.errors import InputError
from tanwright.yard.config import checks, network, starting


@pytest.fixture(autouse=True)
def yard(settings: Any, tmp_path: Path) -> Path:
    settings.YARD_FOLDER = tmp_path
    return tmp_path


class Disk(NamedTuple):
    total: int
    used: int
    free: int


def test_a_yard_that_is_well(yard: Path, db: None) -> None:
    assert [check.id for check in checks.CHECKS if check.look() is not None] == []


def test_each_has_its_own_id_and_django_runs_it(db: None) -> None:
    ids = [check.id for check in checks.CHECKS]
    assert len(set(ids)) == len(ids)
    assert run_checks(databases=["default"]) == []


def test_a_folder_that_cannot_be_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda *told: False)
    assert "cannot be written" in found(checks.folder_writable())


def test_keys_that_others_can_read(yard: Path) -> None:
    (yard / "secret-key").write_text("x")
    (yard / "secret-key").chmod(0o644)
    assert "secret-key" in found(checks.folder_private())
    (yard / "secret-key").chmod(0o600)
    assert checks.folder_private() is None


def test_a_disk_that_is_nearly_full(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checks.shutil, "disk_usage", lambda folder: Disk(9, 9, 12_000_000))
    assert "Only 12 MB" in found(checks.disk_space())


def test_a_clock_that_began_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    class Reset(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Reset:
            return cls(1970, 1, 2, tzinfo=UTC)

    monkeypatch.setattr(checks, "datetime", Reset)
    assert "02 January 1970" in found(checks.clock_sane())


def test_phones_without_a_certificate(settings: Any) -> None:
    settings.LAN, settings.HTTPS = True, False
    assert "without a certificate" in found(checks.phones_safe())


def test_a_database_that_does_not_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    class Silent:
        vendor = "sqlite"

        def cursor(self) -> Any:
            raise checks.DatabaseError("no\nanswer")

    monkeypatch.setattr(checks, "connection", Silent())
    assert "(no answer)" in found(checks.database_reachable())
    assert checks.journal_ahead() is None


def test_a_database_without_its_write_ahead_log(monkeypatch: pytest.MonkeyPatch) -> None:
    class Old:
        vendor = "sqlite"

        def cursor(self) -> Any:
            return self

        def __enter__(self) -> Old:
            return self

        def __exit__(self, *told: object) -> None:
            return None

        def execute(self, asked: str) -> None:
            assert asked == "PRAGMA journal_mode"

        def fetchone(self) -> tuple[str]:
            return ("delete",)

    monkeypatch.setattr(checks, "connection", Old())
    assert '"delete" mode' in found(checks.journal_ahead())


def test_an_old_yard_that_was_never_backed_up(yard: Path) -> None:
    for name in ("secret-key", "yard.sqlite3"):
        (yard / name).write_text("x")
    assert checks.backup_recent() is None
    os.utime(yard / "secret-key", (1.6e9, 1.6e9))
    assert "never" in found(checks.backup_recent())


@pytest.mark.parametrize(
    ("code", "told"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EDQUOT, "the disk is full"),
        (errno.EROFS, "cannot be written (Read-only file system)"),
        (errno.EACCES, "cannot be written (Permission denied)"),
    ],
)
def test_a_start_on_such_a_disk_is_refused(
    code: int, told: str, yard: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(descriptor: int) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(starting.os, "fsync", fails)
    with pytest.raises(InputError) as refusal:
        starting.check_writable(yard)
    assert told in str(refusal.value)
    assert "\n" not in str(refusal.value)
    assert list(yard.iterdir()) == []


def test_a_machine_without_a_network_is_told(monkeypatch: pytest.MonkeyPatch, yard: Path) -> None:
    monkeypatch.setattr(network, "addresses", list)
    monkeypatch.delenv("TANWRIGHT_HOSTS", raising=False)
    monkeypatch.setenv("TANWRIGHT_YARD", str(yard))
    with pytest.raises(InputError, match="no address in a local network"):
        starting.place(lan=True, port=8000)


def test_addresses_are_those_of_a_network(monkeypatch: pytest.MonkeyPatch) -> None:
    def told(*asked: object) -> list[Any]:
        return [(0, 0, 0, "", (address, 0)) for address in ("127.0.1.1", "192.168.1.20", "0.0.0.0")]

    monkeypatch.setattr(socket, "getaddrinfo", told)
    monkeypatch.setattr(network, "_towards", lambda far: "10.0.0.5")
    assert network.addresses() == ["10.0.0.5", "192.168.1.20"]


@pytest.mark.parametrize(
    ("host", "local"),
    [("Shed-Laptop", "shed-laptop.local"), ("a.b.example", "a.local"), ("ümlaut", "mlaut.local")],
)
def test_the_name_of_the_machine(host: str, local: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: host)
    assert network.local_name() == local


@pytest.mark.parametrize("name", ["a b", "yard..local", "-yard", "http://yard", "", "x" * 300])
def test_what_is_no_host_name(name: str) -> None:
    with pytest.raises(InputError, match="is no host name"):
        network.checked_names([name])


def found(told: Any) -> str:
    assert told is not None
    assert told.hint
    assert told.id.startswith("tanwright.W")
    return str(told.msg)

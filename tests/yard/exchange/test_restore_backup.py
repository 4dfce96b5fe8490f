"""Restoring a backup: with the command itself, for it exchanges files under a database."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from tanwright.errors import InputError
from tanwright.yard.exchange import swapping
from tanwright.yard.exchange.restoring import check_backup

from .conftest import Change, archive_of, files_of

ROOT = Path(__file__).parents[3]


def tanwright(*arguments: object) -> subprocess.CompletedProcess[str]:
    """Run the command; the environment names no yard and no settings."""
    kept = {
        key: value
        for key, value in os.environ.items()
        if not key.startswith(("TANWRIGHT", "DJANGO"))
    }
    return subprocess.run(
        [sys.executable, "-m", "tanwright", *map(str, arguments)],
        capture_output=True,
        text=True,
        env={**kept, "PYTHONPATH": str(ROOT / "src"), "COLUMNS": "400"},
        timeout=120,
        check=False,
    )


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo yard on the disk, with one backup in it."""
    folder = tmp_path_factory.mktemp("yard")
    for command in ("demo", "backup"):
        done = tanwright(command, "--yard", folder)
        assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture(scope="module")
def backup(yard: Path) -> Path:
    return next((yard / "backups").iterdir())


def count(database: Path, table: str = "journal_entry") -> int:
    with closing(sqlite3.connect(database)) as opened:
        return int(opened.execute(f"SELECT COUNT(*) FROM {table}").fetchone()[0])


def test_into_an_empty_folder(backup: Path, yard: Path, tmp_path: Path) -> None:
    done = tanwright("restore", backup, "--yard", tmp_path, "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["entries"] == count(tmp_path / "yard.sqlite3") == count(yard / "yard.sqlite3") > 0


def test_the_present_yard_is_kept_aside(backup: Path, tmp_path: Path) -> None:
    assert tanwright("demo", "--yard", tmp_path).returncode == 0
    with closing(sqlite3.connect(tmp_path / "yard.sqlite3")) as database:
        database.execute("UPDATE journal_record SET name = 'changed since'")
        database.commit()
    done = tanwright("restore", backup, "--yard", tmp_path, "--json")
    assert done.returncode == 0, done.stderr
    aside = Path(json.loads(done.stdout)["kept_aside"])
    with closing(sqlite3.connect(aside / "yard.sqlite3")) as before:
        assert before.execute("SELECT DISTINCT name FROM journal_record").fetchall() == [
            ("changed since",)
        ]
    with closing(sqlite3.connect(tmp_path / "yard.sqlite3")) as now:
        assert ("changed since",) not in now.execute("SELECT name FROM journal_record").fetchall()
    assert not list(tmp_path.glob(".restore-*"))
    assert not list(tmp_path.glob("incoming-*"))


def test_a_yard_in_use_is_refused_and_stays(backup: Path, tmp_path: Path) -> None:
    assert tanwright("demo", "--yard", tmp_path).returncode == 0
    with closing(sqlite3.connect(tmp_path / "yard.sqlite3")) as server:
        server.execute("SELECT COUNT(*) FROM journal_entry").fetchone()
        done = tanwright("restore", backup, "--yard", tmp_path)
    assert done.returncode == 2
    assert "in use" in done.stderr
    assert done.stderr.count("\n") == 1
    assert not list(tmp_path.glob("before-restore-*"))


def test_looking_changes_nothing(backup: Path, tmp_path: Path) -> None:
    done = tanwright("restore", "--check", backup, "--yard", tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Nothing was changed" in done.stdout
    assert not (tmp_path / "yard.sqlite3").exists()


def _flip(files: dict[str, bytes]) -> None:
    content = bytearray(files["yard.sqlite3"])
    content[len(content) // 2] ^= 0xFF
    files["yard.sqlite3"] = bytes(content)


def _manifest(**change: object) -> Change:
    def spoil(files: dict[str, bytes]) -> None:
        told = json.loads(files["manifest.json"])
        files["manifest.json"] = json.dumps({**told, **change}).encode()

    return spoil


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (_flip, "is not what it was"),
        (lambda files: files.pop("yard.sqlite3"), "missing"),
        (lambda files: files.pop("manifest.json"), "no manifest"),
        (lambda files: files.update({"photos/more.jpg": b"x"}), "not in the manifest"),
        (lambda files: files.update({"manifest.json": b"[" * 10_000}), "no manifest"),
        (_manifest(format="another"), "no backup of a yard"),
        (_manifest(format_version=99), "newer tanwright"),
        (_manifest(migrations=["journal.0999_from_the_future"]), "newer tanwright"),
        (_manifest(files={}), "no database"),
        (lambda files: files.update({"../outside.txt": b"x"}), "outside"),
        (lambda files: files.update({"run-me.sh": b"x"}), "does not belong"),
        (lambda files: files.update({"datapackage.json": b"{}"}), "export package"),
    ],
)
def test_what_is_not_whole_is_refused(
    change: Change, told: str, backup: Path, spoilt: Callable[[Path, Change], Path]
) -> None:
    with pytest.raises(InputError, match=told):
        check_backup(spoilt(backup, change))


def test_a_cut_off_archive_is_refused(backup: Path, tmp_path: Path) -> None:
    short = tmp_path / "short.zip"
    short.write_bytes(backup.read_bytes()[:-2000])
    with pytest.raises(InputError, match="damaged"):
        check_backup(short)
    with pytest.raises(InputError, match="no such file"):
        check_backup(tmp_path / "none.zip")


def test_a_database_that_is_none_is_refused(tmp_path: Path, backup: Path) -> None:
    import hashlib

    files = files_of(backup)
    told = json.loads(files["manifest.json"])
    files["yard.sqlite3"] = b"no database" * 100
    digest = hashlib.sha256(files["yard.sqlite3"]).hexdigest()
    told["files"] = {"yard.sqlite3": {"sha256": digest, "bytes": 1100}}
    files = {"yard.sqlite3": files["yard.sqlite3"], "manifest.json": json.dumps(told).encode()}
    with pytest.raises(InputError, match="cannot be read"):
        check_backup(archive_of(tmp_path / "none.zip", files))


@pytest.mark.parametrize("stop_after", range(6))
def test_a_stop_in_the_middle_is_finished_at_the_next_start(
    stop_after: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, text in (("yard.sqlite3", "old"), ("yard.sqlite3-wal", "old wal")):
        (tmp_path / name).write_text(text)
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "a.jpg").write_text("old")
    new = tmp_path / "new"
    (new / "photos").mkdir(parents=True)
    (new / "yard.sqlite3").write_text("new")
    aside = swapping.begin_swap(tmp_path, new, "1")
    steps = 0
    move = Path.rename

    def stop_here(self: Path, target: Path) -> Path:
        nonlocal steps
        steps += 1
        if steps > stop_after:
            raise KeyboardInterrupt
        return move(self, target)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "rename", stop_here)
        try:
            swapping.finish_swap(tmp_path)
        except KeyboardInterrupt:
            assert stop_after < 5
    swapping.finish_swap(tmp_path)
    assert (tmp_path / "yard.sqlite3").read_text() == "new"
    assert not (tmp_path / "yard.sqlite3-wal").exists()
    assert not (tmp_path / "photos" / "a.jpg").exists()
    assert (aside / "yard.sqlite3").read_text() == "old"
    assert (aside / "photos" / "a.jpg").read_text() == "old"
    assert not (tmp_path / swapping.INTENT).exists()
    assert swapping.finish_swap(tmp_path) is False

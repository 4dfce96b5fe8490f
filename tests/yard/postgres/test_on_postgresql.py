"""The yard on PostgreSQL: it starts there, and passes the tests that it passes on SQLite."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

from tests.cli.test_serve import free_port, serving, status, stop

ROOT = Path(__file__).parents[3]
AREAS = ("people", "journal", "plants", "skins", "stock", "gathering", "liquors", "today", "search")
"""What asks the database most. Left out: what tests SQLite itself (backups, crashes), pages that
need a browser, and vats and leathers, whose tests spend their time in the engine."""


def test_it_starts_there_and_answers(postgresql: str, tmp_path: Path) -> None:
    port = free_port()
    with serving(tmp_path, port, TANWRIGHT_DATABASE=postgresql) as running:
        assert status(port, "/people/me/") == 200
        assert status(port, "/") == 200
        told = stop(running)
        assert running.returncode == 0, told
    assert not (tmp_path / "yard.sqlite3").exists()


def test_a_server_that_is_not_there_is_told_in_one_line(tmp_path: Path) -> None:
    address = "postgresql://tanwright@127.0.0.1:1/yard"
    with serving(tmp_path, free_port(), TANWRIGHT_DATABASE=address) as running:
        told, _ = running.communicate(timeout=30)
        assert running.returncode == 2
    assert told.startswith("tanwright: database: the database does not answer (")
    assert told.count("\n") == 1


def test_services_and_pages_pass_the_same_tests(postgresql: str, tmp_path: Path) -> None:
    folders = [f"tests/yard/{area}" for area in AREAS if (ROOT / "tests/yard" / area).is_dir()]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *folders, "-p", "no:cacheprovider", "--no-cov"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={
            **os.environ,
            "TANWRIGHT_DATABASE": postgresql,
            "TANWRIGHT_YARD": str(tmp_path),
            "COVERAGE_PROCESS_START": "",
        },
    )
    assert done.returncode == 0, done.stdout[-20_000:] + done.stderr[-2000:]
    assert not list(tmp_path.glob("*.sqlite3"))
    # Quiet pytest prints one dot for each test that passed.
    assert sum(map(len, re.findall(r"^(\.+)", done.stdout, re.MULTILINE))) > 100

"""The command starts light and tells trouble in one line."""

from __future__ import annotations

import subprocess
import sys

import pytest
import typer

from tanwright.cli import app, run
from tanwright.errors import InputError

HEAVY = ("numpy", "scipy", "numba", "pint", "rich", "drawsvg")


def test_help_imports_nothing_that_computes() -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "tanwright", "--help"],
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = {
        line.rpartition("|")[2].strip().partition(".")[0] for line in done.stderr.splitlines()
    }
    assert "typer" in loaded
    assert loaded.isdisjoint(HEAVY)


@pytest.mark.parametrize("arguments", [["materials"], ["materials", "--json"], ["checks"]])
def test_a_reader_who_has_seen_enough_of_a_pipe_is_no_fault(arguments: list[str]) -> None:
    """``tanwright materials | head -1``: what is left is not written and the status is 0."""
    command = [sys.executable, "-m", "tanwright", *arguments]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.readline()
        running.stdout.close()
        told = running.stderr.read()
    assert running.returncode == 0
    assert told == b""


def test_no_command_shows_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert run.run([]) == 0
    assert capsys.readouterr().out.startswith("Usage: tanwright")


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert run.run(["--version"]) == 0
    short = capsys.readouterr().out.strip()
    assert run.run(["version", "--json"]) == 0
    assert f'"tanwright": "{short}"' in capsys.readouterr().out
    assert run.run(["version"]) == 0
    assert "python" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["vesion"], "tanwright: No such command 'vesion'. Did you mean 'version'?; see"),
        (["version", "--jsn"], "tanwright: No such option: --jsn"),
        (["strengthen", "60 L"], "tanwright: Missing option '--from'; see tanwright strengthen"),
        (["strength", "20"], 'tanwright: READING: "20" needs a unit; write 12 Bk'),
        (["strength", "20 Bk", "--units", "roman"], "tanwright: Invalid value for '--units'"),
    ],
)
def test_what_can_be_put_right_is_one_line_and_status_2(
    arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run.run(arguments) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith(message)
    assert told.err.count("\n") == 1


class Broken:
    """A command module whose command does what it is told to."""

    def __init__(self, error: BaseException) -> None:
        self.error = error

    def register(self, application: typer.Typer) -> None:
        @application.command()
        def broken() -> None:
            raise self.error


@pytest.mark.parametrize(
    ("error", "status", "message"),
    [
        (InputError("no", place="here", remedy="write yes"), 2, "tanwright: here: no; write yes\n"),
        (KeyboardInterrupt(), 130, "tanwright: stopped\n"),
        (typer.Abort(), 130, "tanwright: stopped\n"),
        (
            RuntimeError("two\nlines"),
            70,
            "tanwright: a fault inside tanwright (RuntimeError: two lines)",
        ),
        (typer.Exit(1), 1, ""),
    ],
)
def test_every_end_has_its_status(
    error: BaseException,
    status: int,
    message: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(app, "COMMANDS", (Broken(error),))
    assert run.run(["broken"]) == status
    told = capsys.readouterr().err
    assert told.startswith(message)
    assert told.count("\n") == (1 if message else 0)


def test_debug_lets_the_traceback_through(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(app, "COMMANDS", (Broken(RuntimeError("deep")),))
    with pytest.raises(RuntimeError, match="deep"):
        run.run(["broken", "--debug"])

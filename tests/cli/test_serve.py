"""``tanwright serve`` as a person meets it: a real server process, started and stopped."""

from __future__ import annotations

import http.client
import os
import resource
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from tanwright.cli import run


def free_port() -> int:
    """A port that is free, and the one after it as well (the certificate's door)."""
    while True:
        with socket.socket() as first, socket.socket() as second:
            first.bind(("127.0.0.1", 0))
            port = int(first.getsockname()[1])
            try:
                second.bind(("127.0.0.1", port + 1))
            except (OSError, OverflowError):
                continue
            return port


def environment(**more: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("TANWRIGHT_")}
    kept.pop("DJANGO_SETTINGS_MODULE", None)
    return {**kept, "PYTHONUNBUFFERED": "1", **more}


def status(port: int, path: str = "/", tls: Path | None = None, **headers: str) -> int:
    """The status of a GET on this machine, 0 while nobody listens."""
    asking: http.client.HTTPConnection
    if tls is None:
        asking = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    else:
        trusting = ssl.create_default_context(cafile=str(tls))
        asking = http.client.HTTPSConnection("127.0.0.1", port, timeout=20, context=trusting)
    with closing(asking):
        try:
            asking.request("GET", path, headers=headers)
            return asking.getresponse().status
        except ConnectionError:
            return 0


@contextmanager
def serving(
    folder: Path, port: int, *options: str, tls: Path | None = None, **variables: str
) -> Iterator[subprocess.Popen[str]]:
    """A yard that answers; killed at the end if it still runs."""
    command = [sys.executable, "-m", "tanwright", "serve", "--yard", str(folder)]
    with subprocess.Popen(
        [*command, "--port", str(port), *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env=environment(**variables),
        start_new_session=True,
    ) as running:
        try:
            deadline = time.monotonic() + 60
            while running.poll() is None and time.monotonic() < deadline:
                if (tls is None or tls.exists()) and status(port, "/people/trust/", tls):
                    break
                time.sleep(0.1)
            yield running
        finally:
            if running.poll() is None:
                os.killpg(running.pid, signal.SIGKILL)


def stop(running: subprocess.Popen[str]) -> str:
    """Press Ctrl-C, as a terminal does: every process of the group hears it."""
    os.killpg(running.pid, signal.SIGINT)
    told, _ = running.communicate(timeout=30)
    return told


def test_it_opens_answers_this_machine_and_closes_on_ctrl_c(tmp_path: Path) -> None:
    port = free_port()
    with serving(tmp_path / "yard", port) as running:
        assert status(port, "/people/me/") == 200
        assert status(port, "/people/me/", Host="evil.example") == 400
        assert status(port, "/people/me/", **{"X-Forwarded-For": "192.168.1.7"}) == 403
        told = stop(running)
        assert running.returncode == 0
    assert f"The yard is open: http://127.0.0.1:{port}" in told
    assert told.rstrip().endswith("The yard is closed.")
    assert "Traceback" not in told
    with closing(sqlite3.connect(tmp_path / "yard" / "yard.sqlite3")) as database:
        assert database.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    for kept in (tmp_path / "yard").rglob("*"):
        assert kept.stat().st_mode & 0o077 == 0, kept


def test_a_killed_server_lets_go_of_its_port_and_starts_again(tmp_path: Path) -> None:
    port = free_port()
    with serving(tmp_path / "yard", port) as running:
        os.kill(running.pid, signal.SIGKILL)
        running.wait(10)
        deadline = time.monotonic() + 10
        while status(port) and time.monotonic() < deadline:
            time.sleep(0.2)
        assert status(port) == 0
    with serving(tmp_path / "yard", port) as running:
        assert status(port, "/people/me/") == 200
        stop(running)
        assert running.returncode == 0


def test_open_to_the_network_it_speaks_tls_asks_who_comes_and_gives_one_link(
    tmp_path: Path,
) -> None:
    port, yard = free_port(), tmp_path / "yard"
    authority = yard / "certificate" / "authority.crt"
    options = ("--lan", "--host-name", "127.0.0.1")
    with serving(yard, port, *options, tls=authority) as running:
        assert status(port, "/", authority) == 302
        assert status(port, "/people/sign-in/", authority) == 200
        assert status(port, "/people/sign-in/", authority, Host="evil.example") == 400
        assert status(port + 1) == 200
        assert status(port + 1, "/tannery-yard.crt") == 200
        assert status(port + 1, "/certificate/authority.key") == 404
        told = stop(running)
        assert running.returncode == 0
    assert f"https://127.0.0.1:{port}" in told
    assert "SHA-256 fingerprint: " in told
    assert told.count("/people/pair/") == 1
    assert "█" in told


def test_without_a_certificate_it_says_what_that_means(tmp_path: Path) -> None:
    port = free_port()
    options = ("--lan", "--host-name", "127.0.0.1", "--no-certificate")
    with serving(tmp_path / "yard", port, *options) as running:
        assert status(port, "/people/sign-in/") == 200
        told = stop(running)
    assert "others in this network could read along" in told
    assert not (tmp_path / "yard" / "certificate").exists()


def test_a_taken_port_is_refused_in_one_line(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        done = refused(tmp_path / "yard", "--port", str(port))
    assert f"port {port} is taken on this machine; is the yard running already?" in done


def test_a_full_disk_is_refused_in_one_line(tmp_path: Path) -> None:
    """A limit on file sizes stands for the disk: writing fails in the same way."""

    def no_room() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))

    told = refused(tmp_path / "yard", "--port", str(free_port()), before=no_room)
    assert "the disk is full; free some space there; nothing that was noted is lost" in told
    assert list((tmp_path / "yard").iterdir()) == []


def test_a_folder_that_cannot_be_made_is_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    told = refused(tmp_path / "file" / "yard")
    assert "cannot be made" in told
    assert "name a folder that you may write to" in told


def test_a_database_that_does_not_answer_is_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "yard.sqlite3").write_text("this is no database, and long enough to be read" * 9)
    told = refused(tmp_path, "--port", str(free_port()))
    assert "database: the database does not answer (file is not a database)" in told
    assert "tanwright restore" in told


def test_a_yard_of_a_newer_program_is_refused_and_left_alone(tmp_path: Path) -> None:
    port = free_port()
    with serving(tmp_path, port) as running:
        stop(running)
    with closing(sqlite3.connect(tmp_path / "yard.sqlite3")) as database, database:
        database.execute(
            "INSERT INTO django_migrations (app, name, applied)"
            " VALUES ('skins', '0099_later', '2030-01-01')"
        )
    told = refused(tmp_path, "--port", str(port))
    assert "this yard was kept by a newer tanwright (it knows skins 0099_later)" in told


def refused(folder: Path, *options: str, before: object = None) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "tanwright", "serve", "--yard", str(folder), *options],
        capture_output=True,
        text=True,
        timeout=60,
        env=environment(),
        preexec_fn=before,  # type: ignore[arg-type]
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1, done.stderr
    return done.stderr


@pytest.mark.parametrize("port", ["0", "70000", "many"])
def test_no_port_at_all(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run.run(["serve", "--port", port]) == 2
    assert "'--port'" in capsys.readouterr().err


def test_a_word_that_is_no_host_name(tmp_path: Path) -> None:
    told = refused(tmp_path, "--lan", "--host-name", "yard/local")
    assert '--host-name: "yard/local" is no host name' in told


def test_doctor_tells_what_is_well_and_what_is_not(tmp_path: Path) -> None:
    with serving(tmp_path, port := free_port()) as running:
        assert status(port, "/people/me/") == 200
        stop(running)
    assert doctor(tmp_path) == (0, 8, 0)
    (tmp_path / "secret-key").chmod(0o644)
    assert doctor(tmp_path) == (1, 7, 1)


def doctor(folder: Path) -> tuple[int, int, int]:
    """Exit status, and how many checks were well and not."""
    done = subprocess.run(
        [sys.executable, "-m", "tanwright", "doctor", "--yard", str(folder)],
        capture_output=True,
        text=True,
        env=environment(),
    )
    return done.returncode, done.stdout.count("well  tanwright.W"), done.stdout.count("LOOK  ")

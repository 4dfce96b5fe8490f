"""A PostgreSQL cluster of the tests' own: made in a temporary folder, reached by a socket only."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg
import pytest

MISSING = (
    "PostgreSQL's server is not installed; run: make system (Debian: apt-get install postgresql)"
)
OWNER = "tanwright"


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """The address of an empty database ``yard``, for ``TANWRIGHT_DATABASE``.

    The server refuses to run as root, so a root hands the cluster to an account without rights.
    """
    programs = server_programs()
    if programs is None:
        pytest.fail(MISSING)
    folder = Path(tempfile.mkdtemp(prefix="tw-pg-"))
    account: dict[str, Any] = {}
    if os.geteuid() == 0:
        nobody = unprivileged()
        os.chown(folder, nobody.pw_uid, nobody.pw_gid)
        account = {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}
    data = folder / "data"

    def call(program: str, *arguments: str) -> None:
        done = subprocess.run(
            [str(programs / program), *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            cwd=folder,
            **account,
        )
        assert done.returncode == 0, done.stdout

    options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"
    try:
        call(
            "initdb", "--pgdata", str(data), "--username", OWNER, "--auth", "trust",
            "--encoding", "UTF8", "--locale", "C", "--locale-provider", "icu",
            "--icu-locale", "und", "--no-sync",
        )  # fmt: skip
        call(
            "pg_ctl", "--pgdata", str(data), "--log", str(folder / "log"), "--wait",
            "--options", options, "start",
        )  # fmt: skip
        try:
            with psycopg.connect(
                host=str(folder), user=OWNER, dbname="postgres", autocommit=True
            ) as server:
                server.execute("CREATE DATABASE yard")
            yield f"postgresql://{OWNER}@{quote(str(folder), safe='')}/yard"
        finally:
            call("pg_ctl", "--pgdata", str(data), "--mode", "immediate", "--wait", "stop")
    finally:
        shutil.rmtree(folder)


def server_programs() -> Path | None:
    """The folder of ``initdb`` and ``pg_ctl``: on the path, or where Debian puts them."""
    found = shutil.which("initdb")
    kept = [Path(found).resolve().parent] if found else []
    kept += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((folder for folder in kept if (folder / "pg_ctl").exists()), None)


def unprivileged() -> pwd.struct_passwd:
    """An account without rights that every system of this kind has."""
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name)
        except KeyError:
            continue
    pytest.fail("there is neither a postgres nor a nobody account to run PostgreSQL as")

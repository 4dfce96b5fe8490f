"""A disk that is full, or may only be read: what the server says, and whether it goes on after."""

from __future__ import annotations

import contextlib
import subprocess
import sys
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from benchmarks.yard.kept import faults, ids, lost
from benchmarks.yard.server import Phone, Server, environment, free_port, tanwright

SIZE_MB: Final = 64
MOST_ENTRIES: Final = 4000
_BALLAST: Final = "ballast"


@dataclass
class Refused:
    """What was found; ``full`` is the status of the refusal, ``words`` its page and the log."""

    full: int = 0
    words: str = ""
    log: str = ""
    read_only: str = ""
    lost: int = 0
    faults: list[str] = field(default_factory=list)
    again: bool = False

    def __str__(self) -> str:
        return (
            f"full disk: status {self.full}, {self.lost} entries lost, {len(self.faults)} faults, "
            f"works again once there is room: {'yes' if self.again else 'NO'}; "
            f"read-only disk: {self.read_only}"
        )


def refused() -> Refused:
    """Fill a small disk under a running server, free it, then start one where none may write.

    Needs the right to mount (Linux, root). Raises CalledProcessError without it.
    """
    found = Refused()
    with tempfile.TemporaryDirectory(prefix="yard-small-") as room, _small_disk(Path(room)) as disk:
        yard, log = disk / "yard", Path(room) / "server.log"
        yard.mkdir()
        tanwright(yard, "demo")
        path = f"/stock/{ids(yard, 'SELECT record_ptr_id FROM stock_lot')[0]}/log/note/"
        with Server(yard, log) as server, closing(Phone(server.port)) as phone:
            kept = _write_until_full(phone, path, disk, found)
        found.log = log.read_text()
        found.faults = faults(yard)
        found.lost = len(lost(yard, kept))
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        told = subprocess.run(
            [sys.executable, "-m", "tanwright", "serve", "--port", str(free_port())],
            env=environment(yard),
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
        found.read_only = f"exit {told.returncode}, {told.stderr.strip()}"
    return found


def _write_until_full(phone: Phone, path: str, disk: Path, found: Refused) -> list[uuid.UUID]:
    kept = [phone.log(path, "before")[0]]
    _fill(disk)
    for number in range(MOST_ENTRIES):
        id, answer = phone.log(path, f"{number} " + "x" * 1900)
        if not answer.acknowledged:
            found.full, found.words = answer.status, answer.body.decode()
            break
        kept.append(id)
    (disk / _BALLAST).unlink()
    id, answer = phone.log(path, "room again")
    found.again = answer.acknowledged
    return [*kept, id] if answer.acknowledged else kept


def _fill(disk: Path) -> None:
    """Take all the room that is left."""
    with contextlib.suppress(OSError), (disk / _BALLAST).open("wb", buffering=0) as ballast:
        while True:
            ballast.write(bytes(4096))


@contextmanager
def _small_disk(room: Path) -> Iterator[Path]:
    disk = room / "disk"
    disk.mkdir()
    subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={SIZE_MB}m", "tmpfs", str(disk)], check=True
    )
    try:
        yield disk
    finally:
        # Lazily: a process that was killed a moment ago may not have let go yet.
        subprocess.run(["umount", "--lazy", str(disk)], check=True)

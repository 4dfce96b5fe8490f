"""kill -9 in the middle of writing: no acknowledged entry may be lost, the database stays sound."""

from __future__ import annotations

import random
import tempfile
import threading
import time
import uuid
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from benchmarks.yard.kept import faults, ids, lost
from benchmarks.yard.server import Phone, Server, tanwright

WRITERS: Final = 3
LONGEST_S: Final = 1.2
MOST_WARMING_S: Final = 20.0


@dataclass
class Killed:
    """What was found over all rounds."""

    rounds: int = 0
    acknowledged: int = 0
    lost: int = 0
    faults: list[str] = field(default_factory=list)
    slowest_start_s: float = 0.0

    def __str__(self) -> str:
        return (
            f"killed {self.rounds} times: {self.acknowledged} entries acknowledged, "
            f"{self.lost} lost, {len(self.faults)} faults of the database, "
            f"slowest next start {self.slowest_start_s:.1f} s"
        )


def killed(rounds: int, seed: int = 1) -> Killed:
    """Start the server, let phones write, kill it at a random moment, look; ``rounds`` times."""
    chance = random.Random(seed)
    found = Killed()
    with tempfile.TemporaryDirectory(prefix="yard-killed-") as room:
        yard = Path(room) / "yard"
        yard.mkdir()
        tanwright(yard, "demo")
        paths = [
            f"/stock/{id}/log/note/" for id in ids(yard, "SELECT record_ptr_id FROM stock_lot")
        ]
        paths += [
            f"/tannages/{id}/log/turned/"
            for id in ids(yard, "SELECT record_ptr_id FROM tannage_tannage WHERE state = 'running'")
        ]
        for _ in range(rounds):
            server = Server(yard)
            found.slowest_start_s = max(found.slowest_start_s, server.start())
            acknowledged = _write_until_killed(server, paths, chance.uniform(0.05, LONGEST_S))
            found.rounds += 1
            found.acknowledged += len(acknowledged)
            found.faults += faults(yard)
            found.lost += len(lost(yard, acknowledged))
    return found


def _write_until_killed(server: Server, paths: list[str], after_s: float) -> list[uuid.UUID]:
    acknowledged: list[uuid.UUID] = []
    stop, first = threading.Event(), threading.Event()

    def write(number: int) -> None:
        sent = number
        with closing(Phone(server.port)) as phone:
            while not stop.is_set():
                sent += 1
                try:
                    id, answer = phone.log(paths[sent % len(paths)], note=f"{number}-{sent}")
                except ConnectionError:
                    return
                if answer.acknowledged:
                    acknowledged.append(id)
                    first.set()

    writers = [threading.Thread(target=write, args=(number,)) for number in range(WRITERS)]
    for writer in writers:
        writer.start()
    # A fresh server loads much at its first form: killed then, it would not be writing yet.
    first.wait(timeout=MOST_WARMING_S)
    time.sleep(after_s)
    server.kill()
    stop.set()
    for writer in writers:
        writer.join()
    return acknowledged

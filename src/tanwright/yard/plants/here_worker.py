"""Reading a file of occurrence records in a process beside the server.

Nothing of Django may be imported here: the other process imports this module and has no database.
What it finds it leaves in a folder: ``found.json`` and, as arrays, ``tallies.npz``.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

import numpy as np

from tanwright.errors import TanwrightError
from tanwright.planning.occurrences import Read, Tallies, read
from tanwright.planning.occurrences.naming import Match
from tanwright.planning.occurrences.reading import Progress

FOUND: Final = "found.json"
TALLIES: Final = "tallies.npz"
_ARRAYS: Final = ("plant", "latitude", "longitude", "month", "count", "latest")


@dataclass(frozen=True)
class Told:
    """What the other process says: how far it is, or why it stopped."""

    rows: int = 0
    share: float = 0.0
    problem: dict[str, str] | None = None


def read_into(
    path: Path, folder: Path, today: date, file_name: str, tell: Callable[[Told], None]
) -> None:
    """Read ``path`` and leave what it holds in ``folder``; a refusal is told, not raised."""

    def report(progress: Progress) -> None:
        tell(Told(progress.rows, progress.share))

    try:
        found = read(path, today, progress=report)
    except TanwrightError as error:
        place = error.place.replace(path.name, file_name)
        tell(Told(problem={"what": error.what, "place": place, "remedy": error.remedy}))
        return
    put_down(found, folder)


def read_beside(path: Path, folder: Path, today: date, file_name: str, way_back: Any) -> None:
    """As :func:`read_into`, as the whole work of another process."""
    os.nice(10)  # whoever serves pages goes first
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    read_into(path, folder, today, file_name, way_back.send)
    way_back.close()


def put_down(found: Read, folder: Path) -> None:
    """Leave what was read in ``folder``."""
    tallies = found.tallies
    np.savez(folder / TALLIES, **{name: getattr(tallies, name) for name in _ARRAYS})
    told = {
        "kind": found.kind,
        "rows": found.rows,
        "matched": found.matched,
        "genus_only": found.genus_only,
        "others": found.others,
        "refused": found.refused,
        "causes": found.causes,
        "first": found.first,
        "first_day": found.first_day.isoformat() if found.first_day else None,
        "last_day": found.last_day.isoformat() if found.last_day else None,
        "licence": found.licence,
        "citation": found.citation,
        "plants": [[plant.taxon, plant.level] for plant in tallies.plants],
    }
    (folder / FOUND).write_text(json.dumps(told), "utf-8")


def take_up(folder: Path) -> tuple[dict[str, Any], Tallies]:
    """What :func:`put_down` left in ``folder``; FileNotFoundError when it left nothing."""
    told: dict[str, Any] = json.loads((folder / FOUND).read_text("utf-8"))
    with np.load(folder / TALLIES, allow_pickle=False) as arrays:
        columns = {name: arrays[name] for name in _ARRAYS}
    plants = tuple(Match(taxon, level) for taxon, level in told["plants"])
    return told, Tallies(plants=plants, **columns)


def _end_with_the_server() -> None:
    """A server that is killed cannot say so, and this process would read on for nobody."""
    server = multiprocessing.parent_process()
    if server is not None:
        server.join()
        os._exit(0)

"""Exchanging the yard for another one such that a stop in the middle is finished at the next start.

Knows nothing of Django: it must run before anything opens the database.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Final

from tanwright.yard.exchange.archive import DATABASE, PHOTOS, cannot_write, settle

INTENT: Final = "restore-under-way.json"
_SIDE_FILES: Final = (f"{DATABASE}-wal", f"{DATABASE}-shm", f"{DATABASE}-journal")


def begin_swap(yard: Path, new: Path, stamp: str) -> Path:
    """Make the yard in the folder ``new`` (inside ``yard``) ready and write down what is meant.

    From the moment that the intent is on the disk, :func:`finish_swap` leads to the new yard.
    Returns the folder that the present yard goes to. Raises InputError when the disk refuses.
    """
    ready, aside = yard / f"incoming-{stamp}", yard / f"before-restore-{stamp}"
    draft = yard / f".{INTENT}.part"
    try:
        ready.mkdir()
        aside.mkdir(mode=0o700)
        for name in (DATABASE, PHOTOS):
            (new / name).rename(ready / name)
        settle(ready)
        with draft.open("w", encoding="utf-8") as file:
            json.dump({"ready": ready.name, "aside": aside.name}, file)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(yard / INTENT)
        settle(yard)
    except OSError as error:
        raise cannot_write(yard, error) from None
    return aside


def finish_swap(yard: Path) -> bool:
    """Carry out, or carry on, the exchange that was begun; False when none was.

    Each step looks whether it has been done, so that it may be stopped anywhere and called again.
    """
    intent = yard / INTENT
    if not intent.exists():
        return False
    told = json.loads(intent.read_text("utf-8"))
    ready, aside = yard / Path(told["ready"]).name, yard / Path(told["aside"]).name
    try:
        for name in (DATABASE, PHOTOS):
            if not (ready / name).exists():
                continue  # It is in place already.
            for old in (name, *(_SIDE_FILES if name == DATABASE else ())):
                if (yard / old).exists():
                    (yard / old).rename(aside / old)
            (ready / name).rename(yard / name)
            settle(yard)
        intent.unlink()
        ready.rmdir()
        settle(yard)
    except OSError as error:
        raise cannot_write(yard, error) from None
    return True

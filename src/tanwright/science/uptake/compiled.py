"""``njit`` as the solver uses it: without the interpreter's lock, and kept on disk.

numba looks for changes in the file in which a function stands, not in the files of the functions
that it calls. The solver's functions are spread over several, so what is compiled is kept in a
folder named for the contents of all of them: a changed line anywhere is never answered by old code.
"""

from __future__ import annotations

import hashlib
import importlib
import os
import re
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numba

HERE = Path(__file__).parent
config: Any = importlib.import_module("numba.core.config")
"""numba's settings, which it reads when a function is decorated."""

STAMPED = re.compile(r"uptake-[0-9a-f]{16}")
OLD_SECONDS = 86_400.0
"""A folder of other sources in which nothing was compiled for a day is no longer wanted."""


def sources_stamp() -> str:
    """Short hash of every source file of the solver."""
    stamp = hashlib.sha256()
    for path in sorted(HERE.glob("*.py")):
        stamp.update(path.name.encode())
        stamp.update(path.read_bytes())
    return stamp.hexdigest()[:16]


def places() -> Iterator[Path]:
    """Where compiled code may be kept: numba's own setting alone, else beside the sources, else at
    home (if there is one)."""
    if config.CACHE_DIR:
        yield Path(config.CACHE_DIR)
        return
    yield HERE / "__pycache__"
    chosen = os.environ.get("XDG_CACHE_HOME")
    try:
        yield (Path(chosen) if chosen else Path.home() / ".cache") / "tanwright"
    except RuntimeError:
        return


def cache_folder() -> Path | None:
    """The first of the places that can be written to, made if need be; None if there is none."""
    name = f"uptake-{sources_stamp()}"
    for place in places():
        folder = place / name
        try:
            is_new = not folder.is_dir()
            folder.mkdir(parents=True, exist_ok=True)
            tempfile.TemporaryFile(dir=folder).close()
        except OSError:
            continue
        if is_new:
            drop_old(place, name)
        return folder
    return None


def drop_old(place: Path, present: str) -> None:
    """Remove what other sources left compiled, if nothing was added to it for ``OLD_SECONDS``.

    Another version that still uses such a folder makes it anew; what cannot be removed stays.
    """
    try:
        for folder in place.iterdir():
            if folder.name == present or not STAMPED.fullmatch(folder.name) or folder.is_symlink():
                continue
            if time.time() - folder.stat().st_mtime > OLD_SECONDS:
                shutil.rmtree(folder, ignore_errors=True)
    except OSError:
        return


FOLDER = cache_folder()


def njit(function: Callable[..., Any]) -> Any:
    """``numba.njit`` that releases the interpreter's lock and keeps its result in ``FOLDER``.

    With nowhere to keep it, it is compiled anew by each process.
    """
    compiled = numba.njit(nogil=True, error_model="numpy")(function)
    if FOLDER is None:
        return compiled
    before = config.CACHE_DIR
    config.CACHE_DIR = str(FOLDER)
    try:
        compiled.enable_caching()
    except (OSError, RuntimeError):
        return compiled
    finally:
        config.CACHE_DIR = before
    return compiled

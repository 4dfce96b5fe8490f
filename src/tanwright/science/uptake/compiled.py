"""``njit`` as the solver uses it: without the interpreter's lock, and kept on disk.

numba looks for changes in the file in which a function stands, not in the files of the functions
that it calls. The solver's functions are spread over several, so what is compiled is kept in a
folder named for the contents of all of them: a changed line anywhere is never answered by old code.
"""

from __future__ import annotations

import hashlib
import importlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numba

HERE = Path(__file__).parent
config: Any = importlib.import_module("numba.core.config")
"""numba's settings, which it reads when a function is decorated."""


def sources_stamp() -> str:
    """Short hash of every source file of the solver."""
    stamp = hashlib.sha256()
    for path in sorted(HERE.glob("*.py")):
        stamp.update(path.name.encode())
        stamp.update(path.read_bytes())
    return stamp.hexdigest()[:16]


def cache_folder() -> Path:
    """Where compiled code is kept: numba's own setting, else beside the sources, else at home."""
    if config.CACHE_DIR:
        base = Path(config.CACHE_DIR)
    elif os.access(HERE, os.W_OK):
        base = HERE / "__pycache__"
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "tanwright"
    return base / f"uptake-{sources_stamp()}"


FOLDER = cache_folder()


def njit(function: Callable[..., Any]) -> Any:
    """``numba.njit`` that releases the interpreter's lock and keeps its result in ``FOLDER``."""
    compiled = numba.njit(nogil=True, error_model="numpy")(function)
    before = config.CACHE_DIR
    config.CACHE_DIR = str(FOLDER)
    try:
        FOLDER.mkdir(parents=True, exist_ok=True)
        compiled.enable_caching()
    except (OSError, RuntimeError):
        # Nowhere to keep it: it is compiled anew by each process.
        return compiled
    finally:
        config.CACHE_DIR = before
    return compiled

"""What a backup is made of, and how files are put down so that a half one never counts."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import IO, Final

from tanwright.errors import InputError

FORMAT: Final = "tanwright-backup"
FORMAT_VERSION: Final = 1
MANIFEST: Final = "manifest.json"
DATABASE: Final = "yard.sqlite3"
PHOTOS: Final = "photos"
_CHUNK: Final = 1 << 20


def program() -> str:
    """Version of this program, or that it runs from its source without being installed."""
    try:
        return version("tanwright")
    except PackageNotFoundError:
        return "source tree"


def sha256_of(file: IO[bytes]) -> tuple[str, int]:
    """Checksum (hexadecimal) and number of bytes of what is left to read of ``file``."""
    digest, size = hashlib.sha256(), 0
    while piece := file.read(_CHUNK):
        digest.update(piece)
        size += len(piece)
    return digest.hexdigest(), size


@contextmanager
def put_down(target: Path) -> Iterator[IO[bytes]]:
    """A file to write into that stands at ``target`` only once it is whole and on the disk.

    Readable by its owner alone. Raises InputError when the disk is full or may not be written.
    """
    draft = target.with_name(f".{target.name}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(draft, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w+b") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        draft.replace(target)
        settle(target.parent)
    except OSError as error:
        draft.unlink(missing_ok=True)
        raise cannot_write(target, error) from None
    except BaseException:
        draft.unlink(missing_ok=True)
        raise


def settle(folder: Path) -> None:
    """Let the disk keep what was renamed in ``folder`` (a no-op where folders cannot be synced)."""
    try:
        descriptor = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(descriptor)
    except OSError:
        pass
    finally:
        os.close(descriptor)


def cannot_write(target: Path, error: OSError) -> InputError:
    """What to tell a person whose disk refused ``target``."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        remedy = "free some space on that disk, or name another place"
    else:
        remedy = "name a place that you may write to"
    return InputError(
        f"it cannot be written ({error.strerror or error})", place=str(target), remedy=remedy
    )


def room_for(folder: Path, needed: int) -> None:
    """Raises InputError when ``folder`` has not ``needed`` bytes left, before anything is begun."""
    free = shutil.disk_usage(folder).free
    if free < needed:
        raise InputError(
            f"it needs {needed / 1e6:.0f} MB and the disk has {free / 1e6:.0f} MB left",
            place=str(folder),
            remedy="free some space on that disk, or name another place",
        )

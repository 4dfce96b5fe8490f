"""What the surroundings say: environment variables and the yard's own folder, strictly read.

Every variable begins with ``TANWRIGHT_``; a value that cannot be used is refused at start-up with
one line that names the variable.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

import platformdirs

from tanwright.errors import InputError

_YES, _NO = {"1", "true", "yes", "on"}, {"", "0", "false", "no", "off"}


def flag(name: str, *, default: bool = False) -> bool:
    """``name`` as yes or no. Raises InputError for any other word."""
    value = os.environ.get(name)
    if value is None:
        return default
    word = value.strip().lower()
    if word in _YES or word in _NO:
        return word in _YES
    raise InputError(f'"{value}" is neither yes nor no', place=name, remedy="write 1 or 0")


def words(name: str) -> list[str]:
    """``name`` as a list of words parted by commas or spaces; empty when it is not set."""
    return os.environ.get(name, "").replace(",", " ").split()


def yard_folder() -> Path:
    """The folder that holds the database, the photos and the backups; made when it is missing.

    ``TANWRIGHT_YARD``, else the place where this system keeps a person's data.
    """
    told = os.environ.get("TANWRIGHT_YARD")
    folder = Path(told).expanduser() if told else Path(platformdirs.user_data_dir("tanwright"))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            f"the folder {folder} cannot be made ({error.strerror})",
            place="TANWRIGHT_YARD",
            remedy="name a folder that you may write to",
        ) from None
    return folder.resolve()


def secret_key(folder: Path) -> str:
    """The key that signs sessions: from the environment, a file it names, or made once and kept."""
    if key := os.environ.get("TANWRIGHT_SECRET_KEY"):
        return key
    told = os.environ.get("TANWRIGHT_SECRET_KEY_FILE")
    kept = Path(told) if told else folder / "secret-key"
    try:
        return kept.read_text().strip()
    except FileNotFoundError:
        pass
    except OSError as error:
        raise InputError(
            f"{kept} cannot be read ({error.strerror})",
            place="secret key",
            remedy="make it readable for the person who runs the yard",
        ) from None
    key = secrets.token_urlsafe(64)
    try:
        # O_EXCL: of two servers that start together one makes the key and the other reads it.
        descriptor = os.open(kept, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return kept.read_text().strip()
    except OSError as error:
        raise InputError(
            f"{kept} cannot be written ({error.strerror})",
            place="secret key",
            remedy="free some space, or name another folder with TANWRIGHT_YARD",
        ) from None
    with os.fdopen(descriptor, "w") as file:
        file.write(key)
    return key

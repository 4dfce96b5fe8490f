"""Opening an archive that came from anywhere: nothing of it is trusted, nothing lands outside."""

from __future__ import annotations

import shutil
import stat
import zipfile
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from typing import Final

from tanwright.errors import InputError
from tanwright.yard.exchange.archive import cannot_write, room_for

MOST_FILES: Final = 200_000
MOST_BYTES: Final = 50_000_000_000
MOST_TIMES_LARGER: Final = 200
"""Text packs to a tenth, rows of like numbers to a fiftieth; a bomb unpacks a thousandfold."""
SMALL: Final = 10_000_000
_CHUNK: Final = 1 << 20


def unpack(path: Path, into: Path, expected: Callable[[str], bool]) -> None:
    """Unpack the archive at ``path`` into the empty folder ``into``.

    Only plain files whose names ``expected`` knows are let in; a name that leads elsewhere, a name
    twice, a link, or more bytes than the archive admits to are refused with InputError.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            members = archive.infolist()
            _look_over(members, expected)
            room_for(into, sum(member.file_size for member in members))
            for member in members:
                _take_out(archive, member, into)
    except zipfile.BadZipFile as error:
        raise _damaged(path, error) from None
    except (EOFError, NotImplementedError, RuntimeError) as error:
        raise _damaged(path, error) from None
    except FileNotFoundError:
        raise InputError("there is no such file", place=str(path)) from None
    except OSError as error:
        raise cannot_write(path, error) from None


def _look_over(members: list[zipfile.ZipInfo], expected: Callable[[str], bool]) -> None:
    if len(members) > MOST_FILES:
        raise InputError(f"{len(members)} files are too many", place="archive")
    if sum(member.file_size for member in members) > MOST_BYTES:
        raise InputError("it would unpack to more than 50 GB", place="archive")
    seen: set[str] = set()
    for member in members:
        name = member.filename
        if not _safe(name) or _is_link(member):
            raise InputError(
                f'"{name}" would be written outside its folder, or is no plain file',
                place="archive",
                remedy="take an archive that this program made",
            )
        if name.lower() in seen:
            raise InputError(f'"{name}" is in it twice', place="archive")
        seen.add(name.lower())
        if not expected(name):
            raise InputError(
                f'"{name}" does not belong into it',
                place="archive",
                remedy="take an archive that this program made",
            )
        if member.file_size > max(SMALL, MOST_TIMES_LARGER * member.compress_size):
            raise InputError(
                f'"{name}" would unpack to {member.file_size / 1e6:.0f} MB from '
                f"{member.compress_size / 1e6:.1f} MB",
                place="archive",
                remedy="take an archive that this program made",
            )


def _safe(name: str) -> bool:
    path = PurePosixPath(name)
    return (
        bool(name)
        and not name.endswith("/")
        and not path.is_absolute()
        and "\\" not in name
        and ":" not in name
        and "\x00" not in name
        and all(part not in ("..", ".", "") for part in name.split("/"))
    )


def _is_link(member: zipfile.ZipInfo) -> bool:
    mode = member.external_attr >> 16
    return bool(mode) and stat.S_IFMT(mode) not in (0, stat.S_IFREG)


def _take_out(archive: zipfile.ZipFile, member: zipfile.ZipInfo, into: Path) -> None:
    target = into / member.filename
    target.parent.mkdir(parents=True, exist_ok=True)
    # zipfile itself stops at the size that the directory admits to, and checks the CRC.
    with archive.open(member) as source, target.open("xb") as file:
        shutil.copyfileobj(source, file, _CHUNK)
    target.chmod(0o600)


def _damaged(path: Path, error: Exception) -> InputError:
    return InputError(
        f"it is damaged or no zip archive ({error})",
        place=str(path),
        remedy="copy it again, or take an earlier one",
    )

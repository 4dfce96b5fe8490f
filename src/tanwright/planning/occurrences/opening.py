"""Opening a file of occurrence records, wherever it came from, as a stream of rows.

Nothing is unpacked onto the disk: members of an archive are read through as they lie in it, so that
no name in it can lead elsewhere, and no more is read than a bound allows.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, Final, Literal

from tanwright.errors import InputError
from tanwright.planning.occurrences import terms
from tanwright.planning.occurrences.metafile import About, Layout, about, layouts

Kind = Literal["dwca", "csv", "tsv"]

MOST_BYTES: Final = 20_000_000_000
"""Unpacked."""
MOST_TIMES_LARGER: Final = 200
"""Records pack to a tenth, like rows to a fiftieth; a bomb unpacks a thousandfold."""
SMALL: Final = 10_000_000
MOST_MEMBERS: Final = 20_000
LONGEST_LINE: Final = 1_000_000
_DAMAGED: Final = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)
_TABLES: Final = (".csv", ".tsv", ".txt", ".tab")


@dataclass
class Source:
    """An opened file: its tables, of which ``core`` is read first when there are two."""

    kind: Kind
    records: Table
    core: Table | None = None
    about: About = field(default_factory=lambda: About("", ""))

    @property
    def share_read(self) -> float:
        """Of all bytes, 0 to 1."""
        tables = [self.records, *([self.core] if self.core else [])]
        size = sum(table.size for table in tables)
        return min(1.0, sum(table.stream.read_bytes for table in tables) / size) if size else 1.0


@dataclass
class Table:
    """One table as a stream; rows can be read once."""

    layout: Layout
    stream: Counted
    size: int
    place: str

    def rows(self) -> Iterator[tuple[int, list[str] | str]]:
        """Number of the line and its cells; of a line that is no row, what is wrong with it.

        Raises InputError when the stream is damaged or is no text in lines.
        """
        layout = self.layout
        text = io.TextIOWrapper(
            io.BufferedReader(self.stream, 1 << 18), encoding=layout.encoding,
            errors="surrogateescape", newline="\r" if layout.line_end == "\r" else "\n",
        )  # fmt: skip
        reader = csv.reader(
            _lines(text, self.place),
            delimiter=layout.separator,
            quotechar=layout.quote or None,
            quoting=csv.QUOTE_MINIMAL if layout.quote else csv.QUOTE_NONE,
        )
        skip = layout.heads
        while True:
            try:
                row = next(reader)
            except StopIteration:
                return
            except csv.Error:
                yield reader.line_num, "it cannot be split into columns (a stray quote or return)"
                continue
            except UnicodeError:
                raise InputError(
                    f"it is not written in {layout.encoding}", place=self.place,
                    remedy="save it as UTF-8",
                ) from None  # fmt: skip
            except _DAMAGED as error:
                raise damaged(self.place, error) from None
            if skip:
                skip -= 1
            elif row:
                yield reader.line_num, row


class Counted(io.RawIOBase):
    """A binary stream that counts what is read of it, and reads no further than it may."""

    def __init__(self, source: IO[bytes], place: str) -> None:
        self._source, self._place = source, place
        self.read_bytes = 0

    def readable(self) -> bool:
        return True

    def readinto(self, into: Any) -> int:
        piece = self._source.read(len(into))
        into[: len(piece)] = piece
        self.read_bytes += len(piece)
        if self.read_bytes > MOST_BYTES:
            raise InputError("it is longer than 20 GB", place=self._place)
        return len(piece)


@contextmanager
def opened(path: Path) -> Iterator[Source]:
    """The file at ``path``: a Darwin Core Archive, a zip with one table, or a table.

    What it is is seen from its bytes, not from its name. Raises InputError.
    """
    place = path.name
    try:
        with path.open("rb") as file:
            start = file.read(4)
            file.seek(0)
            if not start:
                raise InputError("it is empty", place=place, remedy="download it again")
            if start[:2] == b"PK":
                with zipfile.ZipFile(file) as archive:
                    yield _of_archive(archive, place)
            else:
                yield _of_table(file, path.stat().st_size, place)
    except _DAMAGED as error:
        raise damaged(place, error) from None
    except FileNotFoundError:
        raise InputError("there is no such file", place=str(path)) from None
    except IsADirectoryError:
        raise InputError("it is a folder", place=str(path), remedy="name a file") from None


def damaged(place: str, error: BaseException) -> InputError:
    """What to tell of an archive that breaks off or was packed in a way nobody expects."""
    if isinstance(error, (NotImplementedError, RuntimeError)):
        return InputError(
            "it is locked with a password or packed in an unusual way",
            place=place,
            remedy="unpack it and pack it again as a plain zip",
        )
    return InputError("it is damaged or no zip archive", place=place, remedy="download it again")


def _lines(text: io.TextIOWrapper, place: str) -> Iterator[str]:
    number = 0
    while line := text.readline(LONGEST_LINE):
        number += 1
        if len(line) >= LONGEST_LINE:
            raise InputError(
                f"line {number} has more than a million letters", place=place,
                remedy="take a file of occurrence records: one line for each",
            )  # fmt: skip
        yield line


def _of_table(file: IO[bytes], size: int, place: str) -> Source:
    stream, layout = _plain_layout(file, place)
    table = Table(layout, stream, size, place)
    return Source("tsv" if layout.separator == "\t" else "csv", table)


def _plain_layout(file: IO[bytes], place: str) -> tuple[Counted, Layout]:
    """Separator and columns of a table from its first line, which is read again afterwards."""
    head = file.readline(LONGEST_LINE)
    # A line of UTF-16 ends in the middle of a letter; one byte more is in its half.
    encoding = "utf-8-sig"
    if head[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encoding, head = "utf-16", head + file.read(1) if head[:1] == b"\xff" else head
    first, _, more = head.decode(encoding, errors="replace").rstrip("\n").partition("\r")
    best: dict[int, str] = {}
    separator, quote = ",", ""
    for sign in "\t,;|":
        quoted = '"' if sign != "\t" or '"' in first else ""
        cells = _cells(first, sign, quoted)
        found = _columns(cells)
        if len(found) > len(best):
            best, separator, quote = found, sign, quoted
    terms.need(best.values(), place)
    width = len(_cells(first, separator, quote))
    layout = Layout(
        row_type="Occurrence",
        location=place,
        encoding=encoding,
        separator=separator,
        quote=quote,
        line_end="\r" if more else "\n",
        heads=1,
        columns={term: at for at, term in best.items()},
        constants={},
        id_column=None,
        width=width,
        exact=True,
    )
    file.seek(0)
    return Counted(file, place), layout


def _cells(line: str, sign: str, quote: str) -> list[str]:
    try:
        if quote:
            return next(csv.reader([line], delimiter=sign, quotechar=quote))
        return next(csv.reader([line], delimiter=sign, quoting=csv.QUOTE_NONE))
    except (csv.Error, StopIteration):
        return line.split(sign)


def _columns(cells: list[str]) -> dict[int, str]:
    """Wanted terms by their column; of a term twice the first."""
    found: dict[int, str] = {}
    for at, cell in enumerate(cells):
        term = terms.term_of(cell)
        if term and term not in found.values():
            found[at] = term
    return found


def _of_archive(archive: zipfile.ZipFile, place: str) -> Source:
    members = {info.filename: info for info in archive.infolist() if not info.is_dir()}
    if len(members) > MOST_MEMBERS:
        raise InputError(f"{len(members)} files in it are too many", place=place)
    folder = _folder_of_meta(members)
    if folder is None:
        return _single_table(archive, members, place)
    told = layouts(_small(archive, members[f"{folder}meta.xml"], place), place)
    records, core = told.records, told.core
    source = Source("dwca", _table(archive, members, folder, records, place))
    if core is not None:
        source.core = _table(archive, members, folder, core, place)
    if told.about and (info := members.get(folder + told.about)) and info.file_size < SMALL:
        source.about = about(_small(archive, info, place))
    return source


def _folder_of_meta(members: dict[str, zipfile.ZipInfo]) -> str | None:
    """Where ``meta.xml`` lies: at the top, or in the one folder around everything."""
    for name in sorted(members, key=len):
        if re.fullmatch(r"([^/\\]+/)?meta\.xml", name) and not name.startswith("__MACOSX/"):
            return name[: -len("meta.xml")]
    return None


def _single_table(
    archive: zipfile.ZipFile, members: dict[str, zipfile.ZipInfo], place: str
) -> Source:
    tables = [
        info
        for name, info in members.items()
        if name.lower().endswith(_TABLES) and not name.startswith("__MACOSX/")
    ]
    if len(tables) != 1:
        raise InputError(
            "there is no meta.xml in it" + (" but more than one table" if tables else ""),
            place=place, remedy="take a Darwin Core Archive, or a zip with one table of records",
        )  # fmt: skip
    info = tables[0]
    _look_over(info, place)
    with archive.open(info) as peeked:
        first = io.BytesIO(peeked.read(LONGEST_LINE))
    _, layout = _plain_layout(first, f"{place}, {info.filename}")
    table = Table(layout, Counted(archive.open(info), place), info.file_size, place)
    return Source("tsv" if layout.separator == "\t" else "csv", table)


def _table(
    archive: zipfile.ZipFile, members: dict[str, zipfile.ZipInfo], folder: str, layout: Layout,
    place: str,
) -> Table:  # fmt: skip
    info = members.get(folder + layout.location)
    if info is None:
        raise InputError(
            f'"{layout.location[:80]}", which meta.xml names, is not in it', place=place,
            remedy="download it again",
        )  # fmt: skip
    _look_over(info, place)
    stream = Counted(archive.open(info), place)
    return Table(layout, stream, info.file_size, f"{place}, {layout.location}")


def _small(archive: zipfile.ZipFile, info: zipfile.ZipInfo, place: str) -> bytes:
    if info.file_size > SMALL:
        raise InputError(f'"{info.filename[:80]}" in it is far too long', place=place)
    with archive.open(info) as file:
        return file.read(SMALL)


def _look_over(info: zipfile.ZipInfo, place: str) -> None:
    if info.file_size > max(SMALL, MOST_TIMES_LARGER * info.compress_size):
        raise InputError(
            f'"{info.filename[:80]}" would unpack to {info.file_size / 1e6:.0f} MB from '
            f"{info.compress_size / 1e6:.1f} MB",
            place=place,
            remedy="take a file that you downloaded from where records are kept",
        )
    if info.file_size == 0:
        raise InputError(f'"{info.filename[:80]}" in it is empty', place=place)

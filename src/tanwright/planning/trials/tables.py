"""Reads and writes a small CSV table of known columns, with errors that name the cell."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NoReturn

from tanwright.errors import InputError
from tanwright.planning.sheet_fields import did_you_mean

MOST_BYTES: Final = 2_000_000
MOST_ROWS: Final = 20_000


@dataclass(frozen=True)
class Columns:
    """The columns of one kind of file: those that must be there and those that may."""

    all: tuple[str, ...]
    """In the order in which they are written."""
    may_lack: tuple[str, ...] = ()

    @property
    def needed(self) -> tuple[str, ...]:
        """Those without which the file cannot be read."""
        return tuple(name for name in self.all if name not in self.may_lack)


@dataclass(frozen=True)
class Cells:
    """One row with the place that an error shows."""

    row: Mapping[str, str]
    source: str
    line: int

    def refuse(self, column: str, what: str, remedy: str) -> NoReturn:
        """Raise the one-line error for ``column``."""
        raise InputError(what, place=f"{self.source}, line {self.line}, {column}", remedy=remedy)

    def get(self, column: str) -> str:
        """The cell, empty when there is none."""
        return self.row.get(column, "")

    def text(self, column: str, *, most: int = 60) -> str:
        """A cell that is not empty."""
        value = self.get(column)
        if not value:
            self.refuse(column, "is empty", f"write the {column}")
        if len(value) > most:
            self.refuse(column, "is too long", f"write up to {most} letters")
        return value

    def whole(self, column: str, low: int, high: int) -> int:
        """A whole number from ``low`` to ``high``."""
        value = self.get(column)
        try:
            number = int(value)
        except ValueError:
            self.refuse(column, f'"{value}" is not a whole number', f"write {low} to {high}")
        if not low <= number <= high:
            self.refuse(column, f"{number} cannot be", f"write {low} to {high}")
        return number

    def number(self, column: str, low: float, high: float) -> float:
        """A number from ``low`` to ``high``; a decimal comma is taken too."""
        value = self.get(column)
        try:
            number = float(value.replace(",", "."))
        except ValueError:
            self.refuse(column, f'"{value}" is not a number', "write a number, like 1.8")
        if not low <= number <= high:
            self.refuse(column, f"{value} cannot be", "check the number and the unit")
        return number


def text_of(path: Path) -> str:
    """The text of ``path``. Raises InputError for a file that cannot be read as UTF-8."""
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        raise InputError(
            "there is no such file",
            place=str(path),
            remedy="see docs/guide/trials.md for how to write it",
        ) from None
    except IsADirectoryError:
        raise InputError(
            "this is a folder", place=str(path), remedy="name the file in it"
        ) from None
    except OSError as error:
        raise InputError(
            f"cannot be read ({error.strerror})", place=str(path), remedy="check its permissions"
        ) from None
    if len(raw) > MOST_BYTES:
        raise InputError(
            "is too big to be of one trial", place=str(path), remedy="check which file it is"
        )
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(
            "this is not UTF-8 text", place=str(path), remedy="save it as CSV with UTF-8"
        ) from None


def read_cells(text: str, source: str, columns: Columns) -> list[Cells]:
    """The rows of ``text``: comma, semicolon or tab between the cells, ``#`` before a remark.

    Raises InputError for an unknown or missing column, too many cells, or an open quote.
    """
    first = text.split("\n", 1)[0]
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count), strict=True
    )
    found: list[Cells] = []
    header: list[str] | None = None
    line = 1
    try:
        for cells in reader:
            at, line = line, reader.line_num + 1
            if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
                continue
            if header is None:
                header = _header(cells, f"{source}, line {at}", columns)
                continue
            if any(cell.strip() for cell in cells[len(header) :]):
                raise InputError(
                    f"has {len(cells)} cells, but the header has {len(header)}",
                    place=f"{source}, line {at}",
                    remedy='put a text that holds a comma in double quotes, like "neck, left"',
                )
            row = dict(zip(header, (cell.strip() for cell in cells), strict=False))
            found.append(Cells(row, source, at))
    except csv.Error as error:
        raise InputError(
            f"not valid CSV: {error}",
            place=f"{source}, line {reader.line_num}",
            remedy="close every double quote on its line",
        ) from None
    if header is None:
        raise InputError(
            "there is no header line", place=source, remedy="begin with: " + ",".join(columns.all)
        )
    if len(found) > MOST_ROWS:
        raise InputError(
            f"has {len(found)} rows", place=source, remedy=f"one trial has up to {MOST_ROWS}"
        )
    return found


def _header(cells: Sequence[str], place: str, columns: Columns) -> list[str]:
    header = [cell.strip().lower() for cell in cells]
    for name in header:
        if name and name not in columns.all:
            raise InputError(
                f'there is no column "{name}"',
                place=place,
                remedy=did_you_mean(name, columns.all),
            )
        if name and header.count(name) > 1:
            raise InputError(
                f'the column "{name}" stands twice', place=place, remedy="leave one of them out"
            )
    missing = [name for name in columns.needed if name not in header]
    if missing:
        raise InputError(
            "the header lacks " + " and ".join(missing),
            place=place,
            remedy="begin with: " + ",".join(columns.all),
        )
    return header


def csv_text(columns: Columns, rows: Iterable[Sequence[object]]) -> str:
    """A table as text, its header first; ``None`` is an empty cell."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns.all)
    writer.writerows(["" if cell is None else cell for cell in row] for row in rows)
    return out.getvalue()

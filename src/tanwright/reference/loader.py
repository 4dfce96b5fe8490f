"""Reads the reference tables, refuses a row that breaks a rule, and keeps them for the process.

Every refusal is a :class:`tanwright.errors.DataError` that names file, line and column.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from tanwright.errors import DataError
from tanwright.reference.schema import Column, Schema, read_schema, words_of

FOLDER = Path(__file__).parent / "tables"
BIBLIOGRAPHY = Path(__file__).parent / "references.bib"


Record = TypeVar("Record")


@dataclass(frozen=True)
class Row:
    """One checked row; empty cells are ``""``, ``None`` or ``()`` according to the getter."""

    line: int
    cells: Mapping[str, str]

    def text(self, column: str) -> str:
        """Cell as text."""
        return self.cells[column]

    def words(self, column: str) -> tuple[str, ...]:
        """Words of a ``;``-separated cell."""
        return words_of(self.cells[column])

    def number(self, column: str) -> float:
        """Cell of a required number, in the unit of its column."""
        return float(self.cells[column])

    def optional(self, column: str) -> float | None:
        """Cell of a number that may be missing."""
        cell = self.cells[column]
        return float(cell) if cell else None


@lru_cache(maxsize=256)
def table(name: str, folder: Path = FOLDER) -> tuple[Row, ...]:
    """Rows of a table, checked. Raises DataError naming file, line and column."""
    schema = schema_of(name, folder)
    rows = _read(schema, folder)
    keys: dict[tuple[str, ...], int] = {}
    for row in rows:
        for column in schema.columns:
            problem = column.problem(row.cells[column.name])
            if problem:
                raise _refusal(schema, row, column, problem)
        _check_rules(schema, row)
        key = tuple(row.cells[part] for part in schema.key)
        if key in keys:
            raise _refusal(
                schema,
                row,
                _column(schema, schema.key[0]),
                f"repeats the key of line {keys[key]} ({', '.join(key)})",
                "give each row its own key",
            )
        keys[key] = row.line
    for column in schema.columns:
        if column.refers:
            _check_references(schema, rows, column, folder)
    return rows


def record(kind: type[Record], row: Row) -> Record:
    """Row as a dataclass whose fields are named like the columns.

    Fields are str, float, float | None, bool (yes or no) or tuple[str, ...].
    """
    values: dict[str, Any] = {}
    for field in fields(kind):  # type: ignore[arg-type]
        values[field.name] = _READERS[str(field.type)](row, field.name)
    return kind(**values)


_READERS = {
    "str": Row.text,
    "float": Row.number,
    "float | None": Row.optional,
    "bool": lambda row, name: row.text(name) == "yes",
    "tuple[str, ...]": Row.words,
}


@lru_cache(maxsize=256)
def schema_of(name: str, folder: Path = FOLDER) -> Schema:
    """Side file of a table: columns, units, ranges and allowed words."""
    return read_schema(folder / f"{name}.toml")


@lru_cache(maxsize=256)
def column_values(name: str, column: str, folder: Path = FOLDER) -> frozenset[str]:
    """All values in one column of a table, read without checking the rest of it."""
    schema = schema_of(name, folder)
    if column not in {part.name for part in schema.columns}:
        raise DataError(f'the table has no column "{column}"', place=f"{name}.toml")
    return frozenset(row.cells[column] for row in _read(schema, folder))


def table_names(folder: Path = FOLDER) -> tuple[str, ...]:
    """Names of all tables, sorted."""
    return tuple(sorted(path.stem for path in folder.glob("*.csv")))


def check_all(folder: Path = FOLDER) -> dict[str, int]:
    """Rows of every table by name, all checked. Raises DataError at the first fault."""
    return {name: len(table(name, folder)) for name in table_names(folder)}


@lru_cache(maxsize=8)
def data_version(folder: Path = FOLDER) -> str:
    """First 12 hexadecimal digits of the SHA-256 over the tables, in the order of their names."""
    digest = hashlib.sha256()
    for name in table_names(folder):
        digest.update(name.encode())
        digest.update((folder / f"{name}.csv").read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()[:12]


@lru_cache(maxsize=256)
def _read(schema: Schema, folder: Path) -> tuple[Row, ...]:
    path = folder / f"{schema.name}.csv"
    expected = [column.name for column in schema.columns]
    rows = []
    try:
        with path.open(encoding="utf-8", newline="") as handle:
            reader = csv.reader(handle, strict=True)
            header = next(reader, [])
            if header != expected:
                missing = [name for name in expected if name not in header]
                raise DataError(
                    f"the columns are not those of {schema.name}.toml"
                    + (f" (missing: {', '.join(missing)})" if missing else ""),
                    place=f"{path.name} line 1",
                    remedy="write the header: " + ",".join(expected),
                )
            for cells in reader:
                if len(cells) != len(expected):
                    raise DataError(
                        f"the row has {len(cells)} cells instead of {len(expected)}",
                        place=f"{path.name} line {reader.line_num}",
                        remedy="put text with commas in double quotes",
                    )
                rows.append(Row(reader.line_num, dict(zip(expected, cells, strict=True))))
    except FileNotFoundError:
        raise DataError("the table is missing", place=path.name) from None
    except (csv.Error, UnicodeDecodeError) as err:
        raise DataError(
            f"the table cannot be read ({err})", place=path.name, remedy="save it as UTF-8 CSV"
        ) from None
    return tuple(rows)


def _check_rules(schema: Schema, row: Row) -> None:
    for rule in schema.rules:
        first, second = (row.cells[name] for name in rule.columns)
        column = _column(schema, rule.columns[0])
        if rule.kind == "ordered" and first and second and float(first) > float(second):
            raise _refusal(
                schema,
                row,
                column,
                f"is above {rule.columns[1]} ({first} > {second})",
                "write the lower figure first",
            )
        if rule.kind == "one-of" and not first and not second:
            raise _refusal(
                schema,
                row,
                column,
                f"and {rule.columns[1]} are both empty",
                "write at least one of the two",
            )


def _check_references(schema: Schema, rows: tuple[Row, ...], column: Column, folder: Path) -> None:
    known = column_values(*_target(column), folder)
    for row in rows:
        cell = row.cells[column.name]
        for word in words_of(cell) if column.kind == "words" else ((cell,) if cell else ()):
            if word not in known:
                raise _refusal(schema, row, column, f'names "{word}", which {column.refers} lacks')


def _column(schema: Schema, name: str) -> Column:
    return next(column for column in schema.columns if column.name == name)


def _refusal(schema: Schema, row: Row, column: Column, problem: str, remedy: str = "") -> DataError:
    return DataError(
        f"{column.name} {problem}",
        place=f"{schema.name}.csv line {row.line} column {column.name}",
        remedy=remedy or column.remedy(),
    )


def _target(column: Column) -> tuple[str, str]:
    name, _, other = column.refers.partition(".")
    return name, other

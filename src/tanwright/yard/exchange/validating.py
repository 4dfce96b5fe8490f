"""Checking a package before anything of it is taken in: one line for each fault."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import frictionless
from django.core.exceptions import ValidationError
from django.db import models

from tanwright.errors import InputError, TanwrightError
from tanwright.yard.exchange.package import DATA, DESCRIPTOR, FORMAT_VERSION, PHOTOS
from tanwright.yard.exchange.tables import columns, from_cell, name_of, schema, tables
from tanwright.yard.journal.kinds import kind_of

MOST_FAULTS: Final = 50
_PHOTO: Final = re.compile(rf"{PHOTOS}/[\w./-]+\.(jpg|jpeg|png|webp)", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True)
class Fault:
    """Something in a package that cannot be taken in; ``row`` counts from 1,
    the head of the table."""

    file: str
    row: int | None
    column: str
    what: str

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column:
            place += f", column {self.column}"
        return f"{place}: {self.what}"


Rows = dict[type[models.Model], list[dict[str, Any]]]


def belongs(name: str) -> bool:
    """Whether a file of this name may be in a package."""
    known = {DESCRIPTOR, *(f"{DATA}/{name_of(model)}.csv" for model in tables())}
    return name in known or bool(_PHOTO.fullmatch(name))


def validated(folder: Path) -> tuple[Rows, list[Fault]]:
    """The rows of the package unpacked in ``folder`` as Python values, and what is wrong with it.

    Structure, checksums, schemas and references are checked by the frictionless library against
    our own schemas (not those that the package brings); values once more as the columns demand;
    entries against their kinds.
    """
    descriptor, faults = _descriptor(folder)
    if not faults:
        faults = _by_frictionless(folder, descriptor)
    if faults:
        return {}, faults[:MOST_FAULTS]
    rows: Rows = {}
    for model in tables():
        rows[model], wrong = _values(folder, model)
        faults += wrong
    if not faults:
        faults = [*_entries(rows), *_photos(folder, rows)]
    return rows, faults[:MOST_FAULTS]


def _descriptor(folder: Path) -> tuple[dict[str, Any], list[Fault]]:
    try:
        told = json.loads((folder / DESCRIPTOR).read_text("utf-8"))
        version = str(told["version"])
        resources = {str(item["path"]): item for item in told["resources"]}
        names = {str(item["name"]) for item in told["resources"]}
    except FileNotFoundError:
        return {}, [Fault(DESCRIPTOR, None, "", "is missing: this is no export of a yard")]
    except (ValueError, KeyError, TypeError, RecursionError):
        return {}, [Fault(DESCRIPTOR, None, "", "cannot be read")]
    faults = []
    if version != FORMAT_VERSION:
        faults.append(
            Fault(
                DESCRIPTOR, None, "", f"is of version {version[:20]}; this reads {FORMAT_VERSION}"
            )
        )
    for path in (f"{DATA}/{name_of(model)}.csv" for model in tables()):
        if path not in resources or not (folder / path).is_file():
            faults.append(Fault(path, None, "", "is missing"))
    for file in sorted(folder.rglob("*")):
        name = file.relative_to(folder).as_posix()
        if file.is_file() and name != DESCRIPTOR and name not in resources:
            faults.append(Fault(name, None, "", "is not listed in datapackage.json"))
    if len(names) != len(told["resources"]) or len(resources) != len(told["resources"]):
        faults.append(Fault(DESCRIPTOR, None, "", "lists something twice"))
    return told, faults


def _by_frictionless(folder: Path, told: dict[str, Any]) -> list[Fault]:
    by_path = {f"{DATA}/{name_of(model)}.csv": model for model in tables()}
    resources: list[dict[str, Any]] = []
    for item in told["resources"]:
        path, checksum, size = str(item["path"]), item.get("hash"), item.get("bytes")
        if not belongs(path):
            return [
                Fault(DESCRIPTOR, None, "", f'lists "{path[:80]}", which does not belong to it')
            ]
        if not isinstance(checksum, str) or not isinstance(size, int):
            return [Fault(path, None, "", "has no checksum or size in datapackage.json")]
        own: dict[str, Any] = {"path": path, "hash": checksum, "bytes": size}
        if model := by_path.get(path):
            resources.append(
                {**own, "name": name_of(model), "type": "table", "format": "csv",
                 "encoding": "utf-8", "scheme": "file", "schema": schema(model)}
            )  # fmt: skip
        else:
            resources.append({**own, "name": f"photo-{len(resources)}", "type": "file"})
    package = frictionless.Package.from_descriptor(
        {"name": "yard", "resources": resources}, basepath=str(folder)
    )
    report = package.validate(limit_errors=MOST_FAULTS)
    faults = [_fault(DESCRIPTOR, error) for error in report.errors]
    for task in report.tasks:
        faults += [_fault(str(task.place), error) for error in task.errors]
    return faults


def _fault(file: str, error: frictionless.Error) -> Fault:
    row = getattr(error, "row_number", None)
    column = str(getattr(error, "field_name", "") or "")
    return Fault(file, row, column, " ".join(error.message.split())[:300])


def _values(folder: Path, model: type[models.Model]) -> tuple[list[dict[str, Any]], list[Fault]]:
    name = f"{DATA}/{name_of(model)}.csv"
    wanted = columns(model)
    rows, faults = [], []
    with (folder / name).open(encoding="utf-8", newline="") as file:
        for number, row in enumerate(csv.DictReader(file), start=2):
            values = {}
            for column in wanted:
                try:
                    values[column.attname] = from_cell(column, row[column.attname])
                except ValidationError as error:
                    what = f"{_short(row[column.attname])} {' '.join(error.messages)}"
                    faults.append(Fault(name, number, column.attname, what))
            rows.append(values)
    return rows, faults


def _entries(rows: Rows) -> Iterator[Fault]:
    """Entries whose kind is not known, is not of their record, or whose data do not fit it."""
    by_name = {name_of(model): table for model, table in rows.items()}
    records = {row["id"]: row["kind"] for row in by_name["journal-record"]}
    for number, row in enumerate(by_name["journal-entry"], start=2):
        fault = _entry_fault(row, records[row["record_id"]])
        if fault:
            yield Fault(f"{DATA}/journal-entry.csv", number, *fault)


def _entry_fault(row: dict[str, Any], record_kind: str) -> tuple[str, str] | None:
    try:
        kind = kind_of(row["kind"])
    except InputError:
        return "kind", f"{_short(row['kind'])} is not a kind of entry that this program knows"
    if kind.record_kind != record_kind:
        return "kind", f"{kind.name} is not noted of a {record_kind}"
    if not isinstance(row["data"], dict):
        return "data", "is not a JSON object"
    try:
        # What the log page will do with it: data that cannot be told cannot be used either.
        kind.say(row["data"], "metric")
    except (LookupError, TypeError, ValueError, ArithmeticError, TanwrightError):
        return "data", f"does not fit an entry of kind {kind.name}"
    return None


def _photos(folder: Path, rows: Rows) -> Iterator[Fault]:
    for model, table in rows.items():
        for column in columns(model):
            if not isinstance(column, models.FileField):
                continue
            for number, row in enumerate(table, start=2):
                name = row[column.attname]
                if name and not belongs(f"{PHOTOS}/{name}"):
                    what = f"{_short(name)} is not the name of a photo"
                    yield Fault(f"{DATA}/{name_of(model)}.csv", number, column.attname, what)
                elif name and not (folder / PHOTOS / name).is_file():
                    what = f"{_short(name)} is not in the package"
                    yield Fault(f"{DATA}/{name_of(model)}.csv", number, column.attname, what)


def _short(cell: str) -> str:
    return f'"{cell[:40]}…"' if len(cell) > 40 else f'"{cell}"'

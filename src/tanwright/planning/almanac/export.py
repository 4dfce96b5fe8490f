"""The whole reference as CSV, each row's source spelled out, in one zip."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from tanwright.errors import InputError
from tanwright.planning.almanac.contradictions import contradictions
from tanwright.reference.loader import BIBLIOGRAPHY, data_version, schema_of, table, table_names
from tanwright.reference.schema import Column, Schema
from tanwright.reference.sources import cite

SPELLED = "_spelled_out"
"""Ending of the column that says in words what a column of keys says."""
STAMP = (1980, 1, 1, 0, 0, 0)
"""Time of every file in the zip, so that one reference gives one and the same zip."""


def export(target: Path | BinaryIO) -> None:
    """Write the reference as a zip file: a CSV for each table, README and references.bib.

    ``target`` is a stream, a file name that ends in .zip, or a folder (then the files are written
    into it as they are, replacing those of the same names). CSV as RFC 4180, UTF-8. Raises
    InputError when it cannot be written.
    """
    if not isinstance(target, Path):
        _zip(target)
        return
    try:
        if target.suffix.lower() == ".zip":
            with target.open("wb") as stream:
                _zip(stream)
            return
        for name, text in files():
            path = target / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="")
    except OSError as error:
        raise InputError(
            f"cannot be written ({error.strerror})",
            place=str(target),
            remedy="choose a folder that you may write to",
        ) from None


def files() -> Iterator[tuple[str, str]]:
    """Name and text of every file of the export."""
    yield "README.txt", _readme()
    yield "references.bib", BIBLIOGRAPHY.read_text(encoding="utf-8")
    for name in table_names():
        yield f"tables/{name}.csv", _table(name)
    yield "contradictions.csv", _contradictions()


def _zip(stream: BinaryIO) -> None:
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files():
            entry = zipfile.ZipInfo(name, STAMP)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, text)


def _table(name: str) -> str:
    schema = schema_of(name)
    cited = _cited(schema)
    head = [column.name for column in schema.columns]
    rows = [
        [*row.cells.values(), *("; ".join(cite(row.words(column.name))) for column in cited)]
        for row in table(name)
    ]
    return _csv([*head, *(column.name + SPELLED for column in cited)], rows)


def _cited(schema: Schema) -> list[Column]:
    return [column for column in schema.columns if column.refers == "sources.key"]


def _contradictions() -> str:
    head = ["id", "kind", "about", "material_id", "side", "says", "sources", "sources" + SPELLED,
            "reason", "what_is_done"]  # fmt: skip
    rows = [
        [
            each.id, each.kind, each.about, each.material_id, str(number), side.says,
            ";".join(side.sources), "; ".join(cite(side.sources)), each.reason, each.what_is_done,
        ]
        for each in contradictions()
        for number, side in enumerate(each.sides, start=1)
    ]  # fmt: skip
    return _csv(head, rows)


def _csv(head: list[str], rows: list[list[str]]) -> str:
    """Lines end in CR LF and cells are quoted where they must be (RFC 4180)."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()


def _readme() -> str:
    lines = [
        "Reference of tanwright: plants that hold tannin and what else the tool knows",
        "",
        f"Data version {data_version()}. CSV after RFC 4180, UTF-8; the first line names columns.",
        "Every key of a source is spelled out in the last columns of its row and stands in",
        "references.bib. 'from memory' means that nobody's printed figure was at hand, 'common",
        "practice' a rule of the trade without one source, 'worked out here' a figure of our own.",
        "Figures are facts and free to use; name the source that the row names, not this file.",
        "",
        "A caution: some of the plants are poisonous or protected (track_record avoid, hazards).",
        "",
        "contradictions.csv: where sources do not agree",
    ]
    for name in table_names():
        schema = schema_of(name)
        lines += ["", f"tables/{name}.csv: {schema.title}"]
        lines += [f"  {line}" for line in schema.notes.splitlines()]
        for column in schema.columns:
            unit = f" [{column.unit}]" if column.unit else ""
            lines.append(f"  {column.name}{unit}: {column.meaning}")
    return "\n".join(lines) + "\n"

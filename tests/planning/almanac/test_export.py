"""The export is a zip of CSV files that any reader opens, with every source spelled out."""

from __future__ import annotations

import csv
import io
import zipfile
from pathlib import Path

import bibtexparser
import pytest

from tanwright.errors import InputError
from tanwright.planning.almanac import contradictions, export
from tanwright.reference.loader import table, table_names


def exported() -> zipfile.ZipFile:
    stream = io.BytesIO()
    export(stream)
    return zipfile.ZipFile(stream)


def read(archive: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    text = archive.read(name).decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_it_holds_every_table_whole() -> None:
    archive = exported()
    assert archive.testzip() is None
    names = set(archive.namelist())
    assert {"README.txt", "references.bib", "contradictions.csv"} <= names
    for name in table_names():
        rows = read(archive, f"tables/{name}.csv")
        assert len(rows) == len(table(name))
        for ours, theirs in zip(table(name), rows, strict=True):
            assert {key: theirs[key] for key in ours.cells} == dict(ours.cells)


def test_each_row_spells_its_source_out() -> None:
    rows = read(exported(), "tables/observations.csv")
    assert all(row["source_spelled_out"] for row in rows)
    oak = next(row for row in rows if row["id"] == "quercus-robur-bark.paaver2019.1")
    assert "Paaver" in oak["source_spelled_out"]
    assert "Total tannin content" in oak["source_spelled_out"]
    plants = read(exported(), "tables/materials.csv")
    assert all(row["sources_spelled_out"] for row in plants)


def test_lines_end_as_rfc_4180_says() -> None:
    archive = exported()
    for name in archive.namelist():
        if name.endswith(".csv"):
            text = archive.read(name).decode("utf-8")
            assert text.endswith("\r\n")
            assert text.count("\r\n") == text.count("\n"), name


def test_contradictions_come_side_by_side() -> None:
    rows = read(exported(), "contradictions.csv")
    assert len(rows) == sum(len(each.sides) for each in contradictions())
    assert all(row["sources_spelled_out"] for row in rows)


def test_the_bibliography_parses_and_holds_every_key() -> None:
    archive = exported()
    library = bibtexparser.parse_string(archive.read("references.bib").decode("utf-8"))
    assert not library.failed_blocks
    keys = {entry.key for entry in library.entries}
    assert {row["source"] for row in read(archive, "tables/observations.csv")} <= keys


def test_the_same_reference_gives_the_same_bytes() -> None:
    one, other = io.BytesIO(), io.BytesIO()
    export(one)
    export(other)
    assert one.getvalue() == other.getvalue()


def test_into_a_file_or_a_folder(tmp_path: Path) -> None:
    export(tmp_path / "reference.zip")
    assert zipfile.is_zipfile(tmp_path / "reference.zip")
    export(tmp_path / "plain")
    written = {
        str(path.relative_to(tmp_path / "plain")) for path in (tmp_path / "plain").rglob("*.*")
    }
    assert written == set(exported().namelist())


def test_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(InputError, match="cannot be written"):
        export(tmp_path / "file" / "reference.zip")

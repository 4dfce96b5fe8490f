"""``tanwright seen``: what a file of occurrence records tells of plants near a position."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from tanwright.cli import occurrences
from tanwright.errors import InputError
from tests.planning.occurrences.archives import HEADS, OAKS, archive_of_oaks, table

app = typer.Typer()
occurrences.register(app)


def run(*args: str) -> str:
    found = CliRunner().invoke(app, list(args), catch_exceptions=False)
    assert found.exit_code == 0, found.output
    return found.stdout


def test_a_table_of_plants(tmp_path: Path) -> None:
    said = run(str(archive_of_oaks(tmp_path / "oaks.zip")), "--at", "51.2, 9.4")
    assert "5 records: 4 of plants that the reference knows (1 by their genus alone), 1 of" in said
    assert "Quercus robur" in said
    assert "May" in said
    assert "A keeper (2026): Trees round a yard." in said


def test_json_and_us_units(tmp_path: Path) -> None:
    path = tmp_path / "records.tsv"
    path.write_text(table(HEADS, [*OAKS, ("x", "Quercus robur", "", "", "2024-05-01")]))
    told = json.loads(run(str(path), "--at", "geo:51.2,9.4", "--within", "5 mi", "--json"))
    assert told["within_km"] == pytest.approx(8.047, abs=0.001)
    assert [plant["taxon"] for plant in told["plants"]] == ["Quercus robur", "Quercus"]
    assert told["plants"][0]["months"][4] == 2
    assert told["records"]["first_refused"] == [{"line": 7, "what": "it has no position"}]
    said = run(str(path), "--at", "51.2, 9.4", "--within", "1 km", "--units", "us")
    assert "1: it has no position (line 7)" in said
    assert "Within 0.62 mi" in said


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--at", "here"], "--at: "),
        (["--at", "51.2, 9.4", "--within", "far"], "--within: "),
        (["--at", "51.2, 9.4", "--within", "9000 km"], "--within: a reach of 9000 km"),
        (["--at", "51.2, 9.4"], "no such file"),
    ],
)
def test_what_cannot_be_is_told_with_its_place(tmp_path: Path, args: list[str], said: str) -> None:
    path = archive_of_oaks(tmp_path / "oaks.zip")
    file = tmp_path / "none.zip" if "file" in said else path
    with pytest.raises(InputError, match=said):
        run(str(file), *args)

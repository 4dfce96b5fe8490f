"""Every example can be read, and its readings belong to it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tanwright.planning.readings_reader import read_readings
from tanwright.planning.sheet_reader import read_sheet

FOLDER = Path(__file__).parents[2] / "examples"
SHEETS = sorted(FOLDER.glob("*.toml"))
READINGS = {
    "first-readings.csv": "first-sheet.toml",
    "first-readings-later.csv": "first-sheet.toml",
    "first-readings-typo.csv": "first-sheet.toml",
    "deer-readings.csv": "deer-hemlock.toml",
}


def test_there_are_examples() -> None:
    assert len(SHEETS) >= 5
    assert {path.name for path in FOLDER.glob("*.csv")} == set(READINGS)


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_every_sheet_can_be_read(path: Path) -> None:
    sheet = read_sheet(path, today=date(2026, 3, 1))
    assert sheet.skins
    assert sheet.lots
    assert not any("(usually" in note for note in sheet.notes)


@pytest.mark.parametrize("name", READINGS)
def test_every_readings_file_belongs_to_its_sheet(name: str) -> None:
    sheet = read_sheet(FOLDER / READINGS[name], today=date(2026, 3, 1))
    readings = read_readings(FOLDER / name, start=sheet.aim.start)
    assert len(readings.rows) >= 6
    assert readings.notes == ()

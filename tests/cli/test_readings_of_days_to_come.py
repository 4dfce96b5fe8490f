"""A reading dated later than today is taken and told; one of no tannage is refused."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from tanwright.cli.run import run


def test_a_reading_after_today_is_taken_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    begun = date.today() - timedelta(days=9)
    later = date.today() + timedelta(days=40)
    sheet = tmp_path / "mine.toml"
    sheet.write_text(
        f'[[skin]]\nanimal = "goat"\n[[material]]\nid = "unknown-bark"\n[aim]\nstart = {begun}\n',
        encoding="utf-8",
    )
    readings = tmp_path / "mine.csv"
    readings.write_text(f"date,kind,value\n{begun},look,tea\n{later},look,tea\n", encoding="utf-8")
    assert run(["forecast", str(sheet), str(readings), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["today"] == str(later)
    assert any("If its date is a slip" in note for note in told["notes"])
    assert run(["forecast", str(sheet), str(readings), "--today", str(begun)]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert "--today" in line
    far = date.today() + timedelta(days=4000)
    readings.write_text(f"date,kind,value\n{far},look,tea\n", encoding="utf-8")
    assert run(["forecast", str(sheet), str(readings)]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert line.startswith("tanwright: mine.csv, line 2, date: ")

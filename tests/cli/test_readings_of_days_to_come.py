"""A reading dated later than today is asked about, not believed."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from tanwright.cli.run import run


def test_a_reading_after_today_is_one_line_and_status_2(
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
    assert run(["forecast", str(sheet), str(readings)]) == 2
    shown = capsys.readouterr()
    (line,) = shown.err.strip().splitlines()
    assert line.startswith("tanwright: mine.csv, line 3, date: ")
    assert f"--today {later}" in line
    assert shown.out == ""
    assert run(["forecast", str(sheet), str(readings), "--today", str(later), "--json"]) == 0

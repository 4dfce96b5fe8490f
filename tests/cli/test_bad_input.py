"""Bad input: one clear line on stderr with place and remedy, exit 2, nothing half written."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.cli.run import run
from tanwright.errors import InputError
from tanwright.planning.answers import Answer
from tanwright.planning.as_json import answer_to_json
from tanwright.planning.forecast import make_forecast
from tanwright.planning.plan import make_plan
from tanwright.planning.readings_reader import parse_readings
from tanwright.planning.sheet_reader import sheet_from_options
from tests.planning.tannages import START, on

GOOD = """[[skin]]
animal = "goat"
weight = "2 kg"
[[material]]
id = "quercus-robur-bark"
have = "6 kg"
[vat]
volume = "15 L"
[aim]
start = 2026-03-01
"""
HEADER = "date,kind,value,unit,place,note\n"
Out = pytest.CaptureFixture[str]


def refused(capsys: Out, *arguments: str) -> str:
    """The one line that the command refuses with."""
    status = run(list(arguments))
    shown = capsys.readouterr()
    assert status == 2, shown.err or shown.out
    assert shown.out == ""
    lines = shown.err.splitlines()
    assert len(lines) == 1
    assert lines[0].startswith("tanwright: ")
    assert len(lines[0]) < 400
    return lines[0]


SHEETS = {
    "unknown unit": ('"2 kg"', '"2 stone-ish"', ("weight", "cannot be read")),
    "no unit": ('"2 kg"', "2", ("weight", "no unit", '"2 kg"')),
    "negative": ('"2 kg"', '"-2 kg"', ("weight", "below zero")),
    "nought": ('"2 kg"', '"0 kg"', ("weight", "not above nought")),
    "nan": ('"2 kg"', '"nan kg"', ("weight", "finite")),
    "bare nan": ('"2 kg"', "nan", ("weight", "no unit")),
    "huge": ('"2 kg"', '"1e300 kg"', ("weight", "too much")),
    "huge lot": ('"6 kg"', '"1e12 kg"', ("have", "too much")),
    "speck": ('"6 kg"', '"1e-9 kg"', ("have", "too little")),
    "huge vat": ('"15 L"', '"1e9 L"', ("volume", "too much")),
    "a 300 kg squirrel": (
        '"goat"\nweight = "2 kg"', '"squirrel"\nweight = "300 kg"',
        ("weight", "not the weight of one green squirrel", "30 to 100 g"),
    ),
    "many skins": ('"2 kg"', '"2 kg"\ncount = 100000000', ("count", "too many")),
    "a thick skin": ('"2 kg"', '"2 kg"\nthickness = "500 mm"', ("thickness", "like 2 mm")),
    "a list": ('"2 kg"', '["2 kg"]', ("weight",)),
    "a small vat": ('"15 L"', '"500 mL"', ("volume", "smaller than the wet skins", "or more")),
    "a boiling vat": ('"15 L"', '"15 L"\ntemperature = "90 C"', ("temperature", "-20 to 45")),
    "unknown plant": ("quercus-robur-bark", "qercus-robur-brak", ("id", "did you mean quercus")),
    "unknown animal": ('"goat"', '"unicorn"', ("animal", "squirrel, rabbit")),
    "unknown key": ("have", "hve", ("hve", "did you mean have")),
    "unknown table": ("[vat]", "[vatt]", ("vatt", "did you mean vat")),
    "too much tannin": ("have", 'tannin = "200 %"\nhave', ("tannin", "more tannin than any")),
    "bad date": ("2026-03-01", '"2026-13-41"', ("start", "not a date")),
    "far date": ("2026-03-01", "9999-12-30", ("start", "9999")),
    "finish before start": (
        "2026-03-01", "2026-03-01\nwanted_by = 2026-02-01", ("wanted_by", "before the start"),
    ),
    "bad degree": ("2026-03-01", '2026-03-01\ndegree = "900"', ("degree", "30-45")),
    "malformed": ("[vat]", "[vat", ("line 7", "not valid TOML")),
    "junk": (GOOD, "\x07\U0001f43f", ("line 1", "not valid TOML")),
    "empty": (GOOD, "", ("no skin yet", '[[skin]] with animal = "goat"')),
    "no material": ('[[material]]\nid = "quercus-robur-bark"\nhave = "6 kg"\n', "", (
        "no plant material", "unknown-bark",
    )),
    "tiny pot": ("[vat]", '[tools]\npot = "1e-6 L"\n[vat]', ("pot", "too little")),
}  # fmt: skip


@pytest.mark.parametrize("name", SHEETS)
def test_a_bad_sheet_is_one_line_with_place_and_remedy(
    name: str, tmp_path: Path, capsys: Out
) -> None:
    old, new, parts = SHEETS[name]
    assert old in GOOD
    sheet = tmp_path / "bad.toml"
    sheet.write_text(GOOD.replace(old, new, 1), encoding="utf-8")
    pictures = tmp_path / "pictures"
    line = refused(capsys, "plan", str(sheet), "--pictures", str(pictures))
    assert line.startswith("tanwright: bad.toml")
    for part in parts:
        assert part in line
    assert not pictures.exists()


ROWS = {
    "2026-02-01,look,tea,,,": ("line 2, date", "before the start"),
    "2046-03-01,look,tea,,,": ("line 2, date", "years after"),
    "9999-12-30,look,tea,,,": ("line 2, date", "years after"),
    "2026-02-31,look,tea,,,": ("line 2, date", "not a date"),
    "2026-03-03 25:00,look,tea,,,": ("line 2, date", "not a date"),
    "2026-03-03,strenght,3,bk,,": ("line 2, kind", "did you mean strength"),
    "2026-03-03,strength,3,furlongs,,": ("line 2, unit", "bk, sg"),
    "2026-03-03,strength,99,brix,,": ("line 2, value", "Brix"),
    "2026-03-03,strength,nan,bk,,": ("line 2, value", "not a number"),
    "2026-03-03,strength,1e300,bk,,": ("line 2, value", "not a number"),
    "2026-03-03,cut,,,,": ("line 2, value", "is empty"),
    "2026-03-03,cut,7,,,": ("line 2, value", "share"),
    "2026-03-03,look,purple haze,,,": ("line 2, value", "pale tea"),
    "2026-03-03,ph,99,,,": ("line 2, value", "0 to 14"),
    "2026-03-03,temperature,4000,C,,": ("line 2, value", "check the unit"),
    "2026-03-03,weight,-1,kg,,": ("line 2, value",),
    "2026-03-03,weight,1e300,kg,,": ("line 2, value", "more than any one skin"),
    "2026-03-03,weight,3,parsec,,": ("line 2, unit", "mass"),
    "2026-03-03,event,exploded,,,": ("line 2, value", "frozen"),
    "2026-03-03,event,moved,,,": ("line 2, value", "moved to 8 C"),
    "2026-03-03,event,moved to 900 C,,,": ("line 2, value", "check the unit"),
    "2026-03-03,strengthened,500,kg,,": ("line 2, value", "more than a vat of 15 L"),
    "2026-03-03,strengthened,40,L,swap,": ("line 2, value", "more than the vat holds"),
    "2026-03-03,strengthened,5,L,swap,900 bk": ("line 2, note", "no liquor is as strong"),
    '2026-03-03,look,"tea,,,': ("line 2", "not valid CSV"),
    "2026-03-03,look,tea,a,b,c,d,e": ("line 2", "cells"),
}


@pytest.mark.parametrize("row", ROWS)
def test_a_bad_reading_is_one_line_with_line_and_column(
    row: str, tmp_path: Path, capsys: Out
) -> None:
    sheet, readings = tmp_path / "good.toml", tmp_path / "bad.csv"
    sheet.write_text(GOOD, encoding="utf-8")
    readings.write_text(HEADER + row + "\n", encoding="utf-8")
    line = refused(capsys, "forecast", str(sheet), str(readings), "--members", "100")
    assert line.startswith("tanwright: bad.csv, ")
    for part in ROWS[row]:
        assert part in line


def test_files_that_are_no_files(tmp_path: Path, capsys: Out) -> None:
    good = tmp_path / "good.toml"
    good.write_text(GOOD, encoding="utf-8")
    binary = tmp_path / "binary"
    binary.write_bytes(b"\xff\xfe\x00\x01 caf\xe9")
    empty = tmp_path / "empty.csv"
    empty.write_bytes(b"")
    gone, folder = str(tmp_path / "gone"), str(tmp_path)
    assert "no such file" in refused(capsys, "plan", gone)
    assert "folder" in refused(capsys, "plan", folder)
    assert "UTF-8" in refused(capsys, "plan", str(binary))
    assert "no such file" in refused(capsys, "forecast", str(good), gone)
    assert "folder" in refused(capsys, "forecast", str(good), folder)
    assert "UTF-8" in refused(capsys, "forecast", str(good), str(binary))
    assert "header" in refused(capsys, "forecast", str(good), str(empty))
    assert "header lacks" in _with_header(capsys, good, tmp_path, "date,value\n")
    assert 'no column "kid"' in _with_header(capsys, good, tmp_path, "date,kid,value\n")


def _with_header(capsys: Out, sheet: Path, folder: Path, text: str) -> str:
    readings = folder / "header.csv"
    readings.write_text(text, encoding="utf-8")
    return refused(capsys, "forecast", str(sheet), str(readings))


def test_an_unreadable_file_is_told(
    tmp_path: Path, capsys: Out, monkeypatch: pytest.MonkeyPatch
) -> None:
    good, readings = tmp_path / "good.toml", tmp_path / "r.csv"
    good.write_text(GOOD, encoding="utf-8")
    readings.write_text(HEADER, encoding="utf-8")
    really = Path.read_bytes

    def locked(path: Path) -> bytes:
        if path.name == "r.csv":
            raise PermissionError(13, "Permission denied")
        return really(path)

    monkeypatch.setattr(Path, "read_bytes", locked)
    assert "Permission denied" in refused(capsys, "forecast", str(good), str(readings))


def test_a_picture_folder_that_cannot_be_written(
    tmp_path: Path, capsys: Out, monkeypatch: pytest.MonkeyPatch
) -> None:
    good, plain = tmp_path / "good.toml", tmp_path / "plain.txt"
    good.write_text(GOOD, encoding="utf-8")
    plain.write_text("a file, not a folder")
    few = ["--members", "100", "--json"]
    for place in (plain, plain / "below"):
        line = refused(capsys, "plan", str(good), *few, "--pictures", str(place))
        assert "cannot be written" in line
    assert plain.read_text() == "a file, not a folder"
    full = tmp_path / "full"
    full.mkdir()
    calls: list[str] = []
    replace = Path.replace

    def disk_full(path: Path, target: Path) -> Path:
        calls.append(path.name)
        if len(calls) == 1:
            raise OSError(28, "No space left on device")
        return replace(path, target)

    monkeypatch.setattr(Path, "replace", disk_full)
    line = refused(capsys, "plan", str(good), *few, "--pictures", str(full))
    assert "No space left" in line
    assert list(full.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "parts"),
    [
        (["plan"], ("--skin",)),
        (["plan", "--skin", "goat"], ("--material",)),
        (["plan", "--skin", "gaot", "--material", "unknown-bark"], ("--skin", "gaot")),
        (["plan", "--skin", "goat", "--material", "oka"], ("--material", "oka")),
        (
            ["plan", "--skin", "goat", "--material", "unknown-bark=lots"], ("--have", "lots"),
        ),
        (
            ["plan", "--skin", "goat", "--material", "unknown-bark", "--vat", "-4 L"],
            ("--vat", "below zero"),
        ),
        (
            ["plan", "--skin", "goat", "--material", "unknown-bark", "--start", "tomorrow"],
            ("--start", "tomorrow"),
        ),
        (["plan", "--skin", "goat", "--material", "unknown-bark", "--seed", "-1"], ("--seed",)),
        (["plan", "--frobnicate"], ("--frobnicate",)),
        (["paln"], ("paln",)),
        (["forecast", "only.toml"], ("readings",)),
        (["try", "quercus-robur-bark", "--strength", "6 bk"], ("--mass",)),
        (["try", "quercus-robur-bark", "--mass", "nan kg", "--water", "2 L"], ("--mass", "nan")),
        (["materials", "qercus-robur-brak"], ("qercus",)),
        (["strength", "many bk"], ("many",)),
        (["tree", "quercus-robur"], ("--diameter",)),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)  # fmt: skip
def test_bad_options_are_one_line(
    capsys: Out, arguments: list[str], parts: tuple[str, ...]
) -> None:
    line = refused(capsys, *arguments)
    for part in parts:
        assert part in line


def test_from_outside_there_is_no_traceback_and_no_file(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text(GOOD.replace("goat", "gaot"), encoding="utf-8")
    source = str(Path(__file__).parents[2] / "src")
    done = subprocess.run(
        [sys.executable, "-m", "tanwright", "plan", "bad.toml", "--pictures", "p", "--json"],
        cwd=tmp_path, env=os.environ | {"PYTHONPATH": source}, capture_output=True, text=True,
        timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert "Traceback" not in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["bad.toml"]


def some(strategy: dict[str, list[Any]]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(
        {}, optional={key: st.sampled_from(values) for key, values in strategy.items()}
    )


SKIN = some(
    {
        "animal": ["squirrel", "goat", "deer", "cattle", "fish"],
        "weight": ["50 g", "2 kg", "25 kg"],
        "thickness": ["0.1 mm", "2 mm", "20 mm"],
        "stage": ["green", "dried", "limed"],
        "hair": ["on", "off"],
        "count": [1, 40],
        "area": ["0.02 m2", "5 m2"],
    }
)
MATERIAL = st.tuples(
    st.sampled_from(["unknown-bark", "rhus-coriaria-leaf", "punica-granatum-fruit-rind"]),
    some(
        {
            "have": ["1 g", "2 kg", "3 t"],
            "state": ["dry", "fresh"],
            "tannin": ["0.01 %", "9 %", "5-60 %", "80 %"],
            "mouldy": [True],
            "stored_years": [1, 50],
        }
    ),
)
VAT = some(
    {
        "volume": ["1 L", "15 L", "400 L"],
        "temperature": ["-20 C", "12 C", "45 C", [{"from": on(9), "temperature": "3 C"}]],
        "move": ["still", "often"],
    }
)
AIM = some(
    {
        "leather": ["soft", "sole"],
        "degree": ["5", "1-120", "120"],
        "wanted_by": [START, START + timedelta(days=9999)],
    }
)
TOOLS = some(
    {"pot": ["0.2 L", "500 L"], "strength": ["hydrometer", "none"], "calibrated_at": ["0 C"]}
)
ROW = st.tuples(
    st.sampled_from([0, 0, 1, 3, 30, 900]),
    st.sampled_from(["", " 00:00", " 23:59"]),
    st.sampled_from(
        [
            "strength,8,bk,,", "strength,-5,bk,,", "strength,5000,bk,,", "strength,20,g/L,,",
            "cut,0,,neck,", "cut,1,,neck,", "cut,half,,belly,", "cut,0.3,,flesh side,",
            "look,tea,,,", "look,black coffee,,,", "ph,0,,,", "temperature,-20,C,,",
            "weight,1,g,,", "weight,150,kg,wet leather,", "strengthened,20,kg,,",
            "strengthened,15,L,swap,0 bk", "strengthened,100,L,top-up,1 bk", "event,frozen,,,",
            "event,thawed,,,", "event,heat 44 C,,,", "event,taken out,,,", "event,put back,,,",
            "event,moved to -3 C,,,", "event,away,,,",
        ]
    ),
)  # fmt: skip


def answered(raw: dict[str, object], text: str) -> Answer | InputError:
    """The answer to a sheet and its readings, or the error; anything else is let through."""
    try:
        sheet = sheet_from_options(raw, today=START)
        seen = parse_readings(text, source="r.csv", start=START)
        if seen.rows:
            return make_forecast(sheet, seen, today=START, members=100)
        return make_plan(sheet, today=START, members=100)
    except InputError as error:
        return error


@settings(
    max_examples=40, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip
@given(
    skin=SKIN,
    material=MATERIAL,
    vat=VAT,
    aim=AIM,
    tools=TOOLS,
    rows=st.lists(ROW, max_size=4),
)
def test_odd_sheets_and_readings_are_answered_or_refused(
    skin: dict[str, Any],
    material: tuple[str, dict[str, Any]],
    vat: dict[str, Any],
    aim: dict[str, Any],
    tools: dict[str, Any],
    rows: list[tuple[int, str, str]],
) -> None:
    raw: dict[str, object] = {
        "skin": [skin],
        "material": [{"id": material[0], **material[1]}],
        "vat": vat,
        "aim": {"start": START, **aim},
        "tools": tools,
    }
    text = HEADER + "".join(f"{on(day)}{time},{rest}\n" for day, time, rest in rows)
    answer = answered(raw, text)
    if isinstance(answer, InputError):
        assert answer.place
        assert answer.remedy
        assert "\n" not in str(answer)
        return
    dates = [step.date for step in answer.schedule]
    assert dates == sorted(dates)
    assert dates[0] >= answer.today
    assert answer_to_json(answer)
    for step in answer.schedule:
        assert "nan" not in step.headline.split()
        assert "inf" not in step.headline.split()

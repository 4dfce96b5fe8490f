"""The commands plan and forecast: what they read, from which day they look, what they write.

The engine is replaced by a made-up answer; the engine's own tests are elsewhere.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import tanwright.cli.plan
from tanwright.cli.run import run
from tanwright.planning.answers import Mark
from tests.planning.answer_fixture import a_forecast, a_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
SHEET, READINGS = str(EXAMPLES / "first-sheet.toml"), str(EXAMPLES / "first-readings.csv")
ALONE = ["plan", "--skin", "goat", "--weight", "2 kg", "--material", "quercus-robur-bark=6kg"]

Engine = dict[str, Any]


class Clock(date):
    """A date whose today is settled."""

    @classmethod
    def today(cls) -> date:
        return date(2027, 4, 10)


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> Engine:
    """What the engine was asked for, and the answers it gives."""
    asked: Engine = {}

    def make_plan(sheet: object, **how: object) -> object:
        asked.update(sheet=sheet, **how)
        return a_plan()

    def make_forecast(sheet: object, readings: object, **how: object) -> object:
        asked.update(sheet=sheet, readings=readings, **how)
        return a_forecast()

    for name, function in (("plan", make_plan), ("forecast", make_forecast)):
        module = SimpleNamespace(**{f"make_{name}": function})
        monkeypatch.setitem(sys.modules, f"tanwright.planning.{name}", module)  # type: ignore[arg-type]
    monkeypatch.setattr(tanwright.cli.plan, "date", Clock)
    return asked


def test_a_sheet_or_options_alone_give_a_plan(
    engine: Engine, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["plan", SHEET]) == 0
    assert "Is it enough?" in capsys.readouterr().out
    assert engine["sheet"].source == "first-sheet.toml"
    assert run([*ALONE, "--vat", "40 L", "--temperature", "12 C", "--leather", "soft"]) == 0
    assert engine["sheet"].lots[0].have_kg == 6.0
    assert engine["sheet"].vat.volume_l == 40.0


def test_options_of_the_command_reach_the_sheet_and_the_engine(engine: Engine) -> None:
    options = [
        "--stage", "salted", "--thickness", "2 mm", "--hair", "on", "--count", "2", "--state",
        "fresh", "--rained-on", "--start", "2027-04-25", "--wanted-by", "2027-06-01", "--tool",
        "hydrometer", "--calibrated-at", "20 C", "--pot", "10 L", "--members", "200", "--seed", "7",
    ]  # fmt: skip
    assert run([*ALONE, *options]) == 0
    skin, lot = engine["sheet"].skins[0], engine["sheet"].lots[0]
    assert (skin.stage, skin.thickness_mm, skin.hair_on, skin.count) == ("salted", 2.0, True, 2)
    assert (lot.state, lot.history.rained_on) == ("fresh", True)
    assert engine["sheet"].aim.wanted_by == date(2027, 6, 1)
    assert engine["sheet"].tools.calibrated_at_c == 20.0
    assert (engine["members"], engine["seed"]) == (200, 7)
    assert engine["today"] == date(2027, 4, 10)


@pytest.mark.parametrize(
    ("options", "today"),
    [
        ([], date(2027, 4, 10)),
        (["--start", "2026-03-01"], date(2026, 3, 1)),
        (["--start", "2027-05-01"], date(2027, 4, 10)),
        (["--start", "2027-05-01", "--today", "2027-05-03"], date(2027, 5, 3)),
    ],
)
def test_a_plan_is_seen_from_its_start_or_from_today(
    engine: Engine, options: list[str], today: date
) -> None:
    assert run([*ALONE, *options]) == 0
    assert engine["today"] == today


def test_a_forecast_is_seen_from_today_while_the_readings_are_fresh(
    engine: Engine, tmp_path: Path
) -> None:
    assert run(["forecast", SHEET, READINGS]) == 0
    assert engine["today"] == date(2027, 4, 10)
    assert len(engine["readings"].rows) == 8
    old = tmp_path / "old.toml"
    text = Path(SHEET).read_text(encoding="utf-8")
    old.write_text(re.sub("2027-0", "2025-0", text), encoding="utf-8")
    readings = tmp_path / "old.csv"
    readings.write_text("date,kind,value\n2025-03-29,ph,4.5\n")
    assert run(["forecast", str(old), str(readings)]) == 0
    assert engine["today"] == date(2025, 3, 29)
    readings.write_text("date,kind,value\n")
    assert run(["forecast", str(old), str(readings)]) == 0
    assert engine["today"] == date(2025, 3, 20)
    assert run(["forecast", str(old), str(readings), "--today", "2025-03-25"]) == 0
    assert engine["today"] == date(2025, 3, 25)


@pytest.mark.parametrize(
    ("options", "past", "next_day"),
    [
        ([], True, "1 March 2026:"),
        (["--today", "2026-03-01"], False, "Today:"),
    ],
)
def test_a_start_in_the_past_is_told_with_its_year(
    engine: Engine,
    capsys: pytest.CaptureFixture[str],
    options: list[str],
    past: bool,
    next_day: str,
) -> None:
    assert run([*ALONE, "--start", "2026-03-01", *options]) == 0
    out = capsys.readouterr().out
    assert ("That day is past." in out) is past
    assert ("to go in on 1 March 2026;" in out) is past
    assert next_day in out
    assert ("Today" in out) is not past


def test_json_is_one_object_and_nothing_else(
    engine: Engine, capsys: pytest.CaptureFixture[str]
) -> None:
    for command in (["plan", SHEET], ["forecast", SHEET, READINGS]):
        assert run([*command, "--json"]) == 0
        shown = capsys.readouterr()
        found = json.loads(shown.out)
        assert found["need_kg"]["quercus-robur-bark"]["p50"] == 5.4
        assert found["pictures"] == []
        assert shown.err == ""


def test_units_and_full_reach_the_page(engine: Engine, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", SHEET, "--units", "us", "--full"]) == 0
    out = capsys.readouterr().out
    assert "6.8 to 21 lb" in out
    assert "Sources: bailey" in out


def test_pictures_are_written_and_named(
    engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "pictures"
    assert run(["plan", SHEET, "--pictures", str(folder)]) == 0
    written = sorted(path.name for path in folder.glob("*.svg"))
    assert written
    out = capsys.readouterr().out
    assert all(name in out for name in written)
    assert run(["plan", SHEET, "--pictures", str(folder), "--json"]) == 0
    named = json.loads(capsys.readouterr().out)["pictures"]
    assert {Path(path).name for path in named} >= set(written)


def test_pictures_speak_in_the_readers_units(
    engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = replace(a_plan(), marks=(Mark(3.0, 10.0, "strengthened", "2.537 kg cooked in 10 L"),))
    drawn: list[Any] = []
    module = SimpleNamespace(write_pictures=lambda answer, *_: drawn.append(answer) or [])
    monkeypatch.setitem(sys.modules, "tanwright.planning.pictures", module)  # type: ignore[arg-type]
    monkeypatch.setattr(sys.modules["tanwright.planning.plan"], "make_plan", lambda *_, **__: plan)
    for units, text in (("us", "5 lb 9 oz cooked in 2.6 gal"), ("metric", "2.5 kg cooked in 10 L")):
        assert run(["plan", SHEET, "--pictures", str(tmp_path), "--units", units]) == 0
        assert drawn[-1].marks[0].text == text
        assert drawn[-1].marks[0].kind == "strengthened"


@pytest.mark.parametrize(
    ("arguments", "parts"),
    [
        (["plan"], ("--skin", "goat")),
        (["plan", "none.toml"], ("none.toml", "no such file")),
        (["plan", SHEET, "--weight", "900 kg"], ("--weight", "900 kg")),
        (["plan", SHEET, "--vat", "1 L"], ("--vat", "smaller than the wet skins")),
        (["plan", SHEET, "--today", "soon"], ("--today", "2026-03-10")),
        (["plan", SHEET, "--members", "3"], ("--members",)),
        (["forecast", SHEET], ("readings",)),
        (["forecast", SHEET, "none.csv"], ("none.csv", "no such file")),
        (["forecast", SHEET, READINGS, "--today", "2027-03-22"], ("--today", "last reading")),
    ],
)
def test_what_cannot_be_used_is_one_line_and_status_2(
    engine: Engine,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    parts: tuple[str, ...],
) -> None:
    assert run(arguments) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    lines = shown.err.strip().splitlines()
    assert len(lines) == 1
    assert lines[0].startswith("tanwright: ")
    for part in parts:
        assert part in lines[0]
    assert "sheet" not in engine


def test_progress_is_shown_on_a_terminal(
    engine: Engine, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def make_plan(sheet: object, *, progress: Callable[[str], None], **how: object) -> object:
        progress("running 1000 plausible vats")
        return replace(a_plan())

    module = SimpleNamespace(make_plan=make_plan)
    monkeypatch.setitem(sys.modules, "tanwright.planning.plan", module)  # type: ignore[arg-type]
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert run(["plan", SHEET]) == 0
    shown = capsys.readouterr()
    assert "plausible vats" in shown.err
    assert "plausible vats" not in shown.out

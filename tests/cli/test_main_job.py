"""The main job from end to end on the real engine: plan, forecast, strengthen, try and the rest."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tanwright.cli.run import run

EXAMPLES = Path(__file__).parents[2] / "examples"
FIRST = str(EXAMPLES / "first-sheet.toml")
READINGS = str(EXAMPLES / "first-readings.csv")
SEEN = [FIRST, READINGS, "--today", "2027-03-31"]
FEW = ["--members", "150"]
ALONE = ["--skin", "goat", "--weight", "2 kg", "--material", "quercus-robur-bark=6kg"]
FIXED = {
    "enough", "need_kg", "tannin_need_kg", "tannin_supply_kg", "finish", "struck_through",
    "schedule", "next_action", "measure_next", "cautions", "questions", "sources",
}  # fmt: skip
Out = pytest.CaptureFixture[str]


def told(capsys: Out, *arguments: str) -> str:
    """What the command prints; it must succeed and say nothing on stderr."""
    status = run(list(arguments))
    shown = capsys.readouterr()
    assert status == 0, shown.err
    assert shown.err == ""
    return shown.out


def as_json(capsys: Out, *arguments: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(told(capsys, *arguments, "--json"))
    return found


def test_a_plan_answers_every_question_of_the_job(capsys: Out) -> None:
    page = told(capsys, "plan", FIRST, *FEW)
    for head in (
        "Is it enough?", "How much", "When", "Next", "What to measure next", "Day by day",
        "What goes wrong first", "Before you call it done", "Take care",
    ):  # fmt: skip
        assert head in page
    assert "bucket" in page
    assert "tannin or more" in page
    assert all(len(line) <= 80 for line in page.splitlines())


def test_a_plan_in_json_has_the_fixed_keys(capsys: Out) -> None:
    found = as_json(capsys, "plan", FIRST, *FEW)
    assert set(found) >= FIXED
    assert set(found["enough"]) >= {"probability", "break_even_tannin_pct"}
    need = found["need_kg"]["quercus-robur-bark"]
    assert 0.0 < need["p05"] <= need["p50"] <= need["p95"]
    for step in found["schedule"]:
        assert set(step) >= {"date", "action", "strength_bk", "litres", "reason"}
        date.fromisoformat(step["date"])
    for option in found["measure_next"]:
        assert set(option) >= {"what", "narrows_finish", "narrows_amount"}
    assert found["next_action"]["action"] == "prepare"


def test_options_alone_and_options_over_a_sheet(capsys: Out) -> None:
    alone = as_json(capsys, "plan", *ALONE, "--start", "2026-03-01", *FEW)
    assert alone["start"] == "2026-03-01"
    usual = as_json(capsys, "plan", FIRST, *FEW)
    larger = as_json(capsys, "plan", FIRST, "--vat", "70 L", *FEW)
    assert larger["vat_litres"] == 70.0
    assert larger["tannin_need_kg"]["p50"] > usual["tannin_need_kg"]["p50"]


def test_a_seed_is_a_promise(capsys: Out) -> None:
    first = told(capsys, "plan", FIRST, *FEW, "--seed", "5", "--json")
    assert told(capsys, "plan", FIRST, *FEW, "--seed", "5", "--json") == first
    assert told(capsys, "plan", FIRST, *FEW, "--seed", "6", "--json") != first


def test_us_units_change_words_and_not_the_answer(capsys: Out) -> None:
    page = told(capsys, "plan", *ALONE, "--start", "2026-03-01", "--units", "us", *FEW)
    assert " lb" in page
    assert " gal" in page
    for metric in (" kg", " mm", " °C", " L "):
        assert metric not in page
    metric_json = as_json(capsys, "plan", *ALONE, "--start", "2026-03-01", *FEW)
    us = ["--skin", "goat", "--weight", "4.409245 lb", "--start", "2026-03-01"]
    us += ["--material", "quercus-robur-bark", "--have", "13.227736 lb"]
    us_json = as_json(capsys, "plan", *us, *FEW)
    assert us_json["finish"] == metric_json["finish"]
    need, metric_need = (j["need_kg"]["quercus-robur-bark"] for j in (us_json, metric_json))
    assert need == pytest.approx(metric_need, rel=1e-3)


def test_a_forecast_puts_the_next_action_first_and_says_what_changed(capsys: Out) -> None:
    page = told(capsys, "forecast", *SEEN, *FEW)
    assert page.index("Next") < page.index("Is it enough?")
    assert "What changed" in page
    found = as_json(capsys, "forecast", *SEEN, *FEW)
    assert set(found) >= FIXED
    assert found["changes"]
    assert found["readings"]
    assert all(step["date"] >= found["today"] for step in found["schedule"])
    plan = as_json(capsys, "plan", FIRST, *FEW)
    assert found["struck_through"]["p50"] > plan["struck_through"]["p50"]


def test_interruptions_bend_the_schedule_and_say_how(capsys: Out, tmp_path: Path) -> None:
    sheet = tmp_path / "goat.toml"
    sheet.write_text(
        '[[skin]]\nanimal = "goat"\nweight = "2.2 kg"\nthickness = "1.8 mm"\n'
        '[[material]]\nid = "quercus-robur-bark"\nhave = "6 kg"\n'
        '[vat]\nvolume = "15 L"\ntemperature = "12 C"\n[aim]\nstart = 2026-03-01\n'
    )
    readings = tmp_path / "frost.csv"
    readings.write_text(
        "date,kind,value\n2026-03-03,event,frozen\n2026-03-13,event,thawed\n2026-03-13,look,tea\n"
    )
    calm = as_json(capsys, "plan", str(sheet), *FEW)
    bent = as_json(capsys, "forecast", str(sheet), str(readings), *FEW)
    assert bent["finish"]["p50"] > calm["finish"]["p50"]
    assert any("frozen" in change["why"] for change in bent["changes"])


def test_without_a_start_the_first_reading_stands_for_it(capsys: Out, tmp_path: Path) -> None:
    sheet, readings = tmp_path / "goat.toml", tmp_path / "r.csv"
    sheet.write_text('[[skin]]\nanimal = "goat"\n[[material]]\nid = "unknown-bark"\n')
    readings.write_text("date,kind,value\n2026-03-09,cut,half\n2026-03-04,look,tea\n")
    found = as_json(capsys, "forecast", str(sheet), str(readings), *FEW)
    assert found["start"] == "2026-03-04"
    assert any("day of the first reading" in note for note in found["notes"])


def test_pictures_come_with_words_beside_them(capsys: Out, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "pictures"
    found = as_json(capsys, "forecast", *SEEN, *FEW, "--pictures", str(folder))
    svg = sorted(folder.glob("*.svg"))
    assert len(svg) == 3
    for picture in svg:
        text = picture.read_text(encoding="utf-8")
        assert text.startswith(("<?xml", "<svg"))
        assert "<title" in text
        assert len(picture.with_suffix(".txt").read_text(encoding="utf-8")) > 100
        assert picture.with_suffix(".csv").exists()
    assert {Path(path).name for path in found["pictures"]} >= {path.name for path in svg}
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]


def test_a_trial_is_kept_and_narrows_a_later_plan(capsys: Out, tmp_path: Path) -> None:
    kept = tmp_path / "piles.toml"
    told(
        capsys, "try", "quercus-robur-bark", "--mass", "250 g", "--water", "2 L",
        "--strength", "6 bk", "--at", "18 C", "--calibrated-at", "20 C", "--keep", str(kept),
    )  # fmt: skip
    sheet = tmp_path / "goat.toml"
    text = '[[skin]]\nanimal = "goat"\n[[material]]\nid = "quercus-robur-bark"\nhave = "6 kg"\n'
    sheet.write_text(text)
    before = as_json(capsys, "plan", str(sheet), *FEW)["materials"][0]["tannin_pct"]
    sheet.write_text(text + '[known]\nfrom = "piles.toml"\n')
    after = as_json(capsys, "plan", str(sheet), *FEW)["materials"][0]["tannin_pct"]
    assert after["p95"] / after["p05"] < before["p95"] / before["p05"]


@pytest.mark.parametrize(
    "arguments",
    [
        [
            "strengthen", "40 L", "--from", "10 bk", "--to", "15 bk", "--with", "40 bk",
            "--have", "20 L",
        ],
        ["materials", "oak"],
        ["materials", "quercus-robur-bark"],
        ["strength", "12 bk"],
        ["tree", "quercus-robur", "--diameter", "25 cm"],
        ["try", "unknown-bark"],
    ],
    ids=lambda arguments: " ".join(arguments[:2]),
)  # fmt: skip
def test_the_smaller_commands_speak_text_and_json(capsys: Out, arguments: list[str]) -> None:
    page = told(capsys, *arguments)
    assert page.strip()
    assert "Traceback" not in page
    assert json.loads(told(capsys, *arguments, "--json"))


def test_checks_print_published_against_ours(capsys: Out) -> None:
    status = run(["checks", "--json"])
    shown = capsys.readouterr()
    assert status == 0
    assert json.loads(shown.out)


def test_the_whole_process_from_outside(tmp_path: Path) -> None:
    """As a person runs it: a process of its own, a pipe for output, another folder."""
    environment = os.environ | {"PYTHONPATH": str(EXAMPLES.parent / "src"), "NO_COLOR": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "tanwright", "plan", FIRST, *FEW, "--pictures", "p", "--json"],
        cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=180, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert set(json.loads(done.stdout)) >= FIXED
    assert sorted(path.name for path in (tmp_path / "p").glob("*.svg"))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["p"]

"""``tanwright trial design`` on files."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tanwright.cli import run
from tanwright.planning.trials.files import read_patches, read_treatments

TRIAL = """
[trial]
question = "which"
usual = { quercus-robur-bark = 1 }
plants = ["alnus-glutinosa-bark", "goat willow bark"]
graders = 2
dose = 2.0
seed = 5
start = 2026-10-01

[patch]
size = "6 cm x 5 cm"
thickness = "2 mm"

[patches]
butt = 6
belly = 6

[vat]
temperature = "12 C"

[[material]]
id = "quercus-robur-bark"
have = "40 g"
"""
Ask = Callable[..., tuple[int, str, str]]


@pytest.fixture
def trial(tmp_path: Path) -> Path:
    path = tmp_path / "trial.toml"
    path.write_text(TRIAL, encoding="utf-8")
    return path


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Ask:
    monkeypatch.setenv("COLUMNS", "300")
    monkeypatch.delenv("TANWRIGHT_UNITS", raising=False)

    def asked(*arguments: object) -> tuple[int, str, str]:
        status = run.run(["trial", *map(str, arguments)])
        told = capsys.readouterr()
        return status, told.out, told.err

    return asked


def test_from_the_question_to_the_days(ask: Ask, trial: Path) -> None:
    out = trial.parent / "patches.csv"
    status, text, _ = ask("design", trial, "--out", out)
    assert status == 0
    for part in (
        "Which of these plants?", "With 12 patches", "What more would buy", "3 treatments",
        "Jar 3", "The days", "Take care", "stainless steel", "of which",
    ):  # fmt: skip
        assert part in text
    patches = read_patches(out)
    assert len(patches) == 12
    keys = {item.key for item in read_treatments(trial)}
    assert {item.treatment for item in patches} == keys


def test_the_same_seed_gives_the_same_design(ask: Ask, trial: Path) -> None:
    one, other = (json.loads(ask("design", trial, "--json")[1]) for _ in range(2))
    assert one["patches"] == other["patches"]
    another = json.loads(ask("design", trial, "--json", "--seed", "6")[1])
    assert one["patches"] != another["patches"]
    assert one["ratios"]["dose"] == 2.0
    assert len(one["jars"]) == 3


def test_only_the_chance(ask: Ask, trial: Path) -> None:
    status, text, _ = ask("design", trial, "--only-chance")
    assert status == 0
    assert "With 12 patches" in text
    assert "The jars" not in text
    found = json.loads(ask("design", trial, "--only-chance", "--json")[1])
    assert found["proposal"]["now"]["patches"] == 12


@pytest.mark.parametrize(
    ("question", "more", "jars"),
    [
        ("dose", "doses = 3", 3),
        ("blend", "", 7),
        ("pretreatment", 'ways = ["bated a day", "limed two days more"]', 3),
    ],
)
def test_the_other_questions(ask: Ask, trial: Path, question: str, more: str, jars: int) -> None:
    text = TRIAL.replace('question = "which"', f'question = "{question}"\n{more}')
    trial.write_text(text, encoding="utf-8")
    status, told, problem = ask("design", trial, "--json")
    assert status == 0, problem
    assert len(json.loads(told)["jars"]) == jars


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ('"which"', '"witch"', "did you mean which"),
        ("butt = 6", 'butt = "6"', "not a number of patches"),
        (
            "butt = 6",
            "sholder = 6",
            'no region of a skin is called "sholder"; did you mean shoulder',
        ),
        ('"6 cm x 5 cm"', '"6 x 5"', "6"),
        ('"6 cm x 5 cm"', '"6 cm x 5 m"', "cannot be right"),
        ("alnus-glutinosa-bark", "unobtainium", "unobtainium"),
        ("dose = 2.0", "dose = 200", "cannot be right"),
        ("[patches]\nbutt = 6\nbelly = 6", "", "no patches yet"),
        ("butt = 6\nbelly = 6", "butt = 1\nbelly = 1", "cannot hold"),
        ("[vat]", "[vats]", 'no table "vats"'),
        ("graders = 2", "graders = 500", "write up to 20"),
        ('thickness = "2 mm"', 'thickness = "18 cm"', "180 mm cannot be right"),
        ("usual = { quercus-robur-bark = 1 }", "usual = 3", "must be a table"),
    ],
)
def test_a_slip_is_told_in_one_line(ask: Ask, trial: Path, old: str, new: str, what: str) -> None:
    trial.write_text(TRIAL.replace(old, new), encoding="utf-8")
    status, told, problem = ask("design", trial)
    assert status == 2
    assert told == ""
    assert problem.count("\n") == 1
    assert what in problem


def test_a_file_that_is_not_there(ask: Ask, tmp_path: Path) -> None:
    status, _, problem = ask("design", tmp_path / "none.toml")
    assert status == 2
    assert "no such file" in problem


def test_the_group_alone_shows_its_help(ask: Ask) -> None:
    status, text, _ = ask()
    assert status == 0
    assert "design" in text
    assert "map" in text

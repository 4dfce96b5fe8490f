"""The command trial analyse: words first, then figures, on files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tanwright.cli.run import run
from tanwright.planning.trials.files import grades_csv, measures_csv, patches_csv, ranks_csv
from tests.planning.trials.seen_fixture import blend_trial


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The files of a trial of two barks and their mix."""
    seen = blend_trial()
    (tmp_path / "patches.csv").write_text(patches_csv(seen.patches), encoding="utf-8")
    (tmp_path / "grades.csv").write_text(grades_csv(seen.grades), encoding="utf-8")
    (tmp_path / "measures.csv").write_text(measures_csv(seen.measures), encoding="utf-8")
    (tmp_path / "ranks.csv").write_text(ranks_csv(seen.rankings), encoding="utf-8")
    tables = ['[trial]\nquestion = "blend"\nusual = { quercus-robur-bark = 1 }\ndose = 1.5\n']
    for item in seen.treatments:
        shares = ", ".join(f"{id} = {share}" for id, share in item.shares.items())
        tables.append(
            f'[[treatment]]\nkey = "{item.key}"\nlabel = "{item.label}"\nshares = {{ {shares} }}\n'
        )
    (tmp_path / "trial.toml").write_text("\n".join(tables), encoding="utf-8")
    return tmp_path


def test_words_come_first_then_figures_and_the_blend(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trial = str(folder / "trial.toml")
    assert run(["trial", "analyse", trial, "--want", "firmness=more", "--want", "feel=more"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert out.index("beat") < out.index("an average patch")
    assert "looked at" in out
    assert "The next jar to try" in out or "promises less" in out
    assert "What went in for 1 kg of pelt" in out
    assert "English oak bark" in out


def test_pictures_and_json(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    trial, pictures = str(folder / "trial.toml"), folder / "pictures"
    assert run(["trial", "analyse", trial, "--json", "--pictures", str(pictures)]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {q["id"] for q in found["qualities"]} == {"firmness", "feel", "dry-weight"}
    assert found["blend"]["degree"] == "quadratic"
    assert found["blend"]["use"] is None
    assert found["telling"]["looked_at"] == 9
    assert (pictures / "trial-feel.svg").read_text(encoding="utf-8").count("<svg") == 1
    assert (pictures / "mix-feel.csv").exists()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (["--want", "firmness"], "write firmness=more"),
        (["--want", "firmness=17"], "a figure from 1 to 5"),
        (["--want", "taste=more"], "no quality or measure is called"),
        (["--folder", "nowhere"], "patches.csv"),
    ],
)
def test_bad_options_are_one_plain_line(
    folder: Path, capsys: pytest.CaptureFixture[str], change: list[str], told: str
) -> None:
    assert run(["trial", "analyse", str(folder / "trial.toml"), *change]) == 2
    err = capsys.readouterr().err
    assert told in err
    assert "Traceback" not in err


def test_a_quality_that_nobody_knows(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    grades = folder / "grades.csv"
    grades.write_text(
        grades.read_text(encoding="utf-8").replace("firmness", "firmnes"), encoding="utf-8"
    )
    assert run(["trial", "analyse", str(folder / "trial.toml")]) == 2
    assert "did you mean firmness" in capsys.readouterr().err


def test_a_wish_for_what_was_not_graded_says_why_no_blend_is_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["trial", "analyse", str(folder / "trial.toml"), "--want", "smell=more"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "No blend can be told: nothing was seen of smell" in out

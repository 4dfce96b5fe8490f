"""Files of a trial: read back as written, and refused with the cell that is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from tanwright.errors import InputError
from tanwright.planning.trials import files
from tanwright.planning.trials.records import Grade, Measure, Patch, Ranking

TRIAL = """
[[treatment]]
key = "oak"
label = "all oak"
shares = { quercus-robur-bark = 3, alnus-glutinosa-bark = 1 }

[[treatment]]
key = "control"
dose = 1.5
"""
PATCHES = (
    Patch("a1", "1", "roe", "neck", "roe neck", "control", "1"),
    Patch("a2", "1", "roe", "neck", "roe neck", "oak", "2"),
    Patch("b1", "2", "roe", "belly, left", "roe belly, left", "", ""),
)


def test_patches_come_back_as_written() -> None:
    assert files.parse_patches(files.patches_csv(PATCHES)) == PATCHES


def test_grades_ranks_and_measures_come_back_as_written() -> None:
    grades = (Grade("a1", "keeper", "feel", 4), Grade("a2", "keeper", "feel", 2))
    ranks = (Ranking("keeper", "colour", (("a2",), ("a1", "b1"))),)
    measures = (Measure("a1", "thickness", 1.8, "mm"),)
    assert files.parse_grades(files.grades_csv(grades)) == grades
    assert files.parse_rankings(files.ranks_csv(ranks)) == ranks
    assert files.parse_measures(files.measures_csv(measures)) == measures


def test_tied_pieces_share_a_place_and_the_next_one_is_pushed_back() -> None:
    text = files.ranks_csv([Ranking("keeper", "feel", (("a", "b"), ("c",)))])
    assert text.splitlines()[1:] == ["keeper,feel,1,a", "keeper,feel,1,b", "keeper,feel,3,c"]


def test_a_semicolon_table_with_remarks_is_read() -> None:
    text = "code;region\n# cut on Monday\nx;neck\n"
    (patch,) = files.parse_patches(text)
    assert (patch.code, patch.block, patch.offcut) == ("x", "neck", "1")


def test_treatments_have_shares_that_sum_to_one_and_the_control_first(tmp_path: Path) -> None:
    (tmp_path / "trial.toml").write_text(TRIAL, encoding="utf-8")
    control, oak = files.read_treatments(tmp_path / "trial.toml")
    assert (control.key, control.label, control.dose) == ("control", "control", 1.5)
    assert oak.shares == {"quercus-robur-bark": 0.75, "alnus-glutinosa-bark": 0.25}


@pytest.mark.parametrize(
    ("text", "place", "what"),
    [
        ("code,regin\nx,neck\n", "line 1", 'no column "regin"'),
        ("code\nx\n", "line 1", "lacks region"),
        ("code,region\nx,neck\nx,neck\n", "line 3, code", "stands twice"),
        ("code,region\n,neck\n", "line 2, code", "is empty"),
        ("code,region\nx,neck,more\n", "line 2", "3 cells"),
        ('code,region\n"x,neck\n', "line 2", "not valid CSV"),
        ("", "patches.csv", "no header"),
        ("code,region\n", "patches.csv", "no patches"),
        ("code,region,code\nx,neck,y\n", "line 1", "stands twice"),
    ],
)
def test_a_wrong_cell_is_named(text: str, place: str, what: str) -> None:
    with pytest.raises(InputError) as refused:
        files.parse_patches(text)
    assert place in refused.value.place
    assert what in refused.value.what
    assert "\n" not in str(refused.value)


def test_a_grade_must_be_a_step_and_be_given_once() -> None:
    with pytest.raises(InputError, match="whole number"):
        files.parse_grades("code,grader,quality,grade\na,k,feel,good\n")
    with pytest.raises(InputError, match="cannot be"):
        files.parse_grades("code,grader,quality,grade\na,k,feel,12\n")
    with pytest.raises(InputError, match="twice"):
        files.parse_grades("code,grader,quality,grade\na,k,feel,2\na,k,Feel,3\n")
    with pytest.raises(InputError, match=r"line 2, grade: 7 is no step of feel; write 1 \(harsh"):
        files.parse_grades("code,grader,quality,grade\na,k,feel,7\n")
    assert files.parse_grades("code,grader,quality,grade\na,k,colour,7\n")[0].grade == 7


def test_a_quality_or_measure_that_nobody_knows_is_named_with_its_line() -> None:
    with pytest.raises(InputError, match=r"grades.csv, line 2, quality: .*did you mean firmness"):
        files.parse_grades("code,grader,quality,grade\na,k,hardness,3\n")
    with pytest.raises(InputError, match=r"ranks.csv, line 2, quality: .*did you mean feel"):
        files.parse_rankings("grader,quality,place,code\nk,feell,1,a\n")
    head = "code,measure,value,unit\n"
    with pytest.raises(InputError, match=r"measures.csv, line 3, measure: no measure"):
        files.parse_measures(head + "a,bend,3,mm\na,length,3,mm\n")
    with pytest.raises(InputError, match=r"line 2, unit: .* is not in F; write it in °C"):
        files.parse_measures(head + "a,shrinkage,160,F\n")
    with pytest.raises(InputError, match=r"line 2, value: .*cannot be a shrinkage temperature"):
        files.parse_measures(head + "a,shrinkage,7500,°C\n")
    assert files.parse_measures(head + "a,Water drop,40,\n")[0].name == "water-drop"


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "at least two"),
        ('[[treatment]]\nkey="a"\n[[treatment]]\nkey="b"\n', "no control"),
        ('[[treatment]]\nkey="control"\n[[treatment]]\nkey="control"\n', "twice"),
        ('[[treatment]]\nkey="control"\n[[treatment]]\nkey="x"\ndose=-1\n', "cannot be"),
        ('[[treatment]]\nkey="control"\n[[treatment]]\nkey="x"\nshares={oak=-1}\n', "not a part"),
        ('[[treatment]]\nkey="control"\nkees=1\n', 'no key "kees"'),
        ("[[treatment]\n", "not valid TOML"),
    ],
)
def test_treatments_that_make_no_trial_are_refused(tmp_path: Path, text: str, what: str) -> None:
    path = tmp_path / "trial.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as refused:
        files.read_treatments(path)
    assert what in refused.value.what


def test_all_files_of_a_folder_are_seen(tmp_path: Path) -> None:
    (tmp_path / "trial.toml").write_text(TRIAL, encoding="utf-8")
    (tmp_path / "patches.csv").write_text(files.patches_csv(PATCHES), encoding="utf-8")
    with pytest.raises(InputError, match="nothing was graded"):
        files.read_seen(tmp_path / "trial.toml")
    (tmp_path / "grades.csv").write_text("code,grader,quality,grade\na1,k,feel,2\n", "utf-8")
    assert files.read_seen(tmp_path / "trial.toml").grades == (Grade("a1", "k", "feel", 2),)
    (tmp_path / "grades.csv").write_text("code,grader,quality,grade\na9,k,feel,2\n", "utf-8")
    with pytest.raises(InputError, match='no patch "a9"'):
        files.read_seen(tmp_path / "trial.toml")


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        files.read_patches(tmp_path / "patches.csv")

"""A row that breaks a rule is refused, and the refusal names file, line and column."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tanwright.errors import DataError
from tanwright.reference.loader import FOLDER, check_all, table


def copy_tables(folder: Path) -> Path:
    for path in FOLDER.iterdir():
        if path.is_file():
            (folder / path.name).write_bytes(path.read_bytes())
    return folder


def break_cell(folder: Path, name: str, line: int, column: str, value: str) -> None:
    """Overwrite one cell; ``line`` is the line of the file, the header being line 1."""
    path = folder / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as handle:
        rows = list(csv.reader(handle))
    rows[line - 1][rows[0].index(column)] = value
    with path.open("w", encoding="utf-8", newline="") as handle:
        csv.writer(handle, lineterminator="\n").writerows(rows)


BROKEN = [
    ("observations", 3, "low_pct", "0", "out of range"),
    ("observations", 3, "low_pct", "-4", "out of range"),
    ("observations", 3, "high_pct", "100", "out of range"),
    ("observations", 3, "low_pct", "six", "not a number"),
    ("observations", 3, "low_pct", "nan", "not a finite number"),
    ("observations", 3, "low_pct", "90", "is above high_pct"),
    ("observations", 3, "reading", "perhaps", "unknown word"),
    ("observations", 3, "reading", "", "is empty"),
    ("observations", 3, "material_id", "abies-alba-bork", "materials.id lacks"),
    ("observations", 3, "source", "procter1904", "sources.key lacks"),
    ("observations", 3, "same_as", "nothing.here.1", "observations.id lacks"),
    ("observations", 3, "doubts", "species;;part", "empty word"),
    ("observations", 3, "note", "two  spaces", "stray spaces"),
    ("observations", 3, "note", " leading", "stray spaces"),
    ("observations", 3, "note", "a\x07bell", "unprintable"),
    ("observations", 3, "note", "as above", "points to another row"),
    ("observations", 3, "note", "x" * 400, "longer than"),
    ("materials", 2, "id", "Abies Alba", "form of its kind"),
    ("materials", 2, "part", "barks", "unknown word"),
    ("materials", 2, "regions", "Middle Earth", "unknown word"),
    ("materials", 2, "sources", "bailey;nobody", "sources.key lacks"),
    ("materials", 2, "scientific_name", "", "is empty"),
    ("materials", 2, "cautions", "see above", "points to another row"),
    ("animals", 4, "green_low_kg", "900", "out of range"),
    ("animals", 4, "area_low_m2", "0.9", "is above area_high_m2"),
    ("animals", 4, "hair_on", "maybe", "unknown word"),
    ("leathers", 3, "degree_low", "70", "is above degree_high"),
    ("parameters", 2, "shape", "bell", "unknown word"),
    ("parameters", 2, "median", "0", "out of range"),
    ("extraction", 5, "tannin_pct", "101", "out of range"),
    ("extraction", 5, "series", "willow", "extraction_series.id lacks"),
    ("cautions", 2, "when", "moon:full", "form of its kind"),
    ("lime_solubility", 3, "cao_g_per_l", "1,342", "not a number"),
    ("variation", 2, "topic", "moon", "unknown word"),
    ("stages", 4, "water_high", "1.2", "out of range"),
    ("allometry", 2, "b1", "22.592", "out of range"),
]


@pytest.mark.parametrize(("name", "line", "column", "value", "says"), BROKEN)
def test_a_broken_cell_is_refused_with_file_line_and_column(
    tmp_path: Path, name: str, line: int, column: str, value: str, says: str
) -> None:
    copy_tables(tmp_path)
    break_cell(tmp_path, name, line, column, value)
    with pytest.raises(DataError) as caught:
        table(name, tmp_path)
    told = str(caught.value)
    assert told.startswith(f"{name}.csv line {line} column {column}: ")
    assert says in told
    assert caught.value.remedy
    assert "\n" not in told


def test_a_key_used_twice_is_refused(tmp_path: Path) -> None:
    copy_tables(tmp_path)
    first = table("materials")[0].text("id")
    break_cell(tmp_path, "materials", 3, "id", first)
    with pytest.raises(DataError, match="line 3 column id: id repeats the key of line 2"):
        table("materials", tmp_path)


def test_a_row_needs_at_least_one_of_its_two_figures(tmp_path: Path) -> None:
    copy_tables(tmp_path)
    break_cell(tmp_path, "observations", 3, "low_pct", "")
    break_cell(tmp_path, "observations", 3, "high_pct", "")
    with pytest.raises(DataError, match="column low_pct: low_pct and high_pct are both empty"):
        table("observations", tmp_path)


def test_a_short_row_is_refused(tmp_path: Path) -> None:
    copy_tables(tmp_path)
    path = tmp_path / "looks.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    lines[2] = lines[2].rsplit(",", 1)[0]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(DataError, match=r"looks\.csv line 3: the row has 5 cells instead of 6"):
        table("looks", tmp_path)


def test_a_column_that_is_missing_or_renamed_is_refused(tmp_path: Path) -> None:
    copy_tables(tmp_path)
    path = tmp_path / "looks.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("low_bk", "from_bk", 1))
    with pytest.raises(DataError, match=r"looks\.csv line 1: .*missing: low_bk"):
        table("looks", tmp_path)


def test_a_table_without_its_side_file_is_refused(tmp_path: Path) -> None:
    copy_tables(tmp_path)
    (tmp_path / "looks.toml").unlink()
    with pytest.raises(DataError, match="no side file"):
        table("looks", tmp_path)


def test_a_side_file_that_cannot_be_read_is_refused(tmp_path: Path) -> None:
    copy_tables(tmp_path)
    side = tmp_path / "looks.toml"
    good = side.read_text(encoding="utf-8")
    side.write_text(good + "\n[[column", encoding="utf-8")
    with pytest.raises(DataError, match="not valid TOML"):
        table("looks", tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('kind = "key"', 'kind = "runes"', 'unknown kind "runes"'),
        ('kind = "ordered"', 'kind = "sorted"', 'rule "sorted"'),
        ('key = ["id"]', 'key = ["name"]', "key of the table"),
    ],
)
def test_a_side_file_with_a_wrong_word_is_refused(
    tmp_path: Path, old: str, new: str, says: str
) -> None:
    copy_tables(tmp_path)
    side = tmp_path / "looks.toml"
    side.write_text(side.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    with pytest.raises(DataError, match=says):
        table("looks", tmp_path)


def test_a_table_that_is_missing_or_not_utf8_is_refused(tmp_path: Path) -> None:
    copy_tables(tmp_path)
    (tmp_path / "looks.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(DataError, match="save it as UTF-8"):
        table("looks", tmp_path)
    (tmp_path / "regions.csv").unlink()
    with pytest.raises(DataError, match=r"regions\.csv: the table is missing"):
        table("regions", tmp_path)


def test_an_untouched_copy_passes(tmp_path: Path) -> None:
    copy_tables(tmp_path)
    assert check_all(tmp_path) == check_all()

"""The rules of comparison, and refusal of published files that break theirs."""

import shutil
from pathlib import Path

import pytest

from tanwright.errors import DataError
from tanwright.planning import outside_checks
from tanwright.planning.outside_checks import compare, published_values, run_checks


@pytest.mark.parametrize(
    ("published", "ours", "tolerance", "ok"),
    [
        ("1.50", 1.504, "0.005", True),
        ("1.50", 1.506, "0.005", False),
        ("16-20", (16.0, 20.0), "0", True),
        ("16-20", (16.0, 21.0), "0", False),
        ("4-6", 4.3, "within", True),
        ("4-6", 6.3, "within", False),
        ("6.0", (5.2, 8.0), "holds", True),
        ("6.0", (6.2, 8.0), "holds", False),
        ("3.5-6.5", (3.0, 7.0), "holds", True),
        ("1.0", 0.2, "at most", True),
        ("1.0", 1.2, "at most", False),
        ("30-35", 34.0, "at most", True),
        ("2", 2.9, "factor 1.5", True),
        ("2", 3.1, "factor 1.5", False),
        ("3:4:6", "3:4:6", "same text", True),
        ("3:4:6", "3:4:5", "same text", False),
        ("5", "nothing", "0.5", False),
    ],
)
def test_rules(
    published: str, ours: float | tuple[float, float] | str, tolerance: str, ok: bool
) -> None:
    assert compare(published, ours, tolerance)[0] is ok


def test_difference_is_ours_less_published() -> None:
    assert compare("2", 2.5, "1")[1] == pytest.approx(0.5)
    assert compare("2-4", (1.9, 4.3), "1")[1] == pytest.approx(0.3)


def test_a_rule_that_cannot_be_read_is_refused() -> None:
    with pytest.raises(ValueError, match="roughly"):
        compare("2", 2.0, "roughly")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copy = tmp_path / "published"
    shutil.copytree(outside_checks.FOLDER, copy)
    return copy


def _spoil(folder: Path, old: str, new: str) -> None:
    path = folder / "guthrie1901.csv"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("lime.solubility", "lime.taste", "guthrie1901.csv line 2 column quantity"),
        (",published,read,", ",gossip,read,", "line 2 column kind"),
        (",read,", ",heard,", "line 2 column provenance"),
        ("lime-sol-010", "lime-sol-005", "repeats the id"),
        ("id,quantity", "id,what", "line 1"),
    ],
)
def test_bad_rows_are_refused_with_their_place(folder: Path, old: str, new: str, told: str) -> None:
    _spoil(folder, old, new)
    with pytest.raises(DataError, match=told):
        published_values(folder)


def test_a_row_without_its_inputs_is_refused(folder: Path) -> None:
    _spoil(folder, "temperature_c=5", "warmth=5")
    with pytest.raises(DataError, match=r"guthrie1901.csv line 2: cannot be computed"):
        run_checks(folder)


def test_a_wrong_value_is_told_as_wrong(folder: Path) -> None:
    _spoil(folder, ",1.35,", ",1.53,")
    check = next(check for check in run_checks(folder) if check.id == "lime-sol-005")
    assert not check.ok
    assert check.difference == pytest.approx(-0.18)

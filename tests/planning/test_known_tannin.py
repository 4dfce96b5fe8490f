"""What a trial found is kept in a file, read back by a sheet, and never half written."""

from __future__ import annotations

import tomllib
from datetime import date
from typing import TYPE_CHECKING

import pytest

from tanwright.errors import InputError
from tanwright.planning.known_tannin import keep_known, write_whole
from tanwright.planning.sheet import KnownTannin, TanninFigure
from tanwright.planning.sheet_reader import read_sheet

if TYPE_CHECKING:
    from pathlib import Path

OAK = KnownTannin(
    "quercus-robur-bark", TanninFigure(7.12, 10.4), how='a "trial" cook', on=date(2026, 3, 2)
)
BARK = KnownTannin("unknown-bark", TanninFigure(3.0, 5.0))


def test_what_is_kept_comes_back_in_a_sheet(tmp_path: Path) -> None:
    piles = tmp_path / "piles.toml"
    keep_known(piles, BARK)
    keep_known(piles, OAK)
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(
        '[[skin]]\nanimal = "goat"\n[[material]]\nid = "unknown-bark"\n'
        '[known]\nfrom = "piles.toml"\nunknown-bark = "6-8 %"\n'
    )
    read = read_sheet(sheet, today=date(2026, 3, 1))
    assert read.known_for("unknown-bark") == TanninFigure(6.0, 8.0)
    kept = {known.material_id: known for known in read.known}["quercus-robur-bark"]
    assert kept == KnownTannin(
        "quercus-robur-bark", TanninFigure(7.12, 10.4), how='a "trial" cook', on=date(2026, 3, 2)
    )


def test_a_newer_trial_replaces_the_older_and_leaves_the_rest(tmp_path: Path) -> None:
    file = tmp_path / "sheet.toml"
    file.write_text(
        '# my tub\n[[skin]]\nanimal = "goat"\n\n[known.quercus-robur-bark]\ntannin = "2-20 %"\n'
        'how = "hearsay"\n\n[vat]\nvolume = "40 L"  # the blue one\n'
    )
    keep_known(file, OAK)
    keep_known(file, BARK)
    text = file.read_text()
    tables = tomllib.loads(text)
    assert tables["known"]["quercus-robur-bark"]["tannin"] == "7.12-10.4 %"
    assert tables["known"]["unknown-bark"] == {"tannin": "3-5 %"}
    assert tables["vat"] == {"volume": "40 L"}
    assert "# my tub" in text
    assert "# the blue one" in text
    assert "hearsay" not in text


def test_a_broken_file_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "piles.toml"
    file.write_text("[known\n")
    with pytest.raises(InputError, match="not valid TOML"):
        keep_known(file, OAK)
    assert file.read_text() == "[known\n"


def test_nothing_is_left_behind_when_writing_fails(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_whole(tmp_path / "no such folder" / "a.toml", "x")
    folder = tmp_path / "taken"
    folder.mkdir()
    with pytest.raises(InputError, match="cannot be written"):
        write_whole(folder, "x")
    assert [path.name for path in tmp_path.iterdir()] == ["taken"]

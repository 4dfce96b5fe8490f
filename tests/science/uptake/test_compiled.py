"""Compiled code is kept on disk under a stamp of all its sources."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tanwright.science.uptake import compiled


@compiled.njit
def double(x: float) -> float:
    return 2.0 * x


def test_a_changed_line_in_any_source_changes_the_stamp(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    for path in compiled.HERE.glob("*.py"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    before = compiled.sources_stamp()
    monkeypatch.setattr(compiled, "HERE", tmp_path)
    assert compiled.sources_stamp() == before
    lanes = tmp_path / "lanes.py"
    lanes.write_text(lanes.read_text().replace("LANES = 16", "LANES = 8"))
    assert compiled.sources_stamp() != before


def stamped() -> str:
    return f"uptake-{compiled.sources_stamp()}"


def test_numba_s_own_setting_comes_first_and_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(compiled.config, "CACHE_DIR", str(tmp_path / "set"))
    assert list(compiled.places()) == [tmp_path / "set"]
    assert compiled.cache_folder() == tmp_path / "set" / stamped()


def test_the_next_place_is_tried_where_one_cannot_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """A file where a folder should be serves as what cannot be written, for root too."""
    monkeypatch.setattr(compiled.config, "CACHE_DIR", "")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "home"))
    first, home = compiled.places()
    assert first == compiled.HERE / "__pycache__"
    assert home == tmp_path / "home" / "tanwright"
    blocked = tmp_path / "a file"
    blocked.write_text("in the way")
    monkeypatch.setattr(compiled, "places", lambda: iter([blocked, home]))
    assert compiled.cache_folder() == home / stamped()
    monkeypatch.setattr(compiled, "places", lambda: iter([blocked]))
    assert compiled.cache_folder() is None


def test_a_machine_without_a_home_is_served(monkeypatch: pytest.MonkeyPatch):
    def homeless() -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr(compiled.config, "CACHE_DIR", "")
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setattr(compiled.Path, "home", homeless)
    assert list(compiled.places()) == [compiled.HERE / "__pycache__"]


def test_only_old_folders_of_other_sources_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    old, young, mine = (tmp_path / f"uptake-{digit * 16}" for digit in "abc")
    other = tmp_path / "uptake-notes"
    for folder in (old, young, mine, other):
        folder.mkdir()
        (folder / "code.nbc").write_text("x")
    for folder in (old, mine, other):
        os.utime(folder, (0.0, 0.0))
    compiled.drop_old(tmp_path, mine.name)
    assert {path.name for path in tmp_path.iterdir()} == {young.name, mine.name, other.name}
    monkeypatch.setattr(compiled.config, "CACHE_DIR", str(tmp_path))
    os.utime(young, (0.0, 0.0))
    assert compiled.cache_folder() == tmp_path / stamped()
    assert not young.exists()


def test_decorating_leaves_numba_s_setting_as_it_was():
    before = compiled.config.CACHE_DIR
    assert compiled.njit(double.py_func)(3.0) == 6.0
    assert before == compiled.config.CACHE_DIR


@pytest.mark.parametrize("folder", [None, "a file/cache"])
def test_without_a_folder_it_is_compiled_all_the_same(
    folder: str | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    (tmp_path / "a file").write_text("in the way")
    monkeypatch.setattr(compiled, "FOLDER", folder and tmp_path / folder)
    assert compiled.njit(double.py_func)(4.0) == 8.0

"""Compiled code is kept on disk under a stamp of all its sources."""

from __future__ import annotations

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


def test_numba_s_own_setting_comes_first_then_the_sources_then_home(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(compiled.config, "CACHE_DIR", str(tmp_path / "set"))
    assert compiled.cache_folder().parent == tmp_path / "set"
    monkeypatch.setattr(compiled.config, "CACHE_DIR", "")
    monkeypatch.setattr(compiled.os, "access", lambda *_: True)
    assert compiled.cache_folder().parent == compiled.HERE / "__pycache__"
    monkeypatch.setattr(compiled.os, "access", lambda *_: False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "home"))
    assert compiled.cache_folder().parent == tmp_path / "home" / "tanwright"


def test_decorating_leaves_numba_s_setting_as_it_was():
    before = compiled.config.CACHE_DIR
    assert compiled.njit(double.py_func)(3.0) == 6.0
    assert before == compiled.config.CACHE_DIR


def test_without_a_folder_it_is_compiled_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    blocked = tmp_path / "a file"
    blocked.write_text("in the way")
    monkeypatch.setattr(compiled, "FOLDER", blocked / "cache")
    assert compiled.njit(double.py_func)(4.0) == 8.0

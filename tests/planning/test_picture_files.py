"""The files of the pictures: picture, words and numbers side by side, all or none."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from tanwright.errors import InputError
from tanwright.planning.pictures import PICTURES, draw_pictures, write_pictures
from tests.planning.picture_fixture import fixture_answer


def test_writing_puts_picture_words_and_numbers_side_by_side(tmp_path: Path):
    folder = tmp_path / "new" / "pictures"
    paths = write_pictures(fixture_answer(), folder)
    wanted = [f"{name}.{end}" for name in PICTURES for end in ("svg", "txt", "csv")]
    assert [path.name for path in paths] == wanted
    assert sorted(path.name for path in folder.iterdir()) == sorted(wanted)
    for picture in draw_pictures(fixture_answer()):
        assert (folder / f"{picture.name}.svg").read_text(encoding="utf-8") == picture.svg
        assert picture.words in (folder / f"{picture.name}.txt").read_text(encoding="utf-8")


def test_a_folder_that_is_a_file_is_one_plain_error(tmp_path: Path):
    taken = tmp_path / "taken"
    taken.write_text("a file", encoding="utf-8")
    with pytest.raises(InputError) as trouble:
        write_pictures(fixture_answer(), taken)
    assert str(taken) in str(trouble.value)
    assert "\n" not in str(trouble.value)
    assert taken.read_text(encoding="utf-8") == "a file"


def test_nothing_is_written_half(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    import os

    write_pictures(fixture_answer(), tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    opened = os.fdopen
    calls = itertools.count()

    def full_disk(handle: int, *args: object, **more: object) -> object:
        if next(calls) == 4:
            os.close(handle)
            raise OSError(28, "No space left on device")
        return opened(handle, *args, **more)

    monkeypatch.setattr(os, "fdopen", full_disk)
    with pytest.raises(InputError, match="No space left"):
        write_pictures(fixture_answer(hair=True), tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before

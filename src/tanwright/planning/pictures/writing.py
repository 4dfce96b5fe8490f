"""Draw the pictures of an answer and write them, all or none."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tanwright.errors import InputError
from tanwright.planning.pictures import causes, cut, liquor, numbers
from tanwright.planning.pictures.canvas import clean
from tanwright.planning.pictures.reader import METRIC, Reader

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer

PICTURES = (liquor.NAME, cut.NAME, causes.NAME)


@dataclass(frozen=True)
class Picture:
    """A picture as SVG text, with its title, its words (alt text) and its numbers (CSV)."""

    name: str
    svg: str
    title: str
    words: str
    numbers: str


def draw_pictures(answer: Answer, reader: Reader = METRIC) -> tuple[Picture, ...]:
    """The strength of the liquor, the cut, and what makes the range, in this order.

    Raises
    ------
    ValueError
        If a fan of the answer holds percentiles that are out of order or not finite.
    """
    return (
        Picture(
            liquor.NAME,
            liquor.draw(answer, reader),
            clean(liquor.title(answer, reader)),
            clean(liquor.words(answer, reader)),
            numbers.strength(answer),
        ),
        Picture(
            cut.NAME,
            cut.draw(answer, reader),
            clean(cut.title(answer)),
            clean(cut.words(answer, reader)),
            numbers.fronts(answer),
        ),
        Picture(
            causes.NAME,
            causes.draw(answer, reader),
            clean(causes.title(answer)),
            clean(causes.words(answer, reader)),
            numbers.causes(answer),
        ),
    )


def write_pictures(
    answer: Answer, directory: str | os.PathLike[str], reader: Reader = METRIC
) -> list[Path]:
    """Write ``<name>.svg``, ``<name>.txt`` (alt text) and ``<name>.csv`` for each picture.

    The folder is made if it is missing.  Files appear under their names only when all of them are
    complete; older ones of the same names are replaced.  Returns the nine paths.

    Raises
    ------
    InputError
        If the folder cannot be made or written.
    """
    folder = Path(directory)
    texts: list[tuple[str, str]] = []
    for picture in draw_pictures(answer, reader):
        texts += [
            (f"{picture.name}.svg", picture.svg),
            (f"{picture.name}.txt", f"{picture.title}\n\n{picture.words}\n"),
            (f"{picture.name}.csv", picture.numbers),
        ]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return _write_all(folder, texts)
    except OSError as trouble:
        raise InputError(
            f"the pictures cannot be written here ({trouble.strerror or trouble})",
            place=str(folder),
            remedy="name a folder that can be written",
        ) from trouble


def _write_all(folder: Path, texts: Iterable[tuple[str, str]]) -> list[Path]:
    waiting: list[tuple[Path, Path]] = []
    done: list[Path] = []
    try:
        for name, text in texts:
            handle, hidden = tempfile.mkstemp(prefix=f".{name}.", dir=folder)
            temporary = Path(hidden)
            waiting.append((temporary, folder / name))
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as out:
                out.write(text)
            temporary.chmod(0o644)
        while waiting:
            temporary, target = waiting[0]
            temporary.replace(target)
            waiting.pop(0)
            done.append(target)
    finally:
        for temporary, _ in waiting:
            temporary.unlink(missing_ok=True)
    return done

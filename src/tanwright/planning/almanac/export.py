"""The whole reference as CSV, each row's source spelled out, in one zip."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO


def export(target: Path | BinaryIO) -> None:
    """Write the reference as a zip file: a CSV for each table, README and references.bib.

    ``target`` is a stream, a file name that ends in .zip, or a folder (then the files are written
    into it as they are). Raises InputError when it cannot be written.
    """
    raise NotImplementedError

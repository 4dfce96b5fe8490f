"""Printing: one JSON object, or tables and lines that fit a phone and a pipe."""

from __future__ import annotations

import dataclasses
import json
import math
import sys
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console


def print_json(record: object) -> None:
    """Print ``record`` (mappings, sequences, dataclasses, dates, numbers) as one JSON object.

    Numbers keep six digits; one that is not finite becomes null.
    """
    json.dump(_plain(record), sys.stdout, ensure_ascii=False, indent=2, allow_nan=False)
    sys.stdout.write("\n")


def _plain(value: object) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)
        }
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, date):
        return value.isoformat()
    if hasattr(value, "tolist"):
        return _plain(value.tolist())
    if isinstance(value, float):
        return float(f"{value:.6g}") if math.isfinite(value) else None
    if isinstance(value, Sequence | set | frozenset) and not isinstance(value, str):
        return [_plain(item) for item in value]
    return value


def console() -> Console:
    """Where text goes: as wide as the terminal, and plain when it is a pipe or a file."""
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False, soft_wrap=False)


def say(text: str = "") -> None:
    """One paragraph, wrapped at words."""
    console().print(text)


def fits(columns: Iterable[Sequence[str]]) -> bool:
    """Whether a :func:`table` of these columns, heads included, stands unbroken on the console."""
    return sum(max(map(len, cells)) + 2 for cells in columns) <= console().width


def table(
    head: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    right: Sequence[int] = (),
    whole: Sequence[int] = (),
) -> None:
    """A table without frames; ``right`` names the columns whose cells stand to the right,
    ``whole`` those that are never broken."""
    from rich.table import Table

    grid = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for column, title in enumerate(head):
        grid.add_column(
            title,
            justify="right" if column in right else "left",
            no_wrap=column in whole,
            overflow="fold",
        )
    for row in rows:
        grid.add_row(*row)
    console().print(grid)

"""Headings, paragraphs and lists wrapped to the terminal, a number kept with its unit."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.text import Text

_MONTH = "Jan|Feb|March|April|May|June|July|Aug|Sept|Oct|Nov|Dec"
_NUMBER_AND_UNIT = re.compile(rf"(?<=\d) (?=%|°|[A-Za-z]{{1,3}}\b|(?:{_MONTH})[a-z]*\b)")
_TIE = "\ue000"
"""Stands for a space at which no line may break; neither textwrap nor rich takes it for one."""


def tied(text: str) -> str:
    """``text`` with every number tied to its unit, for a table that goes through ``Paper``."""
    return _NUMBER_AND_UNIT.sub(_TIE, text)


class Paper:
    """What is printed on one console."""

    def __init__(self, console: Console) -> None:
        self._console = console

    @property
    def width(self) -> int:
        """Columns of the terminal."""
        return self._console.width

    def title(self, text: str) -> None:
        """The first line."""
        self._wrapped(text, "", "", style="bold")

    def head(self, text: str) -> None:
        """A heading, after an empty line."""
        self._console.print()
        self.title(text)

    def line(self, text: str, indent: int = 2) -> None:
        """A paragraph."""
        self._wrapped(text, " " * indent, " " * indent)

    def bullets(self, texts: Iterable[str]) -> None:
        """A list."""
        for text in texts:
            self._wrapped(text, "  - ", "    ")

    def gap(self) -> None:
        """An empty line."""
        self._console.print()

    def grid(self, table: RenderableType) -> None:
        """A table, two columns in, without blanks at the ends of its lines."""
        with self._console.capture() as printed:
            self._console.print(Padding(table, (0, 0, 0, 2)))
        for line in printed.get().rstrip("\n").split("\n"):
            self._console.out(line.replace(_TIE, " ").rstrip(), highlight=False)

    def _wrapped(self, text: str, first: str, rest: str, *, style: str = "") -> None:
        lines = textwrap.wrap(
            tied(text),
            max(self._console.width, 20),
            initial_indent=first,
            subsequent_indent=rest,
            break_on_hyphens=False,
        )
        for line in lines:
            self._console.print(Text(line.replace(_TIE, " "), style), soft_wrap=True)

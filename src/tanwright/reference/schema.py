"""What a reference table may hold: its columns, units, ranges and allowed words.

Each ``tables/<name>.csv`` has a side file ``tables/<name>.toml`` that says it in data, so that a
new table needs no code.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tanwright.errors import DataError

KINDS = ("number", "text", "word", "words", "key")
RULES = ("ordered", "one-of")
_KEY = r"^[a-z0-9][a-z0-9.-]*$"


@dataclass(frozen=True)
class Column:
    """One column: ``kind`` is number, text, word, words (separated by ``;``) or key."""

    name: str
    kind: str
    meaning: str
    required: bool
    unit: str = ""
    lowest: float | None = None
    highest: float | None = None
    above: float | None = None
    below: float | None = None
    allowed: frozenset[str] = frozenset()
    refers: str = ""
    pattern: str = ""
    longest: int = 300

    def problem(self, text: str) -> str:
        """What is wrong with one cell, or ``""``; references to other tables are not looked up."""
        if not text:
            return "is empty" if self.required else ""
        if text != text.strip() or "  " in text or not text.isprintable():
            return "has stray spaces or unprintable characters"
        if self.kind == "number":
            return self._problem_of_number(text)
        if self.kind == "text":
            if len(text) > self.longest:
                return f"is longer than {self.longest} characters"
            if text.lower().startswith(("as above", "see above", "ditto", "?")):
                return "points to another row instead of saying it"
            return ""
        for word in words_of(text) if self.kind == "words" else (text,):
            if not word:
                return "has an empty word between semicolons"
            if self.allowed and word not in self.allowed:
                return f'holds the unknown word "{word}"'
            if self.pattern and not re.match(self.pattern, word):
                return f'holds "{word}", which does not have the form of its kind'
        return ""

    def _problem_of_number(self, text: str) -> str:
        try:
            value = float(text)
        except ValueError:
            return f'is not a number ("{text}")'
        if value != value or value in (float("inf"), float("-inf")):
            return f'is not a finite number ("{text}")'
        outside = (
            (self.lowest is not None and value < self.lowest)
            or (self.highest is not None and value > self.highest)
            or (self.above is not None and value <= self.above)
            or (self.below is not None and value >= self.below)
        )
        return f"is out of range ({text})" if outside else ""

    def remedy(self) -> str:
        """What a good cell looks like."""
        if self.kind == "number":
            ends = (
                f"at least {self.lowest:g}" if self.lowest is not None else "",
                f"above {self.above:g}" if self.above is not None else "",
                f"at most {self.highest:g}" if self.highest is not None else "",
                f"below {self.below:g}" if self.below is not None else "",
            )
            limits = " and ".join(end for end in ends if end)
            unit = f" in {self.unit}" if self.unit else ""
            return f"write a number{unit}" + (f", {limits}" if limits else "")
        if self.allowed:
            if len(self.allowed) > 20:
                return f"write one of the {len(self.allowed)} words that the side file lists"
            return "write one of: " + ", ".join(sorted(self.allowed))
        if self.refers:
            return f"write a value of {self.refers}"
        return f"write: {self.meaning}"


@dataclass(frozen=True)
class Rule:
    """A rule over two columns: ``ordered`` (first <= second) or ``one-of`` (not both empty)."""

    kind: str
    columns: tuple[str, str]


@dataclass(frozen=True)
class Schema:
    """Side file of one table."""

    name: str
    title: str
    notes: str
    licence: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]
    rules: tuple[Rule, ...]


def words_of(text: str) -> tuple[str, ...]:
    """Words of a ``;``-separated cell."""
    return tuple(part.strip() for part in text.split(";")) if text else ()


def read_schema(path: Path) -> Schema:
    """Side file at ``path``. Raises DataError when it cannot be understood."""
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise DataError("the table has no side file", place=str(path.name)) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as err:
        raise DataError(f"the side file is not valid TOML ({err})", place=path.name) from None
    columns = tuple(_column(part, path.name) for part in raw.get("column", ()))
    rules = tuple(_rule(part, path.name, columns) for part in raw.get("rule", ()))
    key = tuple(str(name) for name in raw.get("key", ()))
    names = {column.name for column in columns}
    if not key or not set(key) <= names:
        raise DataError("the key of the table is not among its columns", place=path.name)
    return Schema(
        name=path.stem,
        title=str(raw.get("title", "")),
        notes=str(raw.get("notes", "")).strip(),
        licence=str(raw.get("licence", "")),
        key=key,
        columns=columns,
        rules=rules,
    )


def _column(raw: Mapping[str, Any], place: str) -> Column:
    kind = str(raw.get("kind", ""))
    if kind not in KINDS or not raw.get("name"):
        raise DataError(
            f'column "{raw.get("name", "")}" has the unknown kind "{kind}"',
            place=place,
            remedy="write one of: " + ", ".join(KINDS),
        )
    pattern = str(raw.get("pattern", ""))
    return Column(
        name=str(raw["name"]),
        kind=kind,
        meaning=str(raw.get("meaning", "")),
        required=bool(raw.get("required", False)),
        unit=str(raw.get("unit", "")),
        lowest=_limit(raw, "min"),
        highest=_limit(raw, "max"),
        above=_limit(raw, "above"),
        below=_limit(raw, "below"),
        allowed=frozenset(str(word) for word in raw.get("allowed", ())),
        refers=str(raw.get("refers", "")),
        pattern=pattern or (_KEY if kind == "key" else ""),
        longest=int(raw.get("longest", 300)),
    )


def _rule(raw: Mapping[str, Any], place: str, columns: tuple[Column, ...]) -> Rule:
    kind, pair = str(raw.get("kind", "")), tuple(str(name) for name in raw.get("columns", ()))
    names = {column.name for column in columns}
    if kind not in RULES or len(pair) != 2 or not set(pair) <= names:
        raise DataError(f'the rule "{kind}" over {pair} cannot be read', place=place)
    return Rule(kind, (pair[0], pair[1]))


def _limit(raw: Mapping[str, Any], name: str) -> float | None:
    return float(raw[name]) if name in raw else None

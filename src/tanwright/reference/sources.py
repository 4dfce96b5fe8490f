"""Where every figure comes from: citation keys, short references and the bibliography."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import DataError
from tanwright.reference.loader import record, table


@dataclass(frozen=True)
class Source:
    """One source. ``strength`` is read, weak, memory, practice, derived or own."""

    key: str
    author: str
    year: str
    title: str
    how_read: str
    licence: str
    group: str
    strength: str

    @property
    def short(self) -> str:
        """Author, year and title in one line."""
        if self.key in _PLAIN:
            return _PLAIN[self.key]
        who = " ".join(part for part in (self.author, self.year) if part and part != "n.d.")
        return ", ".join(part for part in (who, self.title) if part)


_PLAIN = {
    "memory": "from memory",
    "common-practice": "common practice",
    "derived": "worked out here",
    "measured-here": "measured here",
}


def source(key: str) -> Source:
    """Source by its key. Raises DataError for a key that the bibliography does not hold."""
    try:
        return _by_key()[key]
    except KeyError:
        raise DataError(
            f'no source has the key "{key}"',
            place="sources.csv column key",
            remedy="add it to sources.csv and references.bib",
        ) from None


def sources() -> tuple[Source, ...]:
    """All sources, in the order of the table."""
    return tuple(_by_key().values())


def cite(keys: Iterable[str]) -> tuple[str, ...]:
    """Short references of the keys, each once, in their order."""
    return tuple(source(key).short for key in dict.fromkeys(keys))


@lru_cache(maxsize=1)
def _by_key() -> dict[str, Source]:
    return {row.text("key"): record(Source, row) for row in table("sources")}

"""What a liquor looks like, and about how strong it may be."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import record, table


@dataclass(frozen=True)
class Look:
    """What a liquor looks like and the strength it may have, degrees barkometer."""

    id: str
    words: tuple[str, ...]
    low_bk: float
    high_bk: float
    note: str
    source: str


def look(words: str) -> Look:
    """Look by its words ("pale tea" to "black coffee"). Raises InputError with near matches."""
    wanted = " ".join(words.lower().replace("-", " ").split())
    known = {word: item for item in looks() for word in (item.id.replace("-", " "), *item.words)}
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(wanted, list(known), n=2, cutoff=0.6)
    raise InputError(
        f"'{words}' is not a look that can be read",
        remedy="did you mean " + " or ".join(near) + "?"
        if near
        else "write one of " + ", ".join(item.words[0] for item in looks()),
    )


@lru_cache(maxsize=1)
def looks() -> tuple[Look, ...]:
    """All looks, palest first."""
    return tuple(record(Look, row) for row in table("looks"))

"""Start values of the model's parameters, each an unknown with a range (tables/parameters.csv)."""

from __future__ import annotations

import difflib
from functools import lru_cache
from typing import Literal, cast

from tanwright.errors import InputError
from tanwright.reference.loader import table
from tanwright.science.belief.unknowns import Unknown


def parameter(name: str) -> Unknown:
    """Prior of one parameter, for example ``"diffusivity"`` in mm2/day.

    Raises InputError with near matches for an unknown name.
    """
    known = _by_name()
    if name not in known:
        near = difflib.get_close_matches(name, list(known), n=3)
        raise InputError(
            f'no parameter is called "{name}"',
            remedy="did you mean " + ", ".join(near) if near else "write one of the table's names",
        )
    return known[name]


def parameters() -> dict[str, Unknown]:
    """All parameters by name, in the order of the table."""
    return dict(_by_name())


@lru_cache(maxsize=1)
def _by_name() -> dict[str, Unknown]:
    return {
        row.text("name"): Unknown(
            name=row.text("name"),
            label=row.text("label"),
            median=row.number("median"),
            spread=row.number("spread"),
            shape=cast(Literal["log", "logit", "linear"], row.text("shape")),
            unit=row.text("unit"),
            sources=(row.text("source"),),
        )
        for row in table("parameters")
    }

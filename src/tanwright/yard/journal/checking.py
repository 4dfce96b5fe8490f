"""Checks of the data of an entry, shared by the areas' kinds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from tanwright.errors import InputError


def number(
    data: Mapping[str, Any], key: str, low: float, high: float, *, needed: bool = True
) -> float | None:
    """``data[key]`` as a finite number from ``low`` to ``high``. Raises InputError."""
    value = data.get(key)
    if value is None and not needed:
        return None
    good = isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
    if not good or not low <= float(value) <= high:  # type: ignore[arg-type]
        shown = "nothing" if value is None else f'"{value}"'
        raise InputError(
            f"{shown} cannot be right here", place=key, remedy="check the number and the unit"
        )
    return float(value)  # type: ignore[arg-type]


def text(data: Mapping[str, Any], key: str, *, most: int = 200, needed: bool = False) -> str:
    """``data[key]`` as a short text. Raises InputError."""
    value = data.get(key, "")
    if not isinstance(value, str) or len(value) > most or (needed and not value.strip()):
        raise InputError(
            "this must be a short text", place=key, remedy=f"write up to {most} letters"
        )
    return value.strip()


def one_of(data: Mapping[str, Any], key: str, known: Iterable[str], *, needed: bool = True) -> str:
    """``data[key]`` if it is one of ``known``. Raises InputError."""
    value, names = data.get(key) or "", tuple(known)
    if (not value and not needed) or value in names:
        return str(value)
    raise InputError(
        f'"{value}" is not known here', place=key, remedy="choose one of " + ", ".join(names)
    )

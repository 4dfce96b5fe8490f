"""Numbers as the science floor takes them: floats or arrays, checked once at the door."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tanwright.errors import InputError

Floats = NDArray[np.float64]
Value = Floats | float
"""A number or an array of numbers; functions broadcast them against each other."""


def floats(value: Value) -> Floats:
    """``value`` as an array of floats (a plain number becomes an array without axes)."""
    return np.asarray(value, dtype=float)


def within(value: Value, low: float, high: float, what: str, *, remedy: str = "") -> Floats:
    """``value`` as an array, refused when any of it lies outside ``low`` to ``high`` or is not a
    number.

    Raises
    ------
    InputError
        Naming ``what`` and the first value that is out of range.
    """
    array = floats(value)
    good = (array >= low) & (array <= high)
    if not np.all(good):
        worst = float(np.ravel(array)[int(np.argmin(np.ravel(good)))])
        raise InputError(
            f"{what} {worst:g} lies outside {low:g} to {high:g}",
            remedy=remedy or "check the number and its unit",
        )
    return array


def share(value: Value, what: str) -> Floats:
    """``value`` as an array of shares between 0 and 1. Raises InputError otherwise."""
    return within(value, 0.0, 1.0, what, remedy="write a share between 0 and 1")


def positive(value: Value, what: str) -> Floats:
    """``value`` as an array of finite numbers above zero. Raises InputError otherwise."""
    array = floats(value)
    good = (array > 0.0) & np.isfinite(array)
    if not np.all(good):
        worst = float(np.ravel(array)[int(np.argmin(np.ravel(good)))])
        raise InputError(f"{what} {worst:g} is not above zero", remedy="check the number")
    return array


def not_negative(value: Value, what: str) -> Floats:
    """``value`` as an array of finite numbers of zero or more. Raises InputError otherwise."""
    array = floats(value)
    good = (array >= 0.0) & np.isfinite(array)
    if not np.all(good):
        worst = float(np.ravel(array)[int(np.argmin(np.ravel(good)))])
        raise InputError(f"{what} {worst:g} is below zero", remedy="check the number")
    return array

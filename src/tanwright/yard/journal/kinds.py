"""The kinds of entries: what may be noted, how it is checked and how it reads.

Each area declares its kinds in ``entry_kinds.py`` and hands them over when the yard starts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from tanwright.errors import InputError
from tanwright.units import System

Data = dict[str, Any]


@dataclass(frozen=True)
class Kind:
    """One kind of entry.

    Attributes
    ----------
    name:
        ``"<area>.<what>"``, as kept with the entry.
    label:
        What a person calls it.
    record_kind:
        Kind of record it is written about.
    clean:
        Checks the data and gives it back in its kept form (JSON's own types, SI-based units);
        raises InputError.
    say:
        One plain line for the log, in the reader's units.
    form:
        Dotted path of the form that enters and corrects it; empty when it is written by the
        yard itself and cannot be corrected by hand.
    helper_may:
        Whether a helper may write it.
    """

    name: str
    label: str
    record_kind: str
    clean: Callable[[Mapping[str, Any]], Data]
    say: Callable[[Mapping[str, Any], System], str]
    form: str = ""
    helper_may: bool = True


_kinds: dict[str, Kind] = {}


def declare(*kinds: Kind) -> None:
    """Make ``kinds`` known. The same name twice is a mistake of the program."""
    for kind in kinds:
        if kind.name in _kinds and _kinds[kind.name] is not kind:
            raise ValueError(f"the entry kind {kind.name} is declared twice")
        _kinds[kind.name] = kind


def kind_of(name: str) -> Kind:
    """The kind called ``name``. Raises InputError when there is none."""
    try:
        return _kinds[name]
    except KeyError:
        raise InputError(
            f'"{name}" is not a kind of entry', place="kind", remedy="reload the page and try again"
        ) from None


def all_kinds() -> tuple[Kind, ...]:
    """Every declared kind, by name."""
    return tuple(_kinds[name] for name in sorted(_kinds))


Fold = Callable[[Any], None]
_folds: dict[str, Fold] = {}


def fold_with(record_kind: str, fold: Fold) -> None:
    """Let ``fold(record_id)`` bring the kept state of such records up to date after an entry."""
    _folds[record_kind] = fold


def fold_of(record_kind: str) -> Fold | None:
    """The fold for records of this kind, if its area has one."""
    return _folds.get(record_kind)

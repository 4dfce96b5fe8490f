"""An answer as JSON to be kept and taken back later, so that it can be told and drawn anew.

:mod:`tanwright.planning.as_json` is for scripts and rounds hard; this keeps every field.  Fans are
thinned to what a picture can show, figures to six digits.
"""

from __future__ import annotations

import math
import types
import typing
from dataclasses import fields, is_dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Any, Final

import numpy as np
import numpy.typing

from tanwright.errors import DataError
from tanwright.planning.answers import Answer, Fan
from tanwright.science.belief.unknowns import Floats

KEPT_VERSION: Final = 1
"""Raised when an older kept answer can no longer be taken back."""
MOST_POINTS: Final = 160
"""Points of a fan that are kept: a picture is some 600 px wide and its curves are smooth."""
_DIGITS: Final = 6

Ints = np.typing.NDArray[np.intp]


def keep(answer: Answer) -> dict[str, Any]:
    """``answer`` as JSON's own types."""
    cut = answer.cut
    shown = _shown(cut.day)  # one choice for both fronts: the picture lays them over each other
    thin = replace(
        answer,
        strength_fan=thinned(answer.strength_fan),
        depth_fan=thinned(answer.depth_fan),
        cut=replace(
            cut,
            day=cut.day[shown],
            flesh_front=_at(cut.flesh_front, shown),
            grain_front=_at(cut.grain_front, shown),
        ),
    )
    return {"kept_version": KEPT_VERSION, **_plain(thin)}


def take_back(kept: dict[str, Any]) -> Answer:
    """The answer that :func:`keep` kept.

    Raises
    ------
    DataError
        For one of another version, or one that does not hold what an answer holds.
    """
    if not isinstance(kept, dict) or kept.get("kept_version") != KEPT_VERSION:
        found = kept.get("kept_version") if isinstance(kept, dict) else None
        raise DataError(
            f"a kept answer of version {found} cannot be read",
            place="kept answer",
            remedy="make the plan or the forecast anew",
        )
    try:
        found = _back(Answer, {key: kept[key] for key in kept if key != "kept_version"})
    except (KeyError, TypeError, ValueError) as error:
        raise DataError(
            f"a kept answer is not whole ({type(error).__name__}: {error})",
            place="kept answer",
            remedy="make the plan or the forecast anew",
        ) from None
    return typing.cast(Answer, found)


def thinned(fan: Fan) -> Fan:
    """``fan`` with at most :data:`MOST_POINTS` points, steps kept: both sides of a jump stay."""
    return _at(fan, _shown(fan.day, fan.p50))


def _at(fan: Fan, shown: Ints) -> Fan:
    return Fan(fan.day[shown], fan.p05[shown], fan.p50[shown], fan.p95[shown])


def _shown(day: Floats, values: Floats | None = None) -> Ints:
    """Indices that stay: evenly spread ones and both sides of every jump."""
    if day.size <= MOST_POINTS:
        return np.arange(day.size)
    even = np.linspace(0, day.size - 1, MOST_POINTS * 3 // 4).round().astype(int)
    chosen = set(even.tolist())
    if values is not None:
        steps = np.abs(np.diff(values))
        largest = np.argsort(steps)[::-1][: MOST_POINTS // 8]
        chosen.update(largest.tolist())
        chosen.update((largest + 1).tolist())
    return np.array(sorted(chosen))


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, np.ndarray):
        return [_figure(float(item)) for item in value]
    if isinstance(value, (tuple, list)):
        return [_plain(item) for item in value]
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (float, np.floating)):
        return _figure(float(value))
    if isinstance(value, np.integer):
        return int(value)
    return value


def _figure(value: float) -> float | str:
    """Six digits; JSON has no infinity and no "not a number", so these are words."""
    if not math.isfinite(value):
        return str(value)
    return float(f"{value:.{_DIGITS}g}")


def _back(kind: Any, value: Any) -> Any:
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        if value is None:
            return None
        return _back(next(item for item in inner if item is not type(None)), value)
    if origin is tuple:
        if len(inner) == 2 and inner[1] is Ellipsis:
            return tuple(_back(inner[0], item) for item in value)
        return tuple(_back(part, item) for part, item in zip(inner, value, strict=True))
    if origin is dict:
        return {key: _back(inner[1], item) for key, item in value.items()}
    if origin is np.ndarray:
        return np.array([float(item) for item in value])
    if isinstance(kind, type) and is_dataclass(kind):
        hints = _hints(kind)
        return kind(**{name: _back(hints[name], value[name]) for name in hints if name in value})
    if kind is date:
        return date.fromisoformat(value)
    if kind is float:
        return float(value)
    return value


@lru_cache(maxsize=64)
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)

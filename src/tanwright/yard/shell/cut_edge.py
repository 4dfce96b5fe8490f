"""The cut edge as a small picture: two tanned faces and the pale middle that closes."""

from __future__ import annotations

import math
from dataclasses import dataclass

WIDTH, HEIGHT = 200.0, 40.0
_SKIN_TOP, _SKIN_BOTTOM = 4.0, 36.0
_STEPS = 20
_UNEVEN = 0.9
"""Tan never moves in evenly; in units of the picture, which is 40 high."""


@dataclass(frozen=True)
class CutEdge:
    """Path data of the picture, and what it shows in words."""

    skin: str
    grain: str
    middle: str
    """Empty when nothing pale is left."""
    words: str


def cut_edge(share: float, *, from_flesh_only: bool = False) -> CutEdge:
    """The cut with ``share`` (0 to 1, cut to these) of the thickness coloured.

    With the hair on tan comes from the flesh side alone (below), else from both faces alike.
    """
    share = min(max(share, 0.0), 1.0)
    deep = share * (_SKIN_BOTTOM - _SKIN_TOP)
    top = _SKIN_TOP + (0.0 if from_flesh_only else deep / 2.0)
    bottom = _SKIN_BOTTOM - (deep if from_flesh_only else deep / 2.0)
    pale = share < 0.985
    return CutEdge(
        skin=_band(_SKIN_TOP, _SKIN_BOTTOM, 0.6),
        grain=_band(_SKIN_TOP, _SKIN_TOP + 2.2, 0.6),
        middle=_band(top, bottom, min(_UNEVEN, (bottom - top) / 4.0)) if pale else "",
        words=_words(share, from_flesh_only),
    )


def _words(share: float, from_flesh_only: bool) -> str:
    if share < 0.015:
        return "Cut edge: pale all through"
    if share >= 0.985:
        return "Cut edge: coloured all through"
    sides = "from the flesh side" if from_flesh_only else "from both faces"
    return f"Cut edge: about {max(round(share * 10), 1)} tenths coloured {sides}, the rest pale"


def _band(top: float, bottom: float, uneven: float) -> str:
    xs = [WIDTH * step / _STEPS for step in range(_STEPS + 1)]
    upper = [(x, top + uneven * _wave(x, 0.0)) for x in xs]
    lower = [(x, bottom + uneven * _wave(x, 2.1)) for x in reversed(xs)]
    return "M" + "L".join(f"{x:g},{y:.2f}" for x, y in (*upper, *lower)) + "Z"


def _wave(x: float, turn: float) -> float:
    return 0.6 * math.sin(x / 11.0 + turn) + 0.4 * math.sin(x / 4.7 + 2.0 * turn)

"""Pictures of offcuts and of nicks for the pages: points as SVG takes them, y downwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.planning.trials.cutting import CutPatch
from tanwright.planning.trials.maps import corners_of, nicks_on
from tanwright.science.trials.codes import PLACES, nicks_of
from tanwright.science.trials.outlines import Outline
from tanwright.science.values import Floats


@dataclass(frozen=True)
class PatchPicture:
    """One patch on the picture of its offcut."""

    number: int
    corners: str
    x: str
    y: str


@dataclass(frozen=True)
class OffcutPicture:
    """An offcut: outline, flaws and patches; lengths in mm of the offcut."""

    box: str
    outline: str
    flaws: tuple[str, ...]
    patches: tuple[PatchPicture, ...]
    text_size: str
    words: str


@dataclass(frozen=True)
class CodePicture:
    """A patch alone with its nicks, in a box of 100."""

    number: int
    code: str
    breadth: str
    height: str
    nicks: tuple[str, ...]
    letter: str


def draw_offcut(
    outline: Outline,
    patches: Sequence[CutPatch] = (),
    *,
    name: str,
) -> OffcutPicture:
    """The picture of one offcut."""
    low, high = outline.outer.min(axis=0), outline.outer.max(axis=0)
    size = (high - low) * 10.0
    edge = 0.02 * float(size.max())
    drawn = tuple(_patch(patch, low, high) for patch in patches)
    breadth, height = outline.size_cm
    flaws = len(outline.flaws)
    words = f"{name}: {breadth:.0f} by {height:.0f} cm"
    words += f", {flaws} flaw{'s' if flaws > 1 else ''}" if flaws else ""
    words += f", {len(drawn)} patches" if drawn else ""
    least = min((min(patch.width_cm, patch.height_cm) for patch in patches), default=5.0)
    return OffcutPicture(
        box=f"{-edge:.1f} {-edge:.1f} {size[0] + 2 * edge:.1f} {size[1] + 2 * edge:.1f}",
        outline=_points(outline.outer, low, high),
        flaws=tuple(_points(ring, low, high) for ring in outline.flaws),
        patches=drawn,
        text_size=f"{4.2 * least:.1f}",
        words=words,
    )


def draw_code(number: int, code: str, square: bool, ratio: float, letter: str = "") -> CodePicture:
    """The picture of one code; ``ratio`` is the short side of the patch over its long one."""
    high = 100.0 if square else 100.0 * ratio
    corners = np.array(((0.0, 0.0), (100.0, 0.0), (100.0, high), (0.0, high)))
    nicks = nicks_on(corners, code, 17.0, 17.0)
    return CodePicture(
        number=number,
        code=code,
        breadth="100",
        height=f"{high:.0f}",
        nicks=tuple(" ".join(f"{x:.1f},{high - y:.1f}" for x, y in nick) for nick in nicks),
        letter=letter,
    )


def words_of_code(code: str) -> str:
    """Where the nicks are, to be read out."""
    places = ("near its first corner", "in the middle", "near its last corner")
    sides = ("first", "second", "third", "fourth")
    told = []
    for side, name in enumerate(sides):
        nicks = nicks_of(code)[PLACES * side : PLACES * (side + 1)]
        where = [place for place, nick in zip(places, nicks, strict=True) if nick]
        if where:
            told.append(f"{name} side {' and '.join(where)}")
    return "nicks going round: " + ", ".join(told)


def _patch(patch: CutPatch, low: Floats, high: Floats) -> PatchPicture:
    corners = corners_of(patch)
    middle = _moved(np.array(((patch.x_cm, patch.y_cm),)), low, high)[0]
    return PatchPicture(
        number=patch.number,
        corners=_points(corners, low, high),
        x=f"{middle[0]:.1f}",
        y=f"{middle[1]:.1f}",
    )


def _moved(points: Floats, low: Floats, high: Floats) -> Floats:
    return np.column_stack((points[:, 0] - low[0], high[1] - points[:, 1])) * 10.0


def _points(points: Floats, low: Floats, high: Floats) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in _moved(points, low, high))

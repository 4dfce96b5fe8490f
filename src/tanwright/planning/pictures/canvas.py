"""A sheet to draw on: the few shapes the pictures need, over ``drawsvg``.

No script, no style sheet and no style attribute goes into a picture, so it may stand inside a page
with a strict content security policy.  Coordinates are written with one decimal, which keeps files
small and the same answer byte for byte the same picture.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import Any
from xml.sax.saxutils import escape

from tanwright.planning.pictures import palette
from tanwright.planning.pictures.palette import INK, PAPER, SMALL_SIZE

WIDTH = 400.0
Point = tuple[float, float]

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """Text without the characters XML forbids, on one line."""
    return " ".join(_NOT_XML.sub(" ", text).split())


def place(value: float) -> str:
    """A coordinate with one decimal, never ``-0``."""
    return f"{round(value, 1) + 0.0:g}" if abs(value) < 1e5 else f"{value:.1f}"


def trace(points: Iterable[Point], *, close: bool = False) -> str:
    """Path data through the points."""
    body = "L".join(f"{place(x)},{place(y)}" for x, y in points)
    return f"M{body}{'Z' if close else ''}"


class Canvas:
    """Collects shapes from back to front; ``render`` gives the SVG text."""

    def __init__(self, name: str) -> None:
        self.name = name
        import drawsvg  # here, so that the command line starts without it

        self._draw: Any = drawsvg
        self._shapes: list[Any] = []
        self._defs: list[Any] = []

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = SMALL_SIZE,
        fill: str = INK,
        anchor: str = "start",
        headline: bool = False,
        bold: bool = False,
        halo: str = "",
    ) -> None:
        """One line of text with its base line at ``y``; ``halo`` keeps it legible on a pattern."""
        extra: dict[str, object] = {}
        if anchor != "start":
            extra["text_anchor"] = anchor
        if headline:
            extra["font_family"] = palette.HEADLINE_FONT
        if bold or headline:
            extra["font_weight"] = 700 if headline else 600
        if halo:
            extra |= {
                "stroke": halo,
                "stroke_width": 3,
                "stroke_linejoin": "round",
                "paint_order": "stroke",
            }
        self._shapes.append(
            self._draw.Text(clean(text), place(size), place(x), place(y), fill=fill, **extra)
        )

    def path(self, data: str, **look: object) -> None:
        """A path; ``look`` holds SVG presentation attributes."""
        self._shapes.append(self._draw.Path(d=data, **({"fill": "none"} | look)))

    def line(self, start: Point, end: Point, *, stroke: str = INK, **look: object) -> None:
        """A straight line."""
        self.path(trace((start, end)), stroke=stroke, **look)

    def curve(self, points: Sequence[Point], *, stroke: str = INK, **look: object) -> None:
        """A line through many points."""
        self.path(trace(points), stroke=stroke, stroke_linejoin="round", **look)

    def area(self, points: Sequence[Point], *, fill: str, **look: object) -> None:
        """A filled polygon."""
        self.path(trace(points, close=True), fill=fill, **look)

    def box(
        self, x: float, y: float, width: float, height: float, *, fill: str, **look: object
    ) -> None:
        """A rectangle."""
        corner = (place(x), place(y), place(max(width, 0.0)), place(max(height, 0.0)))
        self._shapes.append(self._draw.Rectangle(*corner, fill=fill, **look))

    def diamond(self, x: float, y: float, *, radius: float = 5.0, fill: str, edge: str) -> None:
        """A reading's mark, edged so that it shows on light and on dark."""
        points = ((x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y))
        self.area(points, fill=fill, stroke=edge, stroke_width=1.4)

    def hatch(
        self, key: str, *, ground: str, stroke: str, gap: float, width: float, turn: float
    ) -> str:
        """Define a hatching and return the paint that refers to it."""
        name = f"{self.name}-{key}"
        pattern = self._draw.Pattern(
            place(gap),
            place(gap),
            id=name,
            patternUnits="userSpaceOnUse",
            patternTransform=f"rotate({turn:g})",
        )
        pattern.append(self._draw.Rectangle(0, 0, place(gap), place(gap), fill=ground))
        middle = place(gap / 2)
        pattern.append(
            self._draw.Path(d=f"M0,{middle}H{place(gap)}", stroke=stroke, stroke_width=width)
        )
        self._defs.append(pattern)
        return f"url(#{name})"

    def render(self, height: float, title: str, words: str) -> str:
        """The finished picture with its title and its description in words."""
        heading, telling = f"{self.name}-title", f"{self.name}-desc"
        sheet = self._draw.Drawing(
            WIDTH,
            math.ceil(height),
            id_prefix=f"{self.name}-",
            role="img",
            aria_labelledby=f"{heading} {telling}",
            font_family=palette.TEXT_FONT,
        )
        sheet.svg_args |= {"width": "100%", "height": None, "preserveAspectRatio": "xMidYMin meet"}
        for item in self._defs:
            sheet.append_def(item)
        sheet.append(self._draw.Title(clean(title), id=heading))
        sheet.append(self._draw.Raw(f'<desc id="{telling}">{escape(clean(words))}</desc>'))
        sheet.append(self._draw.Rectangle(0, 0, WIDTH, math.ceil(height), fill=PAPER))
        sheet.extend(self._shapes)
        return str(sheet.as_svg()) + "\n"

"""Pictures of the reference, drawn once for the process: they change only with its tables."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from django.utils.safestring import SafeString, mark_safe

from tanwright.planning.answers import Range
from tanwright.planning.pictures.tannin_figures import draw_compared, draw_tannin
from tanwright.planning.pictures.writing import Picture
from tanwright.planning.plants import describe


@dataclass(frozen=True)
class Drawn:
    """A picture to stand in a page, with the words that say the same."""

    svg: SafeString
    title: str
    words: str
    numbers: str


@lru_cache(maxsize=512)
def tannin_picture(material_id: str) -> Drawn:
    """Published figures and the range drawn from them."""
    return _drawn(draw_tannin(describe(material_id)))


@lru_cache(maxsize=256)
def compared_picture(material_ids: tuple[str, ...]) -> Drawn:
    """Several plants on one scale."""
    return _drawn(draw_compared([describe(id) for id in material_ids]))


def _drawn(picture: Picture) -> Drawn:
    inline = picture.svg[picture.svg.index("<svg") :]
    return Drawn(mark_safe(inline), picture.title, picture.words, picture.numbers)


FULL: Final = 60.0
"""Per cent of tannin at the right end of the little spans of a list."""


@dataclass(frozen=True)
class Span:
    """A range as a line of a hundred units: where it begins, how long it is, its likely place."""

    start: float
    length: float
    likely: float


def span_of(pct: Range) -> Span:
    """The little span beside a plant of a list."""
    low, middle, high = (min(100.0 * v / FULL, 100.0) for v in (pct.p05, pct.p50, pct.p95))
    return Span(round(low, 1), round(high - low, 1), round(middle, 1))

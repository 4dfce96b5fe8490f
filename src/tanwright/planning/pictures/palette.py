"""The colours and type of tanwright's pictures, named for where they are met in the work.

Dark on light, so that a picture prints on plain paper.  Wherever colour tells something a pattern
tells it too; ``contrast`` is the rule that every text colour is tested with.
"""

from __future__ import annotations

PAPER = "#fffdf8"
"""The sheet itself."""
INK = "#2b1a10"
"""Headlines and numbers."""
QUIET = "#634b39"
"""Second lines, ticks and captions."""
RULE = "#dccdb8"
"""Grid lines and the edges of swatches."""

BARK = "#55301a"
"""Tanned leather, almost surely; the middle line of the liquor."""
LEATHER = "#a9733f"
"""Coloured more likely than not."""
FAWN = "#e3c294"
"""Perhaps coloured; the band of the liquor."""
PELT = "#fffdf8"
"""Raw pelt, still pale: bare paper."""

GALL = "#14304a"
"""Iron-gall blue-black: what a person has read or done."""
LICHEN = "#3f5527"
"""Lichen on the bark: what is put into the vat."""

LIQUOR_TINTS = ("#fffcf3", "#fcf6e8", "#f8eedb", "#f3e5cd", "#eddbbe")
"""Backgrounds from pale tea to black coffee, all light enough to write on."""

TEXT_COLOURS = (INK, QUIET, GALL, LICHEN, BARK)
TEXT_GROUNDS = (PAPER, PELT, *LIQUOR_TINTS)

HEADLINE_FONT = "'Iowan Old Style', 'Palatino Linotype', Palatino, 'Book Antiqua', Georgia, serif"
TEXT_FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', Arial, sans-serif"

HEADLINE_SIZE = 18.0
TEXT_SIZE = 13.5
SMALL_SIZE = 12.5
"""In units of a sheet 400 wide: at a phone's 360 px the smallest text is 11 px high."""


def _channel(value: int) -> float:
    share = value / 255.0
    return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 (black) to 1 (white), as WCAG 2.2 defines it."""
    red, green, blue = (_channel(int(colour[i : i + 2], 16)) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21, as WCAG 2.2 defines it."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)

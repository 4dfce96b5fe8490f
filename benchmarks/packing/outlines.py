"""Outlines of our own to measure packing on: offcuts as they fall, sized for about forty patches.

Points in cm, made up from the look of real offcuts; none is copied from anywhere.
"""

from __future__ import annotations

import math

from shapely.geometry import Polygon

Case = tuple[Polygon, float, int]
"""Region, side of a square patch in cm, and the most patches known to fit, all lying alike."""

_RINGS: dict[str, tuple[list[tuple[float, float]], list[list[tuple[float, float]]]]] = {
    "hind leg": (
        [(0, 4), (3, 0), (14, 2), (26, 5), (38, 7), (50, 9), (61, 10), (64, 14), (62, 19), (50, 21),
         (38, 24), (26, 28), (14, 33), (4, 37), (-2, 33), (-3, 22), (-1, 12)],
        [[(20, 16), (24, 15), (25, 18), (21, 19)]],
    ),
    "belly": (
        [(0, 0), (12, -3), (28, -4), (45, -2), (62, -4), (80, 0), (96, 5), (104, 12), (98, 19),
         (82, 23), (64, 22), (46, 26), (30, 24), (14, 21), (3, 16), (-3, 8)],
        [],
    ),
    "neck": (
        [(0, 0), (14, 2), (27, -2), (44, 1), (57, -1), (61, 10), (58, 22), (63, 33), (54, 41),
         (40, 38), (30, 43), (18, 39), (6, 44), (-3, 34), (2, 22), (-4, 11)],
        [[(28, 14), (33, 13), (34, 24), (29, 25)], [(10, 28), (12, 27), (13, 31), (10, 31)]],
    ),
    "shoulder": (
        [(0, 6), (10, 0), (26, 1), (41, 5), (56, 3), (66, 12), (70, 26), (60, 33), (47, 31),
         (36, 37), (22, 41), (9, 36), (2, 24)],
        [],
    ),
    "flank": (
        [(0, 10), (8, 3), (20, 0), (33, 2), (46, 7), (57, 15), (60, 22), (52, 27), (44, 25),
         (37, 31), (27, 38), (15, 36), (8, 28), (3, 20)],
        [[(22, 12), (27, 12), (27, 15), (22, 15)]],
    ),
    "edge": (
        [(0, 0), (40, 2), (80, -1), (118, 3), (120, 16), (96, 17), (84, 25), (70, 24), (60, 16),
         (30, 15), (24, 21), (8, 20), (-1, 12)],
        [],
    ),
}  # fmt: skip
_PER_PATCH = 46.0
"""Area of the region over the area of a patch, so that about forty fit."""

_BEST = {"hind leg": 35, "belly": 35, "neck": 35, "shoulder": 37, "flank": 36, "edge": 34}
"""The larger of what ``exact`` proves best on its grid in seven directions (34, 35, 35, 37, 36, 33)
and of what packing has ever found."""


def benchmark_outlines() -> dict[str, Case]:
    """Regions by name, with the side of the patch and the best count known."""
    found: dict[str, Case] = {}
    for name, (outer, flaws) in _RINGS.items():
        region = Polygon(outer, flaws)
        side = round(math.sqrt(region.area / _PER_PATCH), 2)
        found[name] = (region, side, _BEST[name])
    return found

"""The cutting map: offcuts at full size on tiled pages, and one sheet with the key of the codes.

Everything is worked out here in millimetres on the page; the typeset template only draws.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from importlib.resources import files
from typing import Final, Literal

import numpy as np
from shapely.geometry import Polygon, box

from tanwright.errors import InputError
from tanwright.planning.trials.cutting import (
    CutPatch,
    Cutting,
    PieceCut,
    cutting_in_words,
    sides_in_words,
)
from tanwright.planning.trials.offcuts import Piece
from tanwright.planning.typesetting import set_pages
from tanwright.reference.animals import regions
from tanwright.science.trials.codes import PLACES, nicks_of, place_share
from tanwright.science.values import Floats

Paper = Literal["a4", "us-letter"]
PAPERS: Final[dict[Paper, tuple[float, float]]] = {
    "a4": (210.0, 297.0),
    "us-letter": (215.9, 279.4),
}
"""Breadth and height in mm: ISO 216 and 8.5 by 11 inches."""

EDGE_MM = 12.0
"""White left on the page: most printers cannot print nearer to the edge than 5 mm."""
HEAD_MM, FOOT_MM = 13.0, 21.0
OVERLAP_MM = 10.0
NICK_DEPTH_MM, NICK_BREADTH_MM = 3.0, 3.0
MOST_PAGES = 120
_COLUMNS = 5

Points = list[tuple[float, float]]


@dataclass(frozen=True)
class DrawnPatch:
    """A patch in mm on its page: corners, nicks as triangles, and where its number stands."""

    number: int
    mark: str
    corners: Points
    nicks: list[Points]
    middle: tuple[float, float]


@dataclass(frozen=True)
class Tile:
    """One page at full size; ``corner_cm`` is the place on the offcut of its lower left corner."""

    piece: str
    told: str
    name: str
    row: int
    column: int
    corner_cm: tuple[float, float]
    below: str
    left: str
    above: str
    right: str
    outline: Points
    flaws: list[Points]
    patches: list[DrawnPatch]


def cutting_map(
    cutting: Cutting,
    *,
    title: str,
    paper: Paper = "a4",
    marks: Mapping[str, str] | None = None,
) -> bytes:
    """The cutting map as PDF: an overview with the key, then every offcut at full size.

    Parameters
    ----------
    marks:
        Letter of the treatment by the code of a patch; without them the map may lie open where
        pieces are graded.

    Raises
    ------
    InputError
        If the offcuts would take more than 120 pages.
    """
    template = files(__package__).joinpath("typeset", "cutting_map.typ").read_bytes()
    return set_pages(template, map_data(cutting, title=title, paper=paper, marks=marks or {}))


def map_data(
    cutting: Cutting, *, title: str, paper: Paper, marks: Mapping[str, str]
) -> dict[str, object]:
    """What the template draws, JSON's own types, lengths in mm from the top left of a frame."""
    breadth, height = PAPERS[paper]
    frame = (breadth - 2 * EDGE_MM, height - 2 * EDGE_MM - HEAD_MM - FOOT_MM)
    by_piece = _by_piece(cutting)
    tiles = [
        tile
        for one in cutting.pieces
        for tile in tiles_of(one, by_piece[one.piece.name], frame, marks)
    ]
    if len(tiles) > MOST_PAGES:
        raise InputError(
            f"the map would take {len(tiles)} pages",
            remedy="print the offcuts in several goes, or draw them smaller",
        )
    return {
        "title": title,
        "paper": paper,
        "page": {"breadth": breadth, "height": height},
        "edge": EDGE_MM,
        "head": HEAD_MM,
        "foot": FOOT_MM,
        "overlap": OVERLAP_MM,
        "frame": {"breadth": frame[0], "height": frame[1]},
        "words": cutting_in_words(cutting),
        "sides": sides_in_words(cutting.cut),
        "square": cutting.cut.square,
        "blind": not marks,
        "tiles": [asdict(tile) for tile in tiles],
        "small": [_small(one, by_piece[one.piece.name], marks) for one in cutting.pieces],
        "key": [_key(patch, marks) for patch in cutting.patches],
        "columns": _COLUMNS,
    }


def tiles_of(
    one: PieceCut,
    patches: Sequence[CutPatch],
    frame: tuple[float, float],
    marks: Mapping[str, str],
) -> list[Tile]:
    """Pages of ``frame`` mm that cover one offcut; neighbours share :data:`OVERLAP_MM`."""
    outer = one.piece.outline.outer
    low = np.floor(outer.min(axis=0) - 0.3)
    span = (outer.max(axis=0) + 0.3 - low) * 10.0
    step = np.asarray(frame) - OVERLAP_MM
    columns, rows = (
        max(1, math.ceil((s - OVERLAP_MM) / d)) for s, d in zip(span, step, strict=True)
    )
    region = Polygon(outer)
    shown = {}
    for row in range(rows):
        for column in range(columns):
            corner = low + np.array((column, row)) * step / 10.0
            window = box(*corner, *(corner + np.asarray(frame) / 10.0))
            if region.intersects(window):
                shown[row, column] = (corner, window)
    return [
        Tile(
            piece=one.piece.name,
            told=_told(one.piece),
            name=_name(row, column),
            row=row,
            column=column,
            corner_cm=(round(float(corner[0]), 4), round(float(corner[1]), 4)),
            below=_neighbour(shown, row - 1, column),
            left=_neighbour(shown, row, column - 1),
            above=_neighbour(shown, row + 1, column),
            right=_neighbour(shown, row, column + 1),
            outline=_on_page(outer, corner, frame[1]),
            flaws=[_on_page(ring, corner, frame[1]) for ring in one.piece.outline.flaws],
            patches=[
                _drawn(patch, corner, frame[1], marks)
                for patch in patches
                if Polygon(corners_of(patch)).intersects(window)
            ],
        )
        for (row, column), (corner, window) in shown.items()
    ]


def corners_of(patch: CutPatch) -> Floats:
    """Corners of a patch in cm, counter-clockwise from its first, shape (4, 2)."""
    turn = math.radians(patch.angle_deg)
    along = np.array((math.cos(turn), math.sin(turn))) * patch.width_cm / 2.0
    across = np.array((-math.sin(turn), math.cos(turn))) * patch.height_cm / 2.0
    middle = np.array((patch.x_cm, patch.y_cm))
    return np.stack(
        (middle - along - across, middle + along - across, middle + along + across,
         middle - along + across)
    )  # fmt: skip


def nicks_on(corners: Floats, code: str, depth: float, breadth: float) -> list[Floats]:
    """Triangles to cut from the edges, in the unit of ``corners`` (4, 2): shape (3, 2) each."""
    found = []
    middle = corners.mean(axis=0)
    for spot, nick in enumerate(nicks_of(code)):
        if not nick:
            continue
        side, place = divmod(spot, PLACES)
        first, last = corners[side], corners[(side + 1) % 4]
        along = (last - first) / np.linalg.norm(last - first)
        inward = np.array((-along[1], along[0]))
        if np.dot(inward, middle - first) < 0.0:
            inward = -inward
        at = first + (last - first) * place_share(place + 1)
        half = along * breadth / 2.0
        found.append(np.stack((at - half, at + half, at + inward * depth)))
    return found


def _drawn(patch: CutPatch, corner: Floats, height: float, marks: Mapping[str, str]) -> DrawnPatch:
    corners = corners_of(patch)
    depth = min(NICK_DEPTH_MM / 10.0, min(patch.width_cm, patch.height_cm) / 6.0)
    middle = _on_page(np.array(((patch.x_cm, patch.y_cm),)), corner, height)[0]
    return DrawnPatch(
        number=patch.number,
        mark=marks.get(patch.code, ""),
        corners=_on_page(corners, corner, height),
        nicks=[
            _on_page(nick, corner, height) for nick in nicks_on(corners, patch.code, depth, depth)
        ],
        middle=middle,
    )


def _small(
    one: PieceCut,
    patches: Sequence[CutPatch],
    marks: Mapping[str, str],
) -> dict[str, object]:
    """One offcut for the overview, in mm of the offcut; the template scales it."""
    outline = one.piece.outline
    low = outline.outer.min(axis=0)
    breadth, height = (10.0 * side for side in outline.size_cm)
    many = f"{one.packing.count} patch{'' if one.packing.count == 1 else 'es'}"
    return {
        "name": one.piece.name,
        "told": f"{_told(one.piece)}; {breadth / 10:.0f} × {height / 10:.0f} cm, {many}",
        "breadth": breadth,
        "height": height,
        "outline": _on_page(outline.outer, low, height),
        "flaws": [_on_page(ring, low, height) for ring in outline.flaws],
        "patches": [asdict(_drawn(patch, low, height, marks)) for patch in patches],
    }


def _told(piece: Piece) -> str:
    """Skin and region of an offcut."""
    called = {item.id: item.name for item in regions()}
    region = called.get(piece.region, piece.region)
    return ", ".join(part for part in (piece.skin, region) if part)


def _key(patch: CutPatch, marks: Mapping[str, str]) -> dict[str, object]:
    """A patch of the key, in a box one unit broad at its longer side."""
    longer = max(patch.width_cm, patch.height_cm)
    right, top = patch.width_cm / longer, patch.height_cm / longer
    corners = np.array(((0.0, 0.0), (right, 0.0), (right, top), (0.0, top)))
    nicks = nicks_on(corners, patch.code, 0.16, 0.16)
    return {
        "number": patch.number,
        "code": patch.code,
        "mark": marks.get(patch.code, ""),
        "breadth": right,
        "height": top,
        "nicks": [[(float(x), float(top - y)) for x, y in nick] for nick in nicks],
    }


def _by_piece(cutting: Cutting) -> dict[str, list[CutPatch]]:
    found: dict[str, list[CutPatch]] = {one.piece.name: [] for one in cutting.pieces}
    for patch in cutting.patches:
        found[patch.offcut].append(patch)
    return found


def _on_page(points: Floats, corner: Floats, height: float) -> Points:
    moved = (points - corner) * 10.0
    return [(round(float(x), 3), round(float(height - y), 3)) for x, y in moved]


def _neighbour(shown: Mapping[tuple[int, int], object], row: int, column: int) -> str:
    return _name(row, column) if (row, column) in shown else ""


def _name(row: int, column: int) -> str:
    return f"{chr(ord('A') + row % 26)}{column + 1}"

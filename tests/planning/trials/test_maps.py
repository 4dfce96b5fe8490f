"""The cutting map is true to size: page, outlines, ruler and nicks, read back from the PDF."""

from __future__ import annotations

import io
import math
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream
from shapely.geometry import LineString, MultiPoint, Point, Polygon

from tanwright.errors import InputError
from tanwright.planning.trials.cutting import Cut, Cutting, cut_offcuts
from tanwright.planning.trials.maps import (
    EDGE_MM,
    HEAD_MM,
    PAPERS,
    corners_of,
    cutting_map,
    nicks_on,
    tiles_of,
)
from tanwright.planning.trials.offcuts import Piece, outline_from_text
from tanwright.science.trials.codes import canonical, nicks_of, place_share, written
from tanwright.science.trials.outlines import rectangle

MM = 72.0 / 25.4
"""Points of PDF for one mm: 1/72 inch (ISO 32000)."""


@pytest.fixture(scope="module")
def cutting() -> Cutting:
    outline = outline_from_text("0,0\n26,1\n30,12\n22,19\n8,18\n-2,9\n\n10,8\n12,8\n12,11\n9,11")
    return cut_offcuts(
        [Piece("neck", "shoulder", outline, "goat 1"), Piece("leg", "shanks", rectangle(12, 6))],
        Cut(5.0, 5.0),
    )


@pytest.fixture(scope="module")
def pdf(cutting: Cutting) -> PdfReader:
    marks = {patch.code: "AB"[patch.number % 2] for patch in cutting.patches}
    return PdfReader(io.BytesIO(cutting_map(cutting, title="Two barks", marks=marks)))


def corners_on(page: Any, reader: PdfReader) -> np.ndarray:
    """Ends of all lines on a page in mm from its top left."""
    height = float(page.mediabox.height)
    state, stack, found = np.eye(3), [], []
    for operands, operator in ContentStream(page["/Contents"].get_object(), reader).operations:
        numbers = [float(part) for part in operands if isinstance(part, (int, float))]
        match operator:
            case b"q":
                stack.append(state)
            case b"Q":
                state = stack.pop()
            case b"cm":
                a, b, c, d, e, f = numbers
                state = np.array(((a, b, 0), (c, d, 0), (e, f, 1))) @ state
            case b"m" | b"l":
                x, y, _ = np.array((*numbers, 1.0)) @ state
                found.append((x / MM, (height - y) / MM))
    return np.asarray(found)


def far_from(points: np.ndarray, wanted: np.ndarray) -> float:
    """Largest distance of a wanted point from the nearest of the points, mm."""
    apart = np.linalg.norm(points[None, :, :] - wanted[:, None, :], axis=2)
    return float(apart.min(axis=1).max())


def tile_pages(cutting: Cutting) -> list[Any]:
    frame = (PAPERS["a4"][0] - 2 * EDGE_MM, PAPERS["a4"][1] - 2 * EDGE_MM - HEAD_MM - 21.0)
    return [
        tile
        for one in cutting.pieces
        for tile in tiles_of(
            one, [p for p in cutting.patches if p.offcut == one.piece.name], frame, {}
        )
    ]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_pages_have_the_size_of_the_paper(cutting: Cutting, paper: Any) -> None:
    # A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 inches (ANSI/ASME Y14.1).
    wanted = {"a4": (210.0, 297.0), "us-letter": (8.5 * 25.4, 11.0 * 25.4)}[paper]
    pages = PdfReader(io.BytesIO(cutting_map(cutting, title="x", paper=paper))).pages
    assert len(pages) > 2
    for page in pages:
        assert float(page.mediabox.width) / MM == pytest.approx(wanted[0], abs=0.01)
        assert float(page.mediabox.height) / MM == pytest.approx(wanted[1], abs=0.01)


def test_every_corner_that_shows_is_within_a_tenth_of_a_mm(
    cutting: Cutting, pdf: PdfReader
) -> None:
    tiles = tile_pages(cutting)
    pages = list(pdf.pages)[-len(tiles) :]
    checked = 0
    for tile, page in zip(tiles, pages, strict=True):
        points = corners_on(page, pdf)
        corner = np.asarray(tile.corner_cm)
        height = PAPERS["a4"][1] - 2 * EDGE_MM - HEAD_MM - 21.0
        piece = next(one for one in cutting.pieces if one.piece.name == tile.piece)
        rings = [piece.piece.outline.outer, *piece.piece.outline.flaws]
        for patch in cutting.patches:
            if patch.number in {drawn.number for drawn in tile.patches}:
                rings += [corners_of(patch), *nicks_on(corners_of(patch), patch.code, 0.3, 0.3)]
        for ring in rings:
            on_page = (ring - corner) * (10.0, -10.0)
            on_page += (EDGE_MM, EDGE_MM + HEAD_MM + height)
            assert far_from(points, on_page) < 0.1
            checked += len(ring)
    assert checked > 100


def test_the_ruler_is_ten_cm_long_on_every_page_at_full_size(
    cutting: Cutting, pdf: PdfReader
) -> None:
    for page in list(pdf.pages)[-len(tile_pages(cutting)) :]:
        points = corners_on(page, pdf)
        foot = points[points[:, 1] > PAPERS["a4"][1] - EDGE_MM - 21.0 + 0.5]
        assert np.ptp(foot[:, 0]) == pytest.approx(100.0, abs=0.05)
        assert "10 cm long" in page.extract_text()
        assert "100 %" in page.extract_text()


def test_neighbouring_pages_share_a_strip_and_together_show_all(cutting: Cutting) -> None:
    tiles = [tile for tile in tile_pages(cutting) if tile.piece == "neck"]
    assert len(tiles) == 2
    first, second = tiles
    assert (first.right, second.left) == (second.name, first.name)
    width = (PAPERS["a4"][0] - 2 * EDGE_MM) / 10.0
    assert first.corner_cm[0] + width - second.corner_cm[0] == pytest.approx(1.0)
    shown = {drawn.number for tile in tiles for drawn in tile.patches}
    assert shown == {patch.number for patch in cutting.patches if patch.offcut == "neck"}


def test_the_key_and_treatments_are_printed(cutting: Cutting, pdf: PdfReader) -> None:
    text = "".join(page.extract_text() for page in pdf.pages)
    for patch in cutting.patches:
        assert patch.code in text.replace("\u2010", "-").replace("‑", "-")
    assert "Keep this sheet from those who grade" in text
    blind = PdfReader(io.BytesIO(cutting_map(cutting, title="Two barks")))
    assert "Keep this sheet" not in "".join(page.extract_text() for page in blind.pages)


def test_nicks_lie_inside_the_patch_where_the_code_says() -> None:
    corners = np.array(((0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)))
    code = "13-2-0-3"
    triangles = nicks_on(corners, code, 0.3, 0.3)
    inside = Polygon(corners)
    edge = LineString([*corners, corners[0]])
    seen = [False] * 12
    for triangle in triangles:
        assert inside.buffer(1e-9).covers(Polygon(triangle))
        assert edge.distance(Point(triangle[2])) == pytest.approx(0.3)
        middle = MultiPoint(triangle[:2]).centroid
        for spot in range(12):
            side, place = divmod(spot, 3)
            at = corners[side] + (corners[(side + 1) % 4] - corners[side]) * place_share(place + 1)
            if middle.distance(Point(at)) < 1e-9:
                seen[spot] = True
    assert written(tuple(seen)) == code
    # Seen from the back the same cuts give the same code.
    mirrored = corners * (-1.0, 1.0)
    order = mirrored[::-1]
    back = [False] * 12
    for triangle in triangles:
        middle = triangle[:2].mean(axis=0) * (-1.0, 1.0)
        for spot in range(12):
            side, place = divmod(spot, 3)
            at = order[side] + (order[(side + 1) % 4] - order[side]) * place_share(place + 1)
            if math.dist(middle, at) < 1e-9:
                back[spot] = True
    assert canonical(tuple(back), square=False) == canonical(nicks_of(code), square=False)


def test_what_people_typed_is_never_read_as_markup(cutting: Cutting) -> None:
    title = '#panic("x") *bold* $1$ \\ " 汉'
    text = PdfReader(io.BytesIO(cutting_map(cutting, title=title))).pages[0].extract_text()
    assert '#panic("x") *bold*' in text


def test_a_map_of_too_many_pages_is_refused() -> None:
    pieces = [Piece(str(at), "butt", rectangle(200.0, 200.0)) for at in range(2)]
    huge = cut_offcuts(pieces, Cut(90.0, 90.0))
    with pytest.raises(InputError, match="pages"):
        cutting_map(huge, title="x")

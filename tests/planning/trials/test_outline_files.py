"""Outlines from SVG and GeoJSON: units, flaws, and refusals in one line."""

from __future__ import annotations

import json
import math

import pytest

from tanwright.errors import InputError
from tanwright.planning.trials.outline_files import (
    MOST_BYTES,
    outlines_of_file,
    outlines_of_geojson,
    outlines_of_svg,
)

# RFC 7946 appendix A.3, the polygon with a hole, and A.5: their numbers are read as cm here, ten
# times as large, since a whole offcut of one cm is refused.
RFC_HOLE = [
    [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
    [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]],
]


def tenfold(rings: list) -> list:  # type: ignore[type-arg]
    return [[[10 * x, 10 * y] for x, y in ring] for ring in rings]


def geojson(shape: object) -> bytes:
    return json.dumps(shape).encode()


def test_a_polygon_with_a_hole_as_the_rfc_shows_it() -> None:
    (drawn,) = outlines_of_geojson(geojson({"type": "Polygon", "coordinates": tenfold(RFC_HOLE)}))
    assert drawn.outline.area_cm2 == pytest.approx(100.0 - 36.0)
    assert len(drawn.outline.flaws) == 1


def test_features_carry_names_and_multipolygons_give_several() -> None:
    far = [[[1020.0, 20.0], [1030.0, 20.0], [1030.0, 30.0], [1020.0, 30.0], [1020.0, 20.0]]]
    shape = {"type": "MultiPolygon", "coordinates": [tenfold(RFC_HOLE), far]}
    feature = {"type": "Feature", "properties": {"name": "neck\nof the goat"}, "geometry": shape}
    empty = {"type": "Feature", "properties": None, "geometry": None}
    data = geojson({"type": "FeatureCollection", "features": [feature, empty]})
    drawn = outlines_of_file("offcuts.geojson", data)
    assert [one.label for one in drawn] == ["neck of the goat"] * 2
    assert [one.outline.area_cm2 for one in drawn] == pytest.approx([64.0, 100.0])


def test_heights_are_dropped() -> None:
    ring = [[0, 0, 5], [10, 0, 5], [10, 10, 5], [0, 0, 5]]
    (drawn,) = outlines_of_geojson(geojson({"type": "Polygon", "coordinates": [ring]}))
    assert drawn.outline.area_cm2 == pytest.approx(50.0)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"not json", "not JSON"),
        (b"\xff\xfe", "not JSON"),
        (b"[" * 100_000, "not JSON"),
        (b"[]", "not GeoJSON"),
        (geojson({"type": "Point", "coordinates": [1, 2]}), "holds a Point"),
        (b'{"rings": []}', "not GeoJSON: it does not say its type"),
        (geojson({"type": "Polygon", "coordinates": []}), "not GeoJSON"),
        (geojson({"type": "Polygon", "coordinates": [[[1], [2, 3], [4, 5]]]}), "no x and y"),
        (geojson({"type": "Polygon", "coordinates": [[["a", 1]] * 4]}), "not made of numbers"),
        (geojson({"type": "FeatureCollection", "features": []}), "no polygon"),
        (
            geojson({"type": "Polygon", "coordinates": [[[0, 0], [2, 0], [2, 0.5]]]}),
            "too little",
        ),
    ],
)
def test_geojson_that_cannot_be_read(data: bytes, says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        outlines_of_file("a.geojson", data)
    assert str(caught.value).startswith("a.geojson")
    assert "\n" not in str(caught.value)


def svg(body: str, head: str = 'width="200mm" height="100mm" viewBox="0 0 200 100"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'.encode()


@pytest.mark.parametrize(
    ("head", "cm"),
    [
        ('width="200mm" height="100mm" viewBox="0 0 200 100"', 10.0),
        ('width="20cm" height="10cm" viewBox="0 0 200 100"', 10.0),
        ('width="10in" height="5in" viewBox="0 0 200 100"', 12.7),
        ('width="720pt" height="360pt" viewBox="0 0 200 100"', 12.7),
        ('width="400mm" height="200mm" viewBox="0 0 200 100"', 20.0),
    ],
)
def test_units_and_the_view_box_give_cm(head: str, cm: float) -> None:
    (drawn,) = outlines_of_svg(svg('<rect id="leg" x="10" y="10" width="100" height="50"/>', head))
    assert drawn.label == "leg"
    assert drawn.outline.size_cm == pytest.approx((cm, cm / 2.0), rel=1e-5)


@pytest.mark.parametrize("head", ["", 'width="200" height="100"', 'width="100%" viewBox="0 0 9 9"',
                                  'width="200px" height="100px"'])  # fmt: skip
def test_a_drawing_without_a_size_asks_for_the_scale(head: str) -> None:
    body = '<rect x="10" y="10" width="100" height="50"/>'
    with pytest.raises(InputError, match="how large"):
        outlines_of_svg(svg(body, head))
    (drawn,) = outlines_of_svg(svg(body, head), cm_per_unit=0.1)
    assert drawn.outline.size_cm == pytest.approx((10.0, 5.0))
    with pytest.raises(InputError, match="scale"):
        outlines_of_svg(svg(body, head), cm_per_unit=float("nan"))


def test_paths_groups_curves_and_flaws() -> None:
    body = (
        '<g transform="translate(10 10) rotate(30)">'
        '<path d="M0,0 h60 v60 h-60 z M10,10 v20 h20 v-20 z"/></g>'
        '<circle cx="150" cy="50" r="30"/>'
        '<path d="M0,0 L5,5"/><polyline points="0,0 5,0 5,5"/>'
    )
    square, disc = outlines_of_svg(svg(body))
    assert square.outline.area_cm2 == pytest.approx(36.0 - 4.0, rel=1e-4)
    assert len(square.outline.flaws) == 1
    assert disc.outline.area_cm2 == pytest.approx(math.pi * 9.0, rel=2e-3)


def test_up_on_the_drawing_is_up_on_the_offcut() -> None:
    (drawn,) = outlines_of_svg(svg('<polygon points="0,0 100,0 0,50"/>'))
    top = drawn.outline.outer[:, 1].max()
    assert sum(abs(drawn.outline.outer[:, 1] - top) < 1e-6) == 2


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"<svg", "not SVG"),
        (b"<html/>", "not SVG"),
        (b'<!DOCTYPE svg [<!ENTITY a "b">]><svg width="9mm"/>', "entities"),
        (svg('<g id="a"><use href="#a"/></g>'), "linked copies"),
        (svg("<g>" * 3000 + "</g>" * 3000), "cannot be understood"),
        (svg("<text>no shape</text>"), "no closed shape"),
        (svg('<path d="M0,0 L50,0 L0,50 L50,50 z"/>'), "crosses itself"),
        (svg('<path d="M0,0 zzz Q"/>'), "no closed shape"),
        (svg('<rect width="90" height="90"/>' * 500), "more than"),
    ],
)
def test_drawings_that_cannot_be_read(data: bytes, says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        outlines_of_file("a.svg", data)
    assert "\n" not in str(caught.value)


def test_files_too_large_or_of_another_kind() -> None:
    with pytest.raises(InputError, match="larger than 2 MB"):
        outlines_of_file("a.svg", b" " * (MOST_BYTES + 1))
    with pytest.raises(InputError, match="not read"):
        outlines_of_file("a.dxf", b"0")

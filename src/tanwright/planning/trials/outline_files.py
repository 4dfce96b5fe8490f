"""Outlines from files: SVG drawings and GeoJSON (RFC 7946), read as cm.

Of a drawing the closed shapes count, of GeoJSON the polygons.  A ring inside another is a flaw.
RFC 7946 means its numbers as degrees on the globe; here they are read as centimetres.
"""

from __future__ import annotations

import io
import json
import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from shapely.geometry import Polygon

from tanwright.errors import InputError
from tanwright.science.trials.outlines import MOST_POINTS, Outline, Ring, checked_ring, outline_of

MOST_BYTES = 2_000_000
MOST_PIECES = 40
_CM_PER_PIXEL = 2.54 / 96.0
"""A CSS pixel is 1/96 inch."""
_STEPS_OF_A_CURVE = 24
_ABSOLUTE = re.compile(r"^\s*[\d.]+(?:e[+-]?\d+)?\s*(mm|cm|in|pt|pc|q)\s*$", re.IGNORECASE)


@dataclass(frozen=True, eq=False)
class Drawn:
    """One outline of a file with what the file calls it, perhaps nothing."""

    label: str
    outline: Outline


def outlines_of_file(
    name: str, data: bytes, *, cm_per_unit: float | None = None
) -> tuple[Drawn, ...]:
    """All outlines in the file ``name``, told apart by its ending.

    ``cm_per_unit`` says how many cm one unit of a drawing is; needed for an SVG whose width has no
    unit of length.

    Raises
    ------
    InputError
        With one plain line that names the file.
    """
    if len(data) > MOST_BYTES:
        raise InputError(
            "the file is larger than 2 MB", place=name, remedy="draw with fewer points"
        )
    ending = name.lower().rpartition(".")[2]
    try:
        if ending == "svg":
            return outlines_of_svg(data, cm_per_unit=cm_per_unit)
        if ending in ("geojson", "json"):
            return outlines_of_geojson(data)
    except InputError as error:
        where = f"{name}, {error.place}" if error.place else name
        raise InputError(error.what, place=where, remedy=error.remedy) from None
    raise InputError(
        "this kind of file is not read", place=name, remedy="bring an .svg or a .geojson file"
    )


def outlines_of_geojson(data: bytes) -> tuple[Drawn, ...]:
    """Polygons and multipolygons of GeoJSON, their numbers read as cm."""
    try:
        root = json.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, ValueError, RecursionError):
        raise InputError("this is not JSON", remedy="save it as GeoJSON in UTF-8") from None
    found = [
        Drawn(label, outline_of(rings[0], rings[1:]))
        for label, rings in _few(_polygons_of(root, "", 0))
    ]
    if not found:
        raise InputError("there is no polygon in the file", remedy="draw each offcut as a Polygon")
    return tuple(found)


def outlines_of_svg(data: bytes, *, cm_per_unit: float | None = None) -> tuple[Drawn, ...]:
    """Closed shapes of a drawing: paths, polygons, rectangles, circles and ellipses."""
    root = _svg_root(data)
    width = root.get("width", "")
    if cm_per_unit is None and not _ABSOLUTE.match(width):
        raise InputError(
            "the drawing does not say how large it is",
            remedy="say how many cm one of its units is, or give its width in mm or cm",
        )
    if cm_per_unit is not None:
        if not (math.isfinite(cm_per_unit) and 1e-4 <= cm_per_unit <= 1e3):
            raise InputError(
                "the scale of the drawing is absurd", remedy="say how many cm one unit is"
            )
        for key in ("width", "height", "viewBox"):
            root.attrib.pop(key, None)
        scale = cm_per_unit
    else:
        scale = _CM_PER_PIXEL
    rings = list(_few(_svg_rings(root, scale), MOST_PIECES * 5))
    if not rings:
        raise InputError(
            "there is no closed shape in the drawing", remedy="close the outline of each offcut"
        )
    return tuple(_nested(rings))


def _svg_root(data: bytes) -> ET.Element:
    # A drawing has no need of entities, and those can be made to swell without end.
    if re.search(rb"<!(DOCTYPE|ENTITY)[^>]*\[|<!ENTITY", data, re.IGNORECASE):
        raise InputError("the drawing defines entities", remedy="save it as plain SVG")
    try:
        root = ET.fromstring(data)
    except (ET.ParseError, ValueError, LookupError):
        raise InputError("this is not SVG", remedy="save the drawing as plain SVG") from None
    if root.tag.rpartition("}")[2] != "svg":
        raise InputError("this is not SVG", remedy="save the drawing as plain SVG")
    # Copies of copies can swell without end, too.
    if any(str(item.tag).rpartition("}")[2] == "use" for item in root.iter()):
        raise InputError(
            "the drawing holds linked copies", remedy="turn each into a shape of its own"
        )
    return root


def _svg_rings(root: ET.Element, scale: float) -> Iterator[tuple[str, Ring]]:
    import svgelements

    try:
        drawing = svgelements.SVG.parse(io.BytesIO(ET.tostring(root)), reify=True, ppi=96.0)
        shapes = [item for item in drawing.elements() if isinstance(item, svgelements.Shape)]
    except (ValueError, TypeError, AttributeError, IndexError, KeyError, RecursionError):
        raise InputError(
            "the drawing cannot be understood", remedy="save it as plain SVG"
        ) from None
    for shape in shapes:
        if shape.values.get("visibility") == "hidden" or shape.values.get("display") == "none":
            continue
        label = _label(shape.values.get("inkscape:label") or shape.id)
        for part in svgelements.Path(shape).as_subpaths():
            points = list(_points_of(part, svgelements, shape))
            if len(points) > MOST_POINTS:
                raise InputError(
                    f"a shape has more than {MOST_POINTS} points",
                    remedy="draw it with fewer points",
                )
            if len(points) >= 3:
                yield label, [(x * scale, -y * scale) for x, y in points]


def _points_of(part: Any, svgelements: Any, shape: Any) -> Iterator[tuple[float, float]]:
    """Points along one line of a drawing when it comes back to its beginning."""
    points: list[tuple[float, float]] = []
    closed = isinstance(shape, svgelements.Polygon)
    for segment in part:
        if isinstance(segment, svgelements.Move):
            continue
        closed = closed or isinstance(segment, svgelements.Close)
        if segment.start is None or segment.end is None:
            continue
        curved = not isinstance(segment, (svgelements.Line, svgelements.Close))
        steps = _STEPS_OF_A_CURVE if curved else 1
        for at in range(steps):
            point = segment.point(at / steps)
            points.append((float(point.x), float(point.y)))
        end = (float(segment.end.x), float(segment.end.y))
    if points and (closed or math.dist(end, points[0]) < 1e-6 * (1 + abs(end[0]) + abs(end[1]))):
        yield from points


def _nested(rings: Sequence[tuple[str, Ring]]) -> Iterator[Drawn]:
    """Rings sorted into outlines and the flaws within them."""
    shapes = []
    for label, ring in rings:
        shapes.append((label, checked_ring(ring, label or "a shape")))
    around = [
        [k for k, (_, other) in enumerate(shapes) if k != at and _holds(other, shape, k, at)]
        for at, (_, shape) in enumerate(shapes)
    ]
    for at, (label, shape) in enumerate(shapes):
        if len(around[at]) % 2:
            continue
        flaws = [
            list(other.exterior.coords)
            for k, (_, other) in enumerate(shapes)
            if at in around[k] and len(around[k]) == len(around[at]) + 1
        ]
        yield Drawn(label, outline_of(list(shape.exterior.coords), flaws))


def _holds(other: Polygon, shape: Polygon, at_other: int, at_shape: int) -> bool:
    if abs(other.area - shape.area) < 1e-9 and other.equals(shape):
        return at_other < at_shape
    return other.area > shape.area and bool(other.covers(shape.representative_point()))


def _polygons_of(node: Any, label: str, depth: int) -> Iterator[tuple[str, list[Any]]]:
    if not isinstance(node, dict) or depth > 20:
        raise InputError("this is not GeoJSON", remedy="bring polygons as RFC 7946 writes them")
    match node.get("type"):
        case "FeatureCollection":
            for feature in _list(node.get("features")):
                yield from _polygons_of(feature, label, depth + 1)
        case "Feature":
            properties = node.get("properties")
            named = properties.get("name", "") if isinstance(properties, dict) else ""
            if node.get("geometry") is not None:
                yield from _polygons_of(node["geometry"], _label(named), depth + 1)
        case "GeometryCollection":
            for geometry in _list(node.get("geometries")):
                yield from _polygons_of(geometry, label, depth + 1)
        case "Polygon":
            yield label, [_flat(ring) for ring in _list(node.get("coordinates"), filled=True)]
        case "MultiPolygon":
            for rings in _list(node.get("coordinates")):
                yield label, [_flat(ring) for ring in _list(rings, filled=True)]
        case None:
            raise InputError(
                "this is not GeoJSON: it does not say its type",
                remedy="bring polygons as RFC 7946 writes them",
            )
        case kind:
            raise InputError(
                f"the file holds a {str(kind)[:30]}, which has no area",
                remedy="draw each offcut as a Polygon",
            )


def _flat(ring: Any) -> list[list[float]]:
    """A ring without heights."""
    points = _list(ring)
    for point in points:
        if not isinstance(point, list) or len(point) < 2:
            raise InputError("a point has no x and y", remedy="write points as [x, y]")
        if not all(isinstance(part, (int, float)) for part in point[:2]):
            raise InputError("a point is not made of numbers", remedy="write points as [x, y]")
    return [point[:2] for point in points]


def _list(value: Any, *, filled: bool = False) -> list[Any]:
    if not isinstance(value, list) or (filled and not value):
        raise InputError("this is not GeoJSON", remedy="bring polygons as RFC 7946 writes them")
    return value


def _few(rings: Iterable[tuple[str, Any]], most: int = MOST_PIECES) -> Iterator[tuple[str, Any]]:
    for count, item in enumerate(rings):
        if count >= most:
            raise InputError(
                f"the file holds more than {most} shapes", remedy="bring fewer at a time"
            )
        yield item


def _label(value: Any) -> str:
    text = " ".join(str(value or "").split())
    return "".join(letter for letter in text if letter.isprintable())[:60]

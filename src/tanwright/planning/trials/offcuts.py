"""Offcuts as they are entered: by a usual shape, by measures, point by point or from a file."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tanwright.errors import InputError
from tanwright.reference.animals import animal as animal_of
from tanwright.reference.animals import regions
from tanwright.reference.offcuts import area_of_skin_m2, offcut_shape
from tanwright.science.trials.outlines import MOST_POINTS, Outline, from_widths, outline_of

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
_POINT = re.compile(rf"^\(?\s*({_NUMBER})\s*(?:[,;]\s*|\s+)({_NUMBER})\s*\)?[,;]?$")
_COMMA_POINT = re.compile(r"^([+-]?\d+,\d+|[+-]?\d+)\s*(?:;\s*|\s+)([+-]?\d+,\d+|[+-]?\d+)$")


@dataclass(frozen=True, eq=False)
class Piece:
    """One offcut: ``name`` tells it apart in the trial, ``region`` is an id of the regions."""

    name: str
    region: str
    outline: Outline
    skin: str = ""


def usual_outline(
    shape: str, animal: str, *, green_kg: float | None = None, area_m2: float | None = None
) -> Outline:
    """The usual outline of a piece on a skin of ``animal``, from its area or its green weight.

    Raises
    ------
    InputError
        For an unknown shape or animal, or an absurd weight or area.
    """
    if area_m2 is not None and not 0.01 <= area_m2 <= 8.0:
        raise InputError(f"a skin of {area_m2:g} m² is absurd", remedy="write its area in m²")
    area = area_m2 or area_of_skin_m2(animal_of(animal), green_kg)
    return from_widths(*offcut_shape(shape).measures_cm(area))


def outline_from_text(text: str) -> Outline:
    """The outline written as lines ``x, y`` in cm, going round; an empty line begins a flaw.

    Raises
    ------
    InputError
        Naming the line that cannot be read, or as :func:`outline_of`.
    """
    rings: list[list[tuple[float, float]]] = [[]]
    for number, line in enumerate(text.splitlines(), 1):
        bare = line.strip()
        if not bare:
            if rings[-1]:
                rings.append([])
            continue
        rings[-1].append(_point(bare, number))
        if len(rings[-1]) > MOST_POINTS:
            raise InputError(
                f"more than {MOST_POINTS} points", place=f"line {number}", remedy="use fewer"
            )
    filled = [ring for ring in rings if ring]
    if not filled:
        raise InputError("there are no points", remedy="write x, y in cm, one point a line")
    return outline_of(filled[0], filled[1:])


def text_of_outline(outline: Outline) -> str:
    """The outline as :func:`outline_from_text` reads it."""
    return "\n\n".join("\n".join(f"{x:g}, {y:g}" for x, y in ring) for ring in outline.rings())


def widths_from_text(text: str) -> tuple[float, ...]:
    """Widths in cm written one after another. Raises InputError naming what is no number."""
    found = []
    for word in re.split(r"[\s;/]+|,\s+", text.strip()):
        try:
            found.append(float(word.replace(",", ".")))
        except ValueError:
            raise InputError(
                f'"{word[:20]}" is not a width', remedy="write widths in cm like 12 14 13 8"
            ) from None
    return tuple(found)


def checked_region(region: str) -> str:
    """``region`` when it is an id of the regions. Raises InputError otherwise."""
    known = {item.id for item in regions()}
    if region not in known:
        raise InputError(
            f'no region of a skin is called "{region}"',
            remedy="write one of " + ", ".join(item.id for item in regions()),
        )
    return region


def _point(line: str, number: int) -> tuple[float, float]:
    if found := _POINT.match(line):
        return float(found[1]), float(found[2])
    if found := _COMMA_POINT.match(line):
        return float(found[1].replace(",", ".")), float(found[2].replace(",", "."))
    raise InputError(
        f'"{line[:30]}" is not a point',
        place=f"line {number}",
        remedy="write x, y in cm, like 12.5, 3",
    )

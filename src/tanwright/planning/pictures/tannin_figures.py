"""What has been published of a plant's tannin, and the range that is drawn from it.

Every published figure is a mark on one axis of per cent; the hump above them is what is believed
of one lot before anything is measured.  A figure that the range leaves out is drawn hollow and
dashed, and says so in words.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass
from io import StringIO

from tanwright.planning.answers import Range
from tanwright.planning.pictures.axes import Axis, nice_ticks, text_width, wrap
from tanwright.planning.pictures.canvas import WIDTH, Canvas, clean
from tanwright.planning.pictures.palette import (
    BARK,
    FAWN,
    GALL,
    HEADLINE_SIZE,
    INK,
    LIQUOR_TINTS,
    PAPER,
    QUIET,
    RULE,
    SMALL_SIZE,
    TEXT_SIZE,
)
from tanwright.planning.pictures.words import figure, spread
from tanwright.planning.pictures.writing import Picture
from tanwright.planning.plants import Described
from tanwright.planning.skin_facts import Z95
from tanwright.reference.evidence import expit, logit
from tanwright.reference.materials import Observation
from tanwright.reference.sources import source

NAME = "tannin"
MARGIN = 14.0
ROW = 35.0
HUMP = 62.0
LOW_HUMP = 40.0
ARROW = 26.0
STEPS = 60
BELOW = "Tannin, % of the air-dry material. Nine lots of ten lie between the dotted lines"
SHAPES = {
    "range": "bar: from a lower to an upper figure",
    "single": "diamond: one figure",
    "up-to": "arrow to the left: up to that much",
    "at-least": "arrow to the right: that much or more",
    "exceptional": "triangle: a lot called exceptional",
}


@dataclass(frozen=True)
class Mark:
    """One published figure, per cent of the material, ready to be drawn."""

    who: str
    figure: str
    low: float
    high: float
    shape: str
    """A key of :data:`SHAPES`."""
    used: bool
    why_not: str


def marks_of(observations: Sequence[Observation]) -> tuple[Mark, ...]:
    """Marks of published figures: those that count first, each lot from weak to strong."""
    return tuple(sorted(map(_mark, observations), key=lambda m: (not m.used, m.high, m.low)))


def _mark(row: Observation) -> Mark:
    known = [value for value in (row.low_pct, row.high_pct) if value is not None]
    shape = {"up-to": "up-to", "at-least": "at-least", "exceptional": "exceptional"}.get(
        row.reading, "single" if min(known) == max(known) else "range"
    )
    why_not = ""
    if row.same_as:
        why_not = "repeats another figure"
    elif row.use != "prior":
        why_not = row.why_not_used or "not counted"
    return Mark(
        who=who(row.source),
        figure=row.figure,
        low=min(known),
        high=max(known),
        shape=shape,
        used=row.independent,
        why_not=why_not,
    )


def who(key: str) -> str:
    """Author and year of a source, without its title; plain words for practice and memory."""
    found = source(key)
    if found.short == found.title or found.key in ("memory", "common-practice", "derived"):
        return found.short
    year = "" if found.year in ("", "n.d.") else f" {found.year}"
    return f"{found.author}{year}".strip() or found.title


def top_of(several: Sequence[Described]) -> float:
    """Upper end of an axis, per cent, that holds the figures and ranges of all ``several``."""
    highs = [item.tannin_pct.p95 for item in several]
    highs += [mark.high for item in several for mark in marks_of(item.observations)]
    return min(nice_ticks(max(highs) * 1.04)[-1], 100.0)


def _name(described: Described) -> str:
    name = described.material.name
    return name[:1].upper() + name[1:]


def title(described: Described) -> str:
    """The headline: the range of one lot."""
    pct = described.tannin_pct
    return f"{_name(described)}: {spread(pct.p05, pct.p50, pct.p95, '%')}"


def words(described: Described) -> str:
    """Everything the picture shows, in sentences."""
    pct = described.tannin_pct
    item = described.material
    out = [
        f"Tannin in {item.name}, per cent of the air-dry material. One lot holds "
        f"{spread(pct.p05, pct.p50, pct.p95, '%')}, in nine cases of ten."
    ]
    marks = marks_of(described.observations)
    used = [f"{mark.who}: {mark.figure}" for mark in marks if mark.used]
    left_out = [f"{mark.who}: {mark.figure}, {mark.why_not}" for mark in marks if not mark.used]
    out.append(f"Published: {'; '.join(used)}." if used else "No published figure counts for it.")
    if left_out:
        out.append(f"Shown but not counted: {'; '.join(left_out)}.")
    return " ".join(out)


def numbers(described: Described) -> str:
    """The marks and the range as CSV."""
    with StringIO(newline="") as out:
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(("series", "source", "low_pct", "high_pct", "counted", "note"))
        for mark in marks_of(described.observations):
            counted = "yes" if mark.used else "no"
            rows.writerow(
                ("published", mark.who, f"{mark.low:g}", f"{mark.high:g}", counted, mark.why_not)
            )
        pct = described.tannin_pct
        for name, value in (("5 %", pct.p05), ("50 %", pct.p50), ("95 %", pct.p95)):
            rows.writerow((f"believed {name}", "", f"{value:.4g}", f"{value:.4g}", "", ""))
        return out.getvalue()


def draw_tannin(described: Described) -> Picture:
    """The figures of one plant and the range drawn from them."""
    canvas = Canvas(NAME)
    axis = Axis(0.0, top_of([described]), MARGIN + 4, WIDTH - MARGIN - 14)
    marks = marks_of(described.observations)
    y = _head(canvas, title(described), BELOW)
    top, bottom = y + 6, y + 6 + HUMP + 10 + ROW * len(marks)
    _band(canvas, axis, described.tannin_pct, top + HUMP, bottom)
    _grid(canvas, axis, top, bottom)
    _hump(canvas, axis, described.tannin_pct, top + HUMP, HUMP - 4)
    row = top + HUMP + 10
    for mark in marks:
        _named_mark(canvas, axis, mark, row)
        row += ROW
    y = _ticks(canvas, axis, bottom)
    for line in wrap(_key(marks), WIDTH - 2 * MARGIN, SMALL_SIZE, 4):
        y += 16
        canvas.text(MARGIN, y, line, fill=QUIET)
    return Picture(
        NAME,
        canvas.render(y + 10, title(described), words(described)),
        clean(title(described)),
        clean(words(described)),
        numbers(described),
    )


def draw_compared(several: Sequence[Described]) -> Picture:
    """Up to four plants one under the other on one scale."""
    canvas = Canvas("compared")
    axis = Axis(0.0, top_of(several), MARGIN + 4, WIDTH - MARGIN - 14)
    heading = "How strong they are, on one scale"
    y = _head(canvas, heading, f"{BELOW}. Below each hump, its published figures.")
    top = y + 4
    heights = [
        22 + LOW_HUMP + 8 + 6 * len([m for m in marks_of(item.observations) if m.used]) + 8
        for item in several
    ]
    bottom = top + sum(heights)
    _grid(canvas, axis, top, bottom)
    for item, height in zip(several, heights, strict=True):
        _one_of_several(canvas, axis, item, top)
        top += height
        canvas.line((MARGIN, top - 4), (WIDTH - MARGIN, top - 4), stroke=RULE)
    y = _ticks(canvas, axis, bottom)
    told = " ".join(words(item) for item in several)
    table = "".join(numbers(item) for item in several)
    return Picture("compared", canvas.render(y + 8, heading, told), heading, clean(told), table)


def _one_of_several(canvas: Canvas, axis: Axis, item: Described, top: float) -> None:
    pct = item.tannin_pct
    told = f"{figure(pct.p05)} to {figure(pct.p95)} %, likely {figure(pct.p50)} %"
    room = WIDTH - 2 * MARGIN - text_width(told, SMALL_SIZE) - 8
    name = wrap(_name(item), room, TEXT_SIZE, 1)[0]
    canvas.text(MARGIN, top + 15, name, size=TEXT_SIZE, bold=True, halo=PAPER)
    canvas.text(WIDTH - MARGIN, top + 15, told, anchor="end", halo=PAPER)
    base = top + 22 + LOW_HUMP
    _hump(canvas, axis, pct, base, LOW_HUMP - 4)
    y = base + 8
    for mark in marks_of(item.observations):
        if mark.used:
            _shape(canvas, axis, mark, y, small=True)
            y += 6


def _head(canvas: Canvas, heading: str, below: str) -> float:
    y = 8.0
    for line in wrap(heading, WIDTH - 2 * MARGIN, HEADLINE_SIZE, 3):
        y += HEADLINE_SIZE * 1.15
        canvas.text(MARGIN, y, line, size=HEADLINE_SIZE, headline=True)
    for line in wrap(below, WIDTH - 2 * MARGIN, SMALL_SIZE, 4):
        y += 17
        canvas.text(MARGIN, y, line, fill=QUIET)
    return y + 4


def _grid(canvas: Canvas, axis: Axis, top: float, bottom: float) -> None:
    for tick in nice_ticks(axis.high):
        if tick <= axis.high:
            x = axis.at(tick)
            canvas.line((x, top), (x, bottom), stroke=RULE, stroke_width=0.8)


def _ticks(canvas: Canvas, axis: Axis, y: float) -> float:
    canvas.line((axis.from_px, y), (axis.to_px, y), stroke=QUIET)
    for tick in nice_ticks(axis.high):
        if tick <= axis.high:
            x = axis.at(tick)
            canvas.line((x, y), (x, y + 4), stroke=QUIET)
            canvas.text(x, y + 17, f"{tick:g} %", fill=QUIET, anchor="middle")
    return y + 20


def _band(canvas: Canvas, axis: Axis, pct: Range, top: float, bottom: float) -> None:
    left, right = axis.at(pct.p05), axis.at(pct.p95)
    canvas.box(left, top, right - left, bottom - top, fill=LIQUOR_TINTS[3])


def _hump(canvas: Canvas, axis: Axis, pct: Range, base: float, height: float) -> None:
    """How likely each strength is: the share of the material is normal in its log-odds."""
    centre = logit(pct.p50 / 100.0)
    sd = (logit(pct.p95 / 100.0) - centre) / Z95
    zs = [-3.2 + 6.4 * i / STEPS for i in range(STEPS + 1)]
    shares = [expit(centre + sd * z) for z in zs]
    dense = [
        math.exp(-0.5 * z * z) / (share * (1.0 - share))
        for z, share in zip(zs, shares, strict=True)
    ]
    most = max(dense)
    points = [
        (axis.at(100.0 * share), base - height * value / most)
        for share, value in zip(shares, dense, strict=True)
        if 100.0 * share <= axis.high
    ]
    outline = [(points[0][0], base), *points, (points[-1][0], base)]
    canvas.area(outline, fill=FAWN, stroke=BARK, stroke_width=1.2)
    for value in (pct.p05, pct.p95):
        x = axis.at(value)
        canvas.line((x, base - height * 0.35), (x, base), stroke=BARK, stroke_dasharray="2 2")
    middle = axis.at(pct.p50)
    canvas.line((middle, base - height), (middle, base), stroke=BARK, stroke_width=2)


def _named_mark(canvas: Canvas, axis: Axis, mark: Mark, y: float) -> None:
    told = mark.figure if mark.used else f"{mark.figure}, not counted"
    room = WIDTH - 2 * MARGIN - text_width(told, SMALL_SIZE) - 8
    name = wrap(mark.who, room, SMALL_SIZE, 1)[0]
    ink = INK if mark.used else QUIET
    canvas.text(MARGIN, y + 11, name, fill=ink, halo=LIQUOR_TINTS[3])
    canvas.text(
        WIDTH - MARGIN, y + 11, told, fill=ink, anchor="end", bold=mark.used, halo=LIQUOR_TINTS[3]
    )
    _shape(canvas, axis, mark, y + 22)


def _shape(canvas: Canvas, axis: Axis, mark: Mark, y: float, *, small: bool = False) -> None:
    low, high = axis.at(mark.low), axis.at(mark.high)
    size = 3.4 if small else 5.5
    line: dict[str, object] = {"stroke_width": 2.0 if small else 3.0}
    if not mark.used:
        line |= {"stroke_dasharray": "4 3", "stroke_width": 1.6}
    if mark.shape == "range":
        canvas.line((low, y), (high, y), stroke=GALL, **line)
        for x in (low, high):
            canvas.line((x, y - size), (x, y + size), stroke=GALL, stroke_width=2)
    elif mark.shape in ("up-to", "at-least"):
        x, turn = (high, -1.0) if mark.shape == "up-to" else (low, 1.0)
        end = min(max(x + turn * ARROW, axis.from_px), axis.to_px)
        canvas.line((x, y), (end, y), stroke=GALL, **line)
        canvas.line((x, y - size), (x, y + size), stroke=GALL, stroke_width=2)
        canvas.area(
            ((end + turn * 2, y), (end - turn * 5, y - size), (end - turn * 5, y + size)),
            fill=GALL if mark.used else PAPER,
            stroke=GALL,
            stroke_width=1.0,
        )
    else:
        fill, edge = (GALL, PAPER) if mark.used else (PAPER, GALL)
        if mark.shape == "exceptional":
            points = ((high, y - size), (high + size, y + size), (high - size, y + size))
            canvas.area(points, fill=fill, stroke=edge, stroke_width=1.4)
        else:
            canvas.diamond(high, y, radius=size, fill=fill, edge=edge)


def _key(marks: Sequence[Mark]) -> str:
    shapes = dict.fromkeys(mark.shape for mark in marks)
    if not shapes:
        return "Nobody has published a figure for it: the hump comes from its kin."
    told = [SHAPES[shape] for shape in shapes]
    if any(not mark.used for mark in marks):
        told.append("hollow or dashed: shown, not counted")
    told[0] = told[0][:1].upper() + told[0][1:]
    return f"{'; '.join(told)}."

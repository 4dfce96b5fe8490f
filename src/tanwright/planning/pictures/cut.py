"""The cut: the edge of the skin seen edge-on over time, its pale middle closing.

Days run to the right, the thickness runs up from the flesh side to the grain side.  Three tones
with three patterns say how sure the colour is: solid where nineteen worlds in twenty have it, close
hatching up to the middle of the worlds, open hatching up to the fastest in twenty.  Bare paper
between them is the pale middle.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from tanwright.planning.pictures.axes import Axis, inner_ticks, text_width
from tanwright.planning.pictures.canvas import WIDTH, Canvas, Point
from tanwright.planning.pictures.palette import (
    BARK,
    FAWN,
    GALL,
    INK,
    LEATHER,
    PAPER,
    PELT,
    QUIET,
)
from tanwright.planning.pictures.timeline import (
    MARGIN,
    KeyItem,
    Timeline,
    crossed,
    events,
    head,
    is_set_aside,
    key,
    kind_of,
    not_used,
    thinned,
)
from tanwright.planning.pictures.words import (
    COLOURED,
    at_day,
    coloured,
    figure,
    finish_words,
    on,
    per_cent,
    share_range,
    span_words,
    today_day,
    window_short,
    window_words,
)
from tanwright.planning.readings import SET_ASIDE

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer, Mark
    from tanwright.planning.pictures.reader import Reader
    from tanwright.science.belief.unknowns import Floats

NAME = "cut"
READINGS = ("cut", "cut-flesh", "cut-grain")
PLOT_HEIGHT = 200.0
HAIR_HEIGHT = 20.0
SEAM_LAP = 0.003
"""Share by which met fronts overlap, so that no hairline shows where nothing is pale."""


def hair_on(answer: Answer) -> bool:
    """True when the grain side lets nothing in: the hair is on, and no front moves there."""
    wearing = [skin.hair_on for skin in answer.skins]
    still = float(answer.cut.grain_front.p95.max(initial=0.0)) < 1e-6
    return bool(wearing) and (all(wearing) or (any(wearing) and still))


def readings(answer: Answer) -> tuple[Mark, ...]:
    """Readings of the cut that carry a share."""
    return tuple(m for m in answer.marks if kind_of(m) in READINGS and m.value is not None)


def last_day(answer: Answer) -> float:
    """The last day that the cut is drawn for."""
    return float(max(answer.cut.flesh_front.day[-1], answer.cut.grain_front.day[-1]))


def title(answer: Answer) -> str:
    """The headline: when the middle should close."""
    return f"The cut: coloured through {window_short(answer, coloured(answer))}"


def _pale_mm(answer: Answer, day: float) -> tuple[float, float, float]:
    """Thickness of the pale middle at a day when all is slow, middling and fast [mm]."""
    flesh, grain = at_day(answer.cut.flesh_front, day), at_day(answer.cut.grain_front, day)
    met = at_day(answer.depth_fan, day)
    slow, middle, fast = (
        max(0.0, 1.0 - max(f + g, m)) * answer.cut.thickness_mm
        for f, g, m in zip(flesh, grain, met, strict=True)
    )
    return slow, middle, fast


def words(answer: Answer, reader: Reader) -> str:
    """Everything the picture shows, in sentences."""
    cut, last, today = answer.cut, last_day(answer), today_day(answer)
    per, unit = reader.mm_per_length, reader.length_unit
    out = [
        f"The cut edge at {cut.place or 'the thick place'}, {figure(cut.thickness_mm / per)} {unit}"
        f" thick, {span_words(answer, last)}.",
        "Hair is on, so the tan comes from the flesh side only."
        if hair_on(answer)
        else "The tan comes from the flesh side and from the grain side.",
        f"Struck through now: {share_range(answer.struck_through)}.",
        f"{window_words('Coloured through', coloured(answer))}.",
        finish_words(answer.finish),
    ]
    for day in _telling_days(answer, last):
        slow, middle, fast = (value / per for value in _pale_mm(answer, day))
        when = "Today" if day == today else "At the end" if day == last else "Halfway"
        flesh, grain = at_day(cut.flesh_front, day), at_day(cut.grain_front, day)
        sides = f"coloured from the flesh side {_side(flesh)}"
        sides += "" if hair_on(answer) else f", from the grain side {_side(grain)}"
        out.append(
            f"{when} ({on(answer.start, day)}): {sides}; "
            f"pale middle {figure(fast)} to {figure(slow)} {unit}, most likely {figure(middle)}."
        )
    for mark in readings(answer):
        side = {"cut-flesh": " from the flesh side", "cut-grain": " from the grain side"}
        share = 0.0 if mark.value is None else mark.value
        note = f" ({mark.text})" if mark.text else ""
        out.append(
            f"Cut read on {on(answer.start, mark.day)}: {per_cent(share)} coloured"
            f"{side.get(kind_of(mark), '')}{note}{not_used(mark)}."
        )
    out += [f"On {on(answer.start, mark.day)}: {mark.text}." for mark in events(answer)]
    if answer.look_on:
        days = ", ".join(on(answer.start, (day - answer.start).days) for day in answer.look_on)
        out.append(f"Look at the cut on {days}.")
    return " ".join(out)


def _telling_days(answer: Answer, last: float) -> list[float]:
    today = today_day(answer)
    return sorted({min(today, last), float(math.floor((min(today, last) + last) / 2)), last})


def _side(front: tuple[float, float, float]) -> str:
    low, middle, high = front
    return f"{per_cent(middle)} ({100 * low:.0f} to {100 * high:.0f} %)"


@dataclass(frozen=True)
class Side:
    """One face on the sheet and its 5, 50 and 95 % fronts; ``open_points`` are those of the middle
    front until it meets the other side's."""

    face: float
    fronts: tuple[list[Point], ...]
    open_points: int


def _sides(frame: Timeline, depth: Axis, closed: bool) -> list[Side]:
    """The faces with their fronts; where two fronts have met they share the seam."""
    cut = frame.answer.cut
    flesh = thinned(cut.flesh_front)
    days = flesh.day
    met_at = len(days)
    from_flesh: list[list[Point]] = []
    from_grain: list[list[Point]] = []
    for name in ("p05", "p50", "p95"):
        below: Floats = getattr(flesh, name)
        above = np.interp(days, cut.grain_front.day, getattr(cut.grain_front, name))
        above = np.zeros_like(below) if closed else above
        # Fronts of a side apart do not say when both meet: the share struck through does.
        met = np.interp(days, frame.answer.depth_fan.day, getattr(frame.answer.depth_fan, name))
        if name != "p95":
            grown = np.maximum(met / np.maximum(below + above, 1e-9), 1.0)
            below, above = below * grown, above * grown
        shut = below + above >= COLOURED
        total = np.where(shut, below + above, 1.0)
        if name == "p50" and shut.any():
            met_at = int(np.argmax(shut)) + 1
        lap = np.where(shut, SEAM_LAP, 0.0)
        for side, share in (
            (from_flesh, below / total + lap),
            (from_grain, 1.0 - above / total - lap),
        ):
            side.append(frame.points(days.tolist(), [depth.at(v) for v in share.tolist()]))
    sides = [Side(frame.bottom, tuple(from_flesh), met_at)]
    return sides if closed else [*sides, Side(frame.top, tuple(from_grain), met_at)]


def _bands(canvas: Canvas, sides: Sequence[Side]) -> None:
    """Paint the bands of all sides, least sure first, so that the surest lies on top."""
    paints = (
        canvas.hatch("perhaps", ground=FAWN, stroke=LEATHER, gap=6, width=0.9, turn=60),
        canvas.hatch("likely", ground=LEATHER, stroke=BARK, gap=3.6, width=1.3, turn=-60),
        BARK,
    )
    for paint, level in zip(paints, (2, 1, 0), strict=True):
        for side in sides:
            curve = side.fronts[level]
            canvas.area([(curve[0][0], side.face), *curve, (curve[-1][0], side.face)], fill=paint)
    for colour, wide in ((PAPER, 3.6), (INK, 1.8)):
        for side in sides:
            canvas.curve(side.fronts[1][: side.open_points], stroke=colour, stroke_width=wide)


def _hair(canvas: Canvas, frame: Timeline) -> None:
    """Hair along the grain side: short strokes that lean and vary, the same every time."""
    strokes = []
    count = int((frame.axis.to_px - frame.axis.from_px) / 4.2)
    for i in range(count):
        x = frame.axis.from_px + 2 + 4.2 * i
        lean = 5.0 + 2.5 * math.sin(1.7 * i)
        high = HAIR_HEIGHT * (0.62 + 0.3 * math.sin(2.9 * i + 1.0))
        strokes.append(
            f"M{x:.1f},{frame.top:.1f}q{lean / 4:.1f},{-0.6 * high:.1f} {lean:.1f},{-high:.1f}"
        )
    canvas.path("".join(strokes), stroke=BARK, stroke_width=1.1, stroke_linecap="round")


def _reading(canvas: Canvas, frame: Timeline, depth: Axis, mark: Mark) -> None:
    """A reading: a diamond on one front, or a bar over the pale part that was seen."""
    share = min(max(0.0 if mark.value is None else mark.value, 0.0), 1.0)
    x, cut = frame.x(mark.day), frame.answer.cut
    if kind_of(mark) == "cut":
        flesh, grain = at_day(cut.flesh_front, mark.day)[1], at_day(cut.grain_front, mark.day)[1]
        part = 1.0 if hair_on(frame.answer) else flesh / (flesh + grain) if flesh + grain else 0.5
        low, high = depth.at(share * part), depth.at(1.0 - share * (1.0 - part))
        if low - high > 10.0 and not is_set_aside(mark):
            for colour, wide in ((PAPER, 6.0), (GALL, 2.8)):
                canvas.path(
                    f"M{x - 5:.1f},{low:.1f}H{x + 5:.1f}M{x:.1f},{low:.1f}V{high:.1f}"
                    f"M{x - 5:.1f},{high:.1f}H{x + 5:.1f}",
                    stroke=colour,
                    stroke_width=wide,
                    stroke_linecap="round",
                )
            return
        y = (low + high) / 2
    else:
        y = depth.at(share if kind_of(mark) == "cut-flesh" else 1.0 - share)
    if is_set_aside(mark):
        crossed(canvas, x, y)
        return
    canvas.diamond(x, y, radius=5.5, fill=GALL, edge=PAPER)


def _finish(canvas: Canvas, frame: Timeline, y: float) -> None:
    """The finish window as a bar above the skin: ends at 5 and 95 %, a diamond at 50 %."""
    finish, start = frame.answer.finish, frame.answer.start
    if finish.p05 is None:
        return

    def x_of(when: timedelta) -> float:
        return frame.x(float(when.days))

    left = x_of(finish.p05 - start)
    right = x_of(finish.p95 - start) if finish.p95 else frame.axis.to_px
    canvas.line((left, y), (right, y), stroke=BARK, stroke_width=3)
    canvas.line((left, y - 6), (left, y + 6), stroke=BARK, stroke_width=2)
    if finish.p95:
        canvas.line((right, y - 6), (right, y + 6), stroke=BARK, stroke_width=2)
    else:
        canvas.area([(right + 9, y), (right - 1, y - 6), (right - 1, y + 6)], fill=BARK)
    if finish.p50:
        middle = x_of(finish.p50 - start)
        canvas.diamond(middle, y, radius=6.5, fill=BARK, edge=PAPER)
    if left - text_width("leather") - 8 >= frame.axis.from_px:
        canvas.text(left - 8, y + 4.5, "leather", anchor="end", fill=BARK, bold=True)
    elif right + text_width("leather") + 8 <= WIDTH - 4:
        canvas.text(right + 8, y + 4.5, "leather", fill=BARK, bold=True)


def _below(canvas: Canvas, frame: Timeline) -> tuple[bool, float]:
    """Name the flesh side under the skin, beside small wedges on the days to look at the cut.

    Returns whether there are wedges, and how far the axis has to drop.
    """
    days = [float((day - frame.answer.start).days) for day in frame.answer.look_on]
    places = [frame.x(day) for day in days if 0 <= day <= frame.axis.high]
    y, left, right = frame.bottom, frame.axis.from_px, frame.axis.to_px
    for x in places:
        canvas.area(
            [(x, y), (x - 5, y + 9), (x + 5, y + 9)], fill=PAPER, stroke=INK, stroke_width=1.3
        )
    wide = text_width("flesh side") + 8
    free_left = all(x > left + wide for x in places)
    free_right = all(x < right - wide for x in places)
    low = 0.0 if free_left or free_right else 11.0
    at_left = free_left or not free_right
    canvas.text(
        left + 6 if at_left else right,
        y + 14.5 + low,
        "flesh side",
        anchor="start" if at_left else "end",
    )
    return bool(places), 15.0 + low


def draw(answer: Answer, reader: Reader) -> str:
    """The cut of an answer over time as SVG text."""
    canvas, cut = Canvas(NAME), answer.cut
    closed = hair_on(answer)
    thick = figure(cut.thickness_mm / reader.mm_per_length)
    y = head(
        canvas,
        title(answer),
        f"The cut edge at {cut.place or 'the thick place'}, {thick} {reader.length_unit}; "
        f"struck through now {share_range(answer.struck_through)}.",
    )
    finish_y = y + 10.0
    top = y + (26.0 if answer.finish.p05 else 8.0) + 16.0 + (HAIR_HEIGHT if closed else 0.0)
    left, right = MARGIN + 40.0, WIDTH - MARGIN - 6
    days = Axis(0.0, max(last_day(answer), 1e-6), left, right)
    frame = Timeline(answer, reader, days, top, top + PLOT_HEIGHT)
    depth = Axis(0.0, 1.0, frame.bottom, top)
    canvas.box(left, top, right - left, PLOT_HEIGHT, fill=PELT)
    _bands(canvas, _sides(frame, depth, closed))
    _edges(canvas, frame, depth, closed)
    _finish(canvas, frame, finish_y)
    frame.today(canvas, HAIR_HEIGHT if closed else 0.0)
    for mark in readings(answer):
        _reading(canvas, frame, depth, mark)
    looks, drop = _below(canvas, frame)
    y = frame.event_list(canvas, frame.day_axis(canvas, drop))
    kinds = {mark.kind for mark in readings(answer)}
    y = key(canvas, y, _key(canvas, kinds, looks))
    return canvas.render(y, title(answer), words(answer, reader))


def _edges(canvas: Canvas, frame: Timeline, depth: Axis, closed: bool) -> None:
    """The two faces with their names, and the thickness at the left."""
    left, right, reader = frame.axis.from_px, frame.axis.to_px, frame.reader
    thick = frame.answer.cut.thickness_mm / reader.mm_per_length
    canvas.line((left, frame.top), (right, frame.top), stroke=INK, stroke_width=2.2)
    canvas.line((left, frame.bottom), (right, frame.bottom), stroke=INK, stroke_width=1.4)
    ticks = [tick for tick in inner_ticks(thick) if PLOT_HEIGHT * (1 - tick / thick) >= 16.0]
    for tick in (*ticks, thick):
        y = depth.at(tick / thick)
        canvas.line((left - 5, y), (left, y), stroke=QUIET)
        canvas.text(left - 8, y + 4.5, figure(tick), anchor="end", fill=QUIET)
    canvas.text(left - 8, frame.top - 9, reader.length_unit, anchor="end", fill=QUIET)
    grain = "grain side, shut by the hair" if closed else "grain side"
    wide, today = text_width(grain), frame.today_edges()
    aside = today is not None and today[0] < left + wide + 6
    lift = HAIR_HEIGHT if closed else 0.0
    canvas.text(
        right if aside else left, frame.top - 7 - lift, grain, anchor="end" if aside else "start"
    )
    if closed:
        _hair(canvas, frame)


def _key(canvas: Canvas, kinds: set[str], looks: bool) -> list[KeyItem]:
    def paint(fill: str) -> KeyItem:
        def swatch(x: float, y: float) -> None:
            canvas.box(x, y - 1, 24, 14, fill=fill, stroke=BARK, stroke_width=0.8)

        return swatch, ""

    def bar(x: float, y: float) -> None:
        canvas.path(
            f"M{x + 7},{y + 12}h10M{x + 12},{y + 12}v-12M{x + 7},{y}h10",
            stroke=GALL,
            stroke_width=2.8,
            stroke_linecap="round",
        )

    def diamond(x: float, y: float) -> None:
        canvas.diamond(x + 12, y + 6, radius=5.5, fill=GALL, edge=PAPER)

    def cross(x: float, y: float) -> None:
        crossed(canvas, x + 12, y + 6)

    def wedge(x: float, y: float) -> None:
        canvas.area(
            [(x + 12, y + 1), (x + 7, y + 10), (x + 17, y + 10)],
            fill=PAPER,
            stroke=INK,
            stroke_width=1.3,
        )

    items: list[KeyItem] = [
        (paint(BARK)[0], "coloured, almost surely"),
        (paint(f"url(#{NAME}-likely)")[0], "likely"),
        (paint(f"url(#{NAME}-perhaps)")[0], "perhaps"),
        (paint(PELT)[0], "still pale"),
    ]
    items += [(bar, "pale part you saw")] if "cut" in kinds else []
    items += [(diamond, "front you saw")] if kinds & {"cut-flesh", "cut-grain"} else []
    items += [(cross, "not used")] if any(kind.endswith(SET_ASIDE) for kind in kinds) else []
    items += [(wedge, "look at the cut")] if looks else []
    return items

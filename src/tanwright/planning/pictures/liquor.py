"""The strength fan: how strong the liquor is from day to day, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from tanwright.planning.answers import Answer, Fan, Mark
from tanwright.planning.looks import look_of
from tanwright.planning.pictures.axes import Axis, nice_ticks, text_width
from tanwright.planning.pictures.canvas import WIDTH, Canvas
from tanwright.planning.pictures.palette import (
    BARK,
    FAWN,
    GALL,
    INK,
    LICHEN,
    LIQUOR_TINTS,
    PAPER,
    QUIET,
    RULE,
)
from tanwright.planning.pictures.reader import DECIMALS
from tanwright.planning.pictures.timeline import (
    FLAG_ROW,
    MARGIN,
    KeyItem,
    Timeline,
    crossed,
    events,
    flag_spots,
    head,
    is_set_aside,
    key,
    kind_of,
    not_used,
    puttings,
    thinned,
    volume,
)
from tanwright.planning.pictures.words import at_day, figure, on, span_words, today_day
from tanwright.planning.readings import SET_ASIDE
from tanwright.science.belief.kinds import LOOKS

if TYPE_CHECKING:
    from tanwright.planning.pictures.reader import Reader

NAME = "strength"
READINGS = ("strength", "look")
PLOT_HEIGHT = 190.0
LOOK_ROOM = 66.0


def in_scale(fan: Fan, reader: Reader) -> Fan:
    """A fan of °Bk in the reader's scale."""
    turn = reader.strength
    return Fan(fan.day, turn(fan.p05), turn(fan.p50), turn(fan.p95))


def strength_figure(value: float, reader: Reader) -> str:
    """A strength on the reader's scale as a number."""
    decimals = DECIMALS.get(reader.scale)
    return figure(value) if decimals is None else f"{value:.{decimals}f}"


def strength_spread(fan: Fan, day: float, reader: Reader) -> str:
    """``11 to 17 °Bk, most likely 14`` for a fan in the reader's scale."""
    low, middle, high = (strength_figure(value, reader) for value in at_day(fan, day))
    return f"{low} to {high} {reader.strength_unit}, most likely {middle}"


def readings(answer: Answer) -> tuple[Mark, ...]:
    """Readings of strength that carry a value."""
    return tuple(m for m in answer.marks if kind_of(m) in READINGS and m.value is not None)


def value_of(mark: Mark, reader: Reader) -> float:
    """A reading of strength in the reader's scale."""
    return reader.strength_of(0.0 if mark.value is None else mark.value)


def title(answer: Answer, reader: Reader) -> str:
    """The headline: where the liquor stands today."""
    today = today_day(answer)
    if not reader.by_eye:
        spread = strength_spread(in_scale(answer.strength_fan, reader), today, reader)
        return f"Liquor now {spread}"
    low, _, high = at_day(answer.strength_fan, today)
    first, last = look_of(low), look_of(high)
    return f"The liquor today looks like {first if first == last else f'{first} to {last}'}"


def words(answer: Answer, reader: Reader) -> str:
    """Everything the picture shows, in sentences."""
    fan, unit = in_scale(answer.strength_fan, reader), reader.strength_unit
    last, today = float(fan.day[-1]), today_day(answer)
    out = [f"Strength of the liquor {span_words(answer, last)}."]
    for day, name in ((0.0, "At the start"), (today, "Today"), (last, "At the end")):
        if name == "Today" and not 0 < day < last:
            continue
        look = look_of(at_day(answer.strength_fan, day)[1])
        seen = f", like {look}" if reader.by_eye else ""
        spread = strength_spread(fan, day, reader)
        out.append(f"{name} ({on(answer.start, day)}): {spread}{seen}.")
    out.append("Nine times in ten it lies within that range.")
    for mark in readings(answer):
        note = f" ({mark.text})" if mark.text else ""
        value = strength_figure(value_of(mark, reader), reader)
        out.append(f"Read on {on(answer.start, mark.day)}: {value} {unit}{note}{not_used(mark)}.")
    for item in puttings(answer):
        did = "Strengthened" if item.done else "To strengthen"
        amount = volume(item, reader).removeprefix("+")
        out.append(f"{did} on {on(answer.start, item.day)}{f': {amount}' if amount else ''}.")
    out += [f"On {on(answer.start, mark.day)}: {mark.text}." for mark in events(answer)]
    return " ".join(out)


def _looks(canvas: Canvas, frame: Timeline, strength: Axis, reader: Reader) -> None:
    """Faint bands from pale tea to black coffee with their names at the right."""
    below = strength.low
    bounds = [reader.strength_of(bound) for bound in LOOKS.cuts_bk]
    for look, tint, bound in zip(LOOKS.words, LIQUOR_TINTS, [*bounds, math.inf], strict=True):
        foot, top = strength.at(below), strength.at(min(bound, strength.high))
        if foot - top < 1.0:
            break
        left, right = frame.axis.from_px, frame.axis.to_px
        canvas.box(left, top, right - left + LOOK_ROOM, foot - top, fill=tint)
        canvas.line((left, foot), (right + LOOK_ROOM, foot), stroke=RULE)
        lines = look.split() if foot - top >= 28.0 else [look]
        if foot - top >= 14.5 and max(map(text_width, lines)) <= LOOK_ROOM - 6:
            y = (foot + top) / 2 + 4.5 - 6.75 * (len(lines) - 1)
            for i, line in enumerate(lines):
                canvas.text(right + LOOK_ROOM - 4, y + 13.5 * i, line, anchor="end", fill=QUIET)
        below = bound


def _reading(canvas: Canvas, frame: Timeline, strength: Axis, mark: Mark, value: float) -> None:
    x, y = frame.x(mark.day), strength.at(value)
    if value > strength.high:
        text = f"{strength_figure(value, frame.reader)} ↑"
        end = x + 10 + text_width(text) > frame.axis.to_px
        canvas.text(
            x + (-8 if end else 8),
            y + 12,
            text,
            fill=GALL,
            halo=PAPER,
            anchor="end" if end else "start",
        )
        y += 6
    if is_set_aside(mark):
        crossed(canvas, x, y)
        return
    canvas.diamond(
        x,
        y,
        fill=GALL if mark.kind == "strength" else PAPER,
        edge=PAPER if mark.kind == "strength" else GALL,
    )


def draw(answer: Answer, reader: Reader) -> str:
    """The strength fan of an answer as SVG text."""
    canvas = Canvas(NAME)
    fan = in_scale(thinned(answer.strength_fan), reader)
    put, read = puttings(answer), readings(answer)
    y = head(canvas, title(answer, reader), "Nine times in ten the liquor lies within the band.")
    highest = float(fan.p95.max())
    seen = [value_of(mark, reader) for mark in read]
    far = reader.strength_of(1.6 * float(answer.strength_fan.p95.max()))
    used = [value for mark, value in zip(read, seen, strict=True) if not is_set_aside(mark)]
    highest = max([highest, *(value for value in used if value <= far)])
    zero = round(reader.strength_of(0.0), 2)
    ticks = [zero + tick for tick in nice_ticks((highest - zero) * 1.04)]
    labels = [strength_figure(tick, reader) for tick in ticks]
    left = MARGIN + 8 + max(map(text_width, labels))
    right = WIDTH - MARGIN - 6 - (LOOK_ROOM if reader.by_eye else 0.0)
    days = Axis(0.0, max(float(fan.day[-1]), 1e-6), left, right)
    _, spots = flag_spots(days, reader, put)
    rows = 1 + max((spot.row for spot in spots if spot.row is not None), default=-1)
    flags_top, top = y, y + FLAG_ROW * rows + 20.0
    frame = Timeline(answer, reader, days, top, top + PLOT_HEIGHT)
    strength = Axis(zero, ticks[-1], frame.bottom, top)
    if reader.by_eye:
        _looks(canvas, frame, strength, reader)
    for tick, label in zip(ticks, labels, strict=True):
        canvas.line((left, strength.at(tick)), (right, strength.at(tick)), stroke=RULE)
        canvas.text(left - 6, strength.at(tick) + 4.5, label, anchor="end", fill=QUIET)
    canvas.text(MARGIN - 6, top - 9, reader.strength_unit, fill=QUIET)
    _band(canvas, frame, strength, fan)
    if put:
        frame.flags(canvas, flags_top, put)
    frame.today(canvas)
    canvas.line((left, frame.bottom), (right, frame.bottom), stroke=INK, stroke_width=1.4)
    for mark, value in zip(read, seen, strict=True):
        _reading(canvas, frame, strength, mark, value)
    y = frame.event_list(canvas, frame.day_axis(canvas))
    if any(spot.row is None for spot in spots):
        y += 15.0
        canvas.text(MARGIN, y, "Volumes without room here are in the words beside.", fill=QUIET)
        y += 3.0
    y = key(canvas, y, _key(canvas, reader, [m.kind for m in read], [p.done for p in put]))
    return canvas.render(y, title(answer, reader), words(answer, reader))


def _band(canvas: Canvas, frame: Timeline, strength: Axis, fan: Fan) -> None:
    low = frame.points(fan.day.tolist(), [strength.at(v) for v in fan.p05])
    middle = frame.points(fan.day.tolist(), [strength.at(v) for v in fan.p50])
    high = frame.points(fan.day.tolist(), [strength.at(v) for v in fan.p95])
    canvas.area([*high, *reversed(low)], fill=FAWN, fill_opacity=0.85)
    for edge in (low, high):
        canvas.curve(edge, stroke=BARK, stroke_width=0.8)
    canvas.curve(middle, stroke=BARK, stroke_width=2.6)


def _key(
    canvas: Canvas, reader: Reader, kinds: Sequence[str], done: Sequence[bool]
) -> list[KeyItem]:
    def band(x: float, y: float) -> None:
        canvas.box(x, y, 24, 12, fill=FAWN, stroke=BARK, stroke_width=0.8)
        canvas.line((x, y + 6), (x + 24, y + 6), stroke=BARK, stroke_width=2.6)

    def diamond(x: float, y: float) -> None:
        canvas.diamond(x + 12, y + 6, fill=GALL, edge=PAPER)

    def open_diamond(x: float, y: float) -> None:
        canvas.diamond(x + 12, y + 6, fill=PAPER, edge=GALL)

    def cross(x: float, y: float) -> None:
        crossed(canvas, x + 12, y + 6)

    def solid(x: float, y: float) -> None:
        canvas.box(x + 2, y, 20, 12, fill=LICHEN, stroke=LICHEN)

    def outline(x: float, y: float) -> None:
        canvas.box(x + 2, y, 20, 12, fill=PAPER, stroke=LICHEN)

    items: list[KeyItem] = [(band, "most likely, and 9 in 10")]
    items += [(diamond, "reading")] if "strength" in kinds else []
    items += [(open_diamond, "by eye")] if "look" in kinds else []
    items += [(cross, "not used")] if any(kind.endswith(SET_ASIDE) for kind in kinds) else []
    put = f"{reader.volume_unit} of stronger liquor"
    items += [(solid, f"{put} put in")] if True in done else []
    items += [(outline, f"{put} planned")] if False in done else []
    return items

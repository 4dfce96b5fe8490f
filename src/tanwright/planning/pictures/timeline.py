"""What the two pictures of time share: the axis of days, today, events and the key below."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tanwright.planning.answers import Answer, Fan, Mark
from tanwright.planning.pictures.axes import (
    Axis,
    Flag,
    day_ticks,
    long_date,
    place_flags,
    text_width,
    wrap,
)
from tanwright.planning.pictures.canvas import WIDTH, Canvas
from tanwright.planning.pictures.palette import (
    GALL,
    HEADLINE_SIZE,
    INK,
    LICHEN,
    PAPER,
    QUIET,
    RULE,
    SMALL_SIZE,
    TEXT_SIZE,
)
from tanwright.planning.pictures.words import figure, today_day
from tanwright.planning.readings import SET_ASIDE

if TYPE_CHECKING:
    from tanwright.planning.pictures.reader import Reader

MARGIN = 14.0
FLAG_ROW = 18.0
FLAG_ROWS = 3
MOST_POINTS = 150
MOST_EVENTS = 4
STRENGTHENING = ("strengthened",)
PLANNED_STRENGTHENING = ("strengthen", "top-up")


@dataclass(frozen=True)
class Putting:
    """Stronger liquor put in, or planned, on a day."""

    day: float
    litres: float | None
    done: bool


def thinned(fan: Fan, most: int = MOST_POINTS) -> Fan:
    """A fan with at most ``most`` points that keeps the ends and the greatest jumps.

    Raises
    ------
    ValueError
        If the percentiles are not in order, not finite or of unlike length: a picture of them
        would lie.
    """
    series = np.stack([fan.day, fan.p05, fan.p50, fan.p95]).astype(np.float64)
    slack = 1e-9 * (1.0 + np.abs(series[2]))
    if not np.isfinite(series).all() or series.shape[1] == 0:
        raise ValueError("a fan needs finite numbers")
    if (series[1] > series[2] + slack).any() or (series[2] > series[3] + slack).any():
        raise ValueError("the percentiles of a fan are out of order")
    size = series.shape[1]
    if size > most:
        even = np.linspace(0, size - 1, most - most // 3 * 2).round().astype(np.int64)
        jumps = np.argsort(-np.abs(np.diff(series[2])), kind="stable")[: most // 3]
        series = series[:, np.unique(np.concatenate([even, jumps, jumps + 1]))]
    return Fan(series[0], series[1], series[2], series[3])


def puttings(answer: Answer) -> tuple[Putting, ...]:
    """Strengthenings done (from the marks) and planned (from the schedule), one a day."""
    done = [
        Putting(mark.day, mark.value, True) for mark in answer.marks if mark.kind in STRENGTHENING
    ]
    taken = {int(item.day) for item in done}
    planned = [
        Putting(float((step.date - answer.start).days), step.litres, False)
        for step in answer.schedule
        if step.action in PLANNED_STRENGTHENING
    ]
    merged: dict[tuple[int, bool], Putting] = {}
    for item in [*done, *(item for item in planned if int(item.day) not in taken)]:
        key = (int(item.day), item.done)
        before = merged.get(key)
        known = [p.litres for p in (before, item) if p is not None and p.litres is not None]
        merged[key] = Putting(item.day, sum(known) if known else None, item.done)
    return tuple(sorted(merged.values(), key=lambda item: item.day))


def kind_of(mark: Mark) -> str:
    """What was read, whether it was used or not."""
    return mark.kind.removesuffix(SET_ASIDE)


def is_set_aside(mark: Mark) -> bool:
    """Whether the reading was taken for a slip and not used."""
    return mark.kind.endswith(SET_ASIDE)


def not_used(mark: Mark) -> str:
    """What the words say of a reading that was not used."""
    return ", taken for a slip and not used" if is_set_aside(mark) else ""


def crossed(canvas: Canvas, x: float, y: float) -> None:
    """The mark of a reading that was set aside: a cross on bare paper."""
    for colour, wide in ((PAPER, 5.0), (GALL, 2.0)):
        canvas.path(
            f"M{x - 4.5:.1f},{y - 4.5:.1f}l9,9M{x - 4.5:.1f},{y + 4.5:.1f}l9,-9",
            stroke=colour,
            stroke_width=wide,
            stroke_linecap="round",
        )


def events(answer: Answer) -> tuple[Mark, ...]:
    """What happened to the vat: frozen, away, heat, moved."""
    return tuple(mark for mark in answer.marks if mark.kind == "event")


def head(canvas: Canvas, headline: str, second: str) -> float:
    """Write the headline and the line below it; return the next free y."""
    y = 10.0
    for line in wrap(headline, (WIDTH - 2 * MARGIN) * 1.15, HEADLINE_SIZE, 3):
        y += HEADLINE_SIZE * 1.15
        canvas.text(MARGIN, y, line, size=HEADLINE_SIZE, headline=True)
    y += 3.0
    for line in wrap(second, WIDTH - 2 * MARGIN, TEXT_SIZE, 4):
        y += TEXT_SIZE * 1.32
        canvas.text(MARGIN, y, line, size=TEXT_SIZE, fill=QUIET)
    return y + 8.0


@dataclass(frozen=True)
class Timeline:
    """The frame of a picture of time on its sheet."""

    answer: Answer
    reader: Reader
    axis: Axis
    top: float
    bottom: float

    def x(self, day: float) -> float:
        """Place of a day."""
        return self.axis.at(day)

    def points(self, days: Sequence[float], places: Sequence[float]) -> list[tuple[float, float]]:
        """Points of a curve from days and sheet heights."""
        return [(self.x(day), y) for day, y in zip(days, places, strict=True)]

    def day_axis(self, canvas: Canvas, drop: float = 0.0) -> float:
        """Draw ticks, numbers and dates ``drop`` below the frame; return the next free y."""
        first = self.bottom + 17.0 + drop
        for tick in day_ticks(self.answer.start, self.axis, WIDTH - 2.0):
            x = self.x(tick.day)
            canvas.line((x, self.bottom), (x, self.bottom + 4), stroke=QUIET)
            canvas.text(x, first, tick.number, anchor="middle", fill=INK)
            canvas.text(x, first + 14.5, tick.label, anchor="middle", fill=QUIET)
        middle = (self.axis.from_px + self.axis.to_px) / 2
        words = f"days from {long_date(self.answer.start)}"
        canvas.text(middle, first + 31.0, words, anchor="middle", fill=QUIET)
        return first + 36.0

    def today_edges(self) -> tuple[float, float] | None:
        """Left and right edge of the word "today", if today lies inside and after the start."""
        day, half = today_day(self.answer), text_width("today") / 2
        if not 0 < day <= self.axis.high:
            return None
        middle = min(self.x(day), WIDTH - 4 - half)
        return middle - half, middle + half

    def today(self, canvas: Canvas, lift: float = 0.0) -> None:
        """Mark today; ``lift`` raises the word above what stands on the frame."""
        edges = self.today_edges()
        if edges is None:
            return
        x = self.x(today_day(self.answer))
        for colour, wide in ((PAPER, 3.6), (INK, 1.4)):
            canvas.line(
                (x, self.top - 4 - lift),
                (x, self.bottom),
                stroke=colour,
                stroke_width=wide,
                stroke_dasharray="1 3.5",
                stroke_linecap="round",
            )
        canvas.text(
            sum(edges) / 2, self.top - 7 - lift, "today", anchor="middle", bold=True, halo=PAPER
        )

    def flags(self, canvas: Canvas, top: float, items: Sequence[Putting]) -> None:
        """Fly a flag with its volume for every strengthening, in rows from ``top``."""
        labels, spots = flag_spots(self.axis, self.reader, items)
        for item, label, spot in zip(items, labels, spots, strict=True):
            dash: dict[str, object] = {} if item.done else {"stroke_dasharray": "4 3"}
            high = top + FLAG_ROW * spot.row if spot.row is not None else self.top
            canvas.line(
                (spot.pole, high), (spot.pole, self.bottom), stroke=LICHEN, stroke_width=1.2, **dash
            )
            if spot.row is None or not label:
                continue
            fill = LICHEN if item.done else PAPER
            canvas.box(
                spot.left, high, spot.right - spot.left, FLAG_ROW - 3, fill=fill, stroke=LICHEN
            )
            canvas.text(
                (spot.left + spot.right) / 2,
                high + 11.8,
                label,
                anchor="middle",
                fill=PAPER if item.done else LICHEN,
            )

    def event_list(self, canvas: Canvas, y: float) -> float:
        """Letter the events on the foot of the frame and list them below; return the next y."""
        happened = events(self.answer)
        for i, mark in enumerate(happened):
            x = self.x(mark.day)
            canvas.line((x, self.bottom - 6), (x, self.bottom), stroke=GALL, stroke_width=2.5)
            if i < MOST_EVENTS and (i == 0 or x - self.x(happened[i - 1].day) > 15):
                canvas.box(x - 7, self.bottom - 21, 14, 15, fill=PAPER, stroke=GALL, rx=2)
                canvas.text(x, self.bottom - 10, "abcd"[i], anchor="middle", fill=GALL, bold=True)
        for i, mark in enumerate(happened[:MOST_EVENTS]):
            words = f"{'abcd'[i]}  day {figure(mark.day)}: {mark.text}"
            for line in wrap(words, WIDTH - 2 * MARGIN, SMALL_SIZE, 2):
                y += 16.0
                canvas.text(MARGIN, y, line, fill=GALL)
        if len(happened) > MOST_EVENTS:
            y += 16.0
            more = f"and {len(happened) - MOST_EVENTS} more, in the words beside this picture"
            canvas.text(MARGIN, y, more, fill=GALL)
        return y + 4.0 if happened else y


def volume(item: Putting, reader: Reader) -> str:
    """``+12 L``, or nothing when the volume is not known."""
    if item.litres is None:
        return ""
    return f"+{figure(item.litres / reader.litres_per_volume)} {reader.volume_unit}"


def flag_spots(
    axis: Axis, reader: Reader, items: Sequence[Putting]
) -> tuple[list[str], list[Flag]]:
    """Labels and places of the flags; where room is short only the first one names the unit."""
    full = [volume(item, reader) for item in items]
    for labels in (full, [*full[:1], *(label.split(" ")[0] for label in full[1:])]):
        wanted = [
            (axis.at(item.day), text_width(label) + 7)
            for item, label in zip(items, labels, strict=True)
        ]
        spots = place_flags(wanted, FLAG_ROWS, WIDTH - 4.0)
        if all(spot.row is not None for spot in spots):
            break
    return labels, spots


KeyItem = tuple[Callable[[float, float], None], str]


def key(canvas: Canvas, y: float, items: Sequence[KeyItem]) -> float:
    """Lay out swatches with their words, wrapping; ``y`` is the top; return the next free y."""
    canvas.line((MARGIN, y + 4), (WIDTH - MARGIN, y + 4), stroke=RULE)
    x, y = MARGIN, y + 22.0
    for swatch, words in items:
        width = 32.0 + text_width(words) + 10.0
        if x > MARGIN and x + width - 10.0 > WIDTH - MARGIN / 2:
            x, y = MARGIN, y + 19.0
        swatch(x, y - 10.0)
        canvas.text(x + 30.0, y, words)
        x += width
    return y + 12.0

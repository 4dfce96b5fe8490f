"""Where ticks and labels go: round numbers, dates, and room for the words.

Round numbers follow Heckbert's "Nice numbers for graph labels" (Graphics Gems, 1990): steps of 1, 2
or 5 times a power of ten.  The width of a text is reckoned by kinds of letters, on the wide side
for the usual system fonts, so labels that fit here fit on the screen.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from tanwright.planning.pictures.palette import SMALL_SIZE

NARROW, WIDE = frozenset(" ,.;:'!|()iljtfrI"), frozenset("mwMW%@—…°")
EM_NARROW, EM_USUAL, EM_WIDE = 0.41, 0.64, 0.98
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@dataclass(frozen=True)
class Axis:
    """A straight map from values to places on the sheet."""

    low: float
    high: float
    from_px: float
    to_px: float

    def at(self, value: float) -> float:
        """Place of a value, held between the two ends."""
        share = (value - self.low) / (self.high - self.low)
        return self.from_px + min(max(share, 0.0), 1.0) * (self.to_px - self.from_px)


@dataclass(frozen=True)
class DayTick:
    """A tick of the time axis: day number above, date below."""

    day: float
    number: str
    label: str


def text_width(text: str, size: float = SMALL_SIZE) -> float:
    """Room a text takes, on the wide side, in sheet units."""
    ems = sum(
        EM_NARROW if letter in NARROW else EM_WIDE if letter in WIDE else EM_USUAL
        for letter in text
    )
    return ems * size


def _cut_short(text: str, width: float, size: float) -> str:
    while text and text_width(text + "…", size) > width:
        text = text[:-1]
    return text.rstrip(" ,;") + "…"


def wrap(text: str, width: float, size: float, lines: int = 99) -> list[str]:
    """Break a text into lines no wider than ``width``; the last one ends in … if cut short."""
    out: list[str] = []
    for word in text.split():
        if text_width(word, size) > width:
            word = _cut_short(word, width, size)
        if out and text_width(f"{out[-1]} {word}", size) <= width:
            out[-1] += " " + word
        else:
            out.append(word)
    if len(out) > lines:
        out = [*out[: lines - 1], _cut_short(" ".join(out[lines - 1 :]), width, size)]
    return out


def nice_step(rough: float) -> float:
    """The step of 1, 2 or 5 times a power of ten that is nearest to ``rough`` (> 0)."""
    power = 10.0 ** math.floor(math.log10(rough))
    share = rough / power
    for limit, factor in ((1.5, 1.0), (3.0, 2.0), (7.0, 5.0)):
        if share < limit:
            return factor * power
    return 10.0 * power


def nice_ticks(high: float, wanted: int = 5) -> tuple[float, ...]:
    """Round ticks from 0 up to the first one at or above ``high``."""
    if not (high > 0.0 and math.isfinite(high)):
        return (0.0, 1.0)
    step = nice_step(high / wanted)
    count = max(math.ceil(high / step - 1e-9), 1)
    return tuple(round(i * step, 12) for i in range(count + 1))


def inner_ticks(high: float, wanted: int = 4) -> tuple[float, ...]:
    """Round ticks from 0 that stay at or below ``high``."""
    return tuple(tick for tick in nice_ticks(high, wanted) if tick <= high * (1 + 1e-9))


def short_date(day: date) -> str:
    """``12 Mar``, whatever the locale."""
    return f"{day.day} {MONTHS[day.month - 1][:3]}"


def long_date(day: date) -> str:
    """``12 March 2026``, whatever the locale."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _by_days(start: date, last: float, step: int) -> list[DayTick]:
    return [
        DayTick(float(n), str(n), short_date(start + timedelta(days=n)))
        for n in range(0, math.floor(last + 1e-9) + 1, step)
    ]


def _by_months(start: date, last: float, step: int) -> list[DayTick]:
    ticks: list[DayTick] = []
    month = start.year * 12 + start.month  # the month after the start, counted from year 0
    while True:
        first = date(month // 12, month % 12 + 1, 1)
        day = (first - start).days
        if day > last:
            return ticks
        if first.month % step == 1 % step:
            year = f" {first.year}" if not ticks or first.month == 1 else ""
            ticks.append(DayTick(float(day), str(day), short_date(first) + year))
        month += 1


def _fit(ticks: Sequence[DayTick], axis: Axis, room: float, size: float) -> bool:
    boxes = [tick_box(tick, axis, size) for tick in ticks]
    apart = all(b[0] - a[1] >= 6.0 for a, b in pairwise(boxes))
    return apart and all(a >= 0.0 and b <= room for a, b in boxes)


def tick_box(tick: DayTick, axis: Axis, size: float = SMALL_SIZE) -> tuple[float, float]:
    """Left and right edge of a tick's wider label."""
    half = max(text_width(tick.number, size), text_width(tick.label, size)) / 2
    middle = axis.at(tick.day)
    return middle - half, middle + half


def day_ticks(start: date, axis: Axis, room: float, size: float = SMALL_SIZE) -> list[DayTick]:
    """Ticks in days, weeks or months, as many as fit side by side between 0 and ``room``.

    ``axis`` runs from day 0 to the last day.  Labels never overlap: the coarsest choice that is
    tried last may drop ticks at its end to keep that promise.
    """
    last = axis.high
    if last <= 120:
        tries = [_by_days(start, last, step) for step in (1, 2, 7, 14, 28)]
    else:
        tries = [_by_months(start, last, step) for step in (1, 2, 3, 6, 12)]
    for ticks in tries:
        while ticks and tick_box(ticks[-1], axis, size)[1] > room:
            ticks.pop()
        if ticks and _fit(ticks, axis, room, size):
            return ticks
    kept: list[DayTick] = []
    for tick in tries[-1]:
        if _fit([*kept, tick], axis, room, size):
            kept.append(tick)
    return kept


@dataclass(frozen=True)
class Flag:
    """A label on a pole: the row it flies in (0 on top) and its left and right edge."""

    pole: float
    row: int | None
    left: float
    right: float


def place_flags(
    poles: Iterable[tuple[float, float]], rows: int, room: float, gap: float = 3.0
) -> list[Flag]:
    """Give each label (pole, width) a row so that no label covers another or another's pole.

    ``row`` is ``None`` where no room is left; the pole is then drawn without its label.
    """
    out: list[Flag] = []
    for pole, width in poles:
        left = pole if pole + width <= room else pole - width
        right = left + width

        def free(row: int, pole: float = pole, left: float = left, right: float = right) -> bool:
            for other in out:
                if other.row is None:
                    continue
                meets = left < other.right + gap and other.left < right + gap
                pole_hit = other.row > row and other.left - gap < pole < other.right + gap
                hits_pole = other.row < row and left - gap < other.pole < right + gap
                if (other.row == row and meets) or pole_hit or hits_pole:
                    return False
            return True

        row = next((row for row in range(rows) if free(row)), None)
        out.append(Flag(pole, row, left, right))
    return out

"""Numbers and sentences: what the pictures say in words, for reading aloud and for alt text."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from tanwright.planning.answers import DateRange
from tanwright.planning.pictures.axes import long_date, short_date

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer, Fan, Range
    from tanwright.science.belief.unknowns import Floats


def figure(value: float) -> str:
    """A number as a person would say it: two figures or whole, no trailing zeros."""
    size = abs(value)
    if size >= 9.95:
        return f"{value:.0f}"
    if size >= 1:
        return f"{value:.1f}".removesuffix(".0")
    return f"{value:.2f}".rstrip("0").removesuffix(".") if size >= 0.005 else "0"


def per_cent(share: float) -> str:
    """A share as whole per cent, without claiming none or all where it is only nearly so."""
    if 0.0 < share < 0.005:
        return "under 1 %"
    if 0.995 < share < 1.0:
        return "over 99 %"
    return f"{100 * share:.0f} %"


def share_range(share: Range) -> str:
    """``55 % (40 to 70 %)``."""
    return f"{per_cent(share.p50)} ({100 * share.p05:.0f} to {100 * share.p95:.0f} %)"


def spread(low: float, middle: float, high: float, unit: str) -> str:
    """``7 to 16 kg, most likely 10 kg``."""
    return f"{figure(low)} to {figure(high)} {unit}, most likely {figure(middle)} {unit}"


def at_day(fan: Fan, day: float) -> tuple[float, float, float]:
    """The 5, 50 and 95 % values of a fan at a day; at its ends outside of it."""
    return (
        float(np.interp(day, fan.day, fan.p05)),
        float(np.interp(day, fan.day, fan.p50)),
        float(np.interp(day, fan.day, fan.p95)),
    )


def on(start: date, day: float) -> str:
    """``day 9, 21 March 2026``."""
    return f"day {figure(day)}, {long_date(start + timedelta(days=int(day)))}"


COLOURED = 0.999
"""Share of the thickness from which a cut is told as coloured through."""


def coloured(answer: Answer) -> DateRange:
    """When the thick place is coloured through; leather comes later."""
    fan = answer.depth_fan

    def first(share: Floats) -> date | None:
        reached = np.flatnonzero(share >= COLOURED)
        if not reached.size:
            return None
        return answer.start + timedelta(days=int(fan.day[reached[0]] + 1e-6))

    return DateRange(first(fan.p95), first(fan.p50), first(fan.p05))


def window_short(answer: Answer, finish: DateRange) -> str:
    """A window of days for a headline."""

    def brief(day: date) -> str:
        year = f" {day.year}" if day.year != answer.start.year else ""
        return short_date(day) + year

    end = brief(answer.start + timedelta(days=int(answer.cut.day[-1])))
    if finish.p05 is None:
        return f"after {end}"
    if finish.p50 is None:
        return f"after {end} more likely than not, {brief(finish.p05)} at the earliest"
    late = brief(finish.p95) if finish.p95 else f"beyond {end}"
    return f"about {brief(finish.p50)} ({brief(finish.p05)} to {late})"


def window_words(what: str, finish: DateRange) -> str:
    """A window of days for ``what`` as a sentence without its end."""
    if finish.p05 is None:
        return f"{what}: not expected within the days shown"
    parts = [f"one chance in twenty by {long_date(finish.p05)}"]
    parts.append(
        f"an even chance by {long_date(finish.p50)}"
        if finish.p50
        else "less than an even chance within the days shown"
    )
    parts.append(
        f"nineteen in twenty by {long_date(finish.p95)}"
        if finish.p95
        else "and it may take longer than the days shown"
    )
    return f"{what}: {', '.join(parts)}"


def finish_words(finish: DateRange) -> str:
    """The finish window as a sentence."""
    return f"{window_words('Leather', finish)}; the done gate decides, not the date."


def today_day(answer: Answer) -> float:
    """Days from the start to today."""
    return float((answer.today - answer.start).days)


def span_words(answer: Answer, last_day: float) -> str:
    """From when to when a picture runs."""
    end = answer.start + timedelta(days=int(last_day))
    return f"from {long_date(answer.start)} to {long_date(end)} ({figure(last_day)} days)"

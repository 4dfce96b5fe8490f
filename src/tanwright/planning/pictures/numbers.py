"""The plotted numbers as CSV, always in °Bk, litres and shares, whatever the reader's units."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from datetime import timedelta
from io import StringIO
from typing import TYPE_CHECKING

from tanwright.planning.pictures import cut, liquor
from tanwright.planning.pictures.timeline import events, puttings

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer, Fan, Mark

COLUMNS = ("series", "day", "date", "p05", "p50", "p95", "value", "unit", "text")
Row = Sequence[object]


def _text(rows: Iterable[Row]) -> str:
    with StringIO(newline="") as out:
        csv.writer(out, lineterminator="\n").writerows(rows)
        return out.getvalue()


def _date(answer: Answer, day: float) -> str:
    return (answer.start + timedelta(days=int(day))).isoformat()


def _fan(answer: Answer, series: str, fan: Fan, unit: str) -> list[Row]:
    return [
        (
            series,
            f"{day:.6g}",
            _date(answer, day),
            f"{low:.6g}",
            f"{middle:.6g}",
            f"{high:.6g}",
            "",
            unit,
            "",
        )
        for day, low, middle, high in zip(
            fan.day.tolist(), fan.p05.tolist(), fan.p50.tolist(), fan.p95.tolist(), strict=True
        )
    ]


def _marks(answer: Answer, marks: Iterable[Mark], unit: str) -> list[Row]:
    return [
        (
            mark.kind,
            f"{mark.day:.6g}",
            _date(answer, mark.day),
            "",
            "",
            "",
            "" if mark.value is None else f"{mark.value:.6g}",
            unit,
            mark.text,
        )
        for mark in marks
    ]


def strength(answer: Answer) -> str:
    """The strength fan, readings, strengthenings and events."""
    put = [
        (
            "strengthened" if item.done else "planned",
            f"{item.day:.6g}",
            _date(answer, item.day),
            "",
            "",
            "",
            "" if item.litres is None else f"{item.litres:.6g}",
            "L",
            "",
        )
        for item in puttings(answer)
    ]
    return _text(
        [
            COLUMNS,
            *_fan(answer, "forecast", answer.strength_fan, "°Bk"),
            *_marks(answer, liquor.readings(answer), "°Bk"),
            *put,
            *_marks(answer, events(answer), ""),
        ]
    )


def fronts(answer: Answer) -> str:
    """The two fronts and the depth as shares of the thickness, and the readings of the cut."""
    return _text(
        [
            COLUMNS,
            *_fan(answer, "flesh front", answer.cut.flesh_front, "share"),
            *_fan(answer, "grain front", answer.cut.grain_front, "share"),
            *_fan(answer, "struck through", answer.depth_fan, "share"),
            *_marks(answer, cut.readings(answer), "share"),
            *_marks(answer, events(answer), ""),
        ]
    )


def causes(answer: Answer) -> str:
    """All causes, small ones too, with their shares."""
    rows: list[Row] = [("of", "cause", "label", "share", "remedy")]
    amount = answer.amount_causes or (answer.needs[0].causes if answer.needs else ())
    for of, found in (("amount", amount), ("finish", answer.finish_causes)):
        rows += [(of, c.name, c.label, f"{c.share:.6g}", c.remedy) for c in found]
    return _text(rows)

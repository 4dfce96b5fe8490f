"""Every treatment on one quality: where an average patch lies, and how sure that is."""

from __future__ import annotations

import csv
from io import StringIO
from typing import TYPE_CHECKING

from tanwright.planning.pictures.axes import Axis, inner_ticks, nice_step, wrap
from tanwright.planning.pictures.canvas import WIDTH, Canvas, clean
from tanwright.planning.pictures.palette import (
    BARK,
    FAWN,
    GALL,
    PAPER,
    QUIET,
    RULE,
    SMALL_SIZE,
    TEXT_SIZE,
)
from tanwright.planning.pictures.timeline import MARGIN, head
from tanwright.planning.pictures.writing import Picture
from tanwright.planning.trials.answer_words import answer, figure, start, typical_words
from tanwright.planning.trials.records import CONTROL

if TYPE_CHECKING:
    from tanwright.planning.trials.analysis import QualityResult, TrialAnalysis

ROW = 44.0
LINE = 16.0
COLUMNS = (
    "treatment",
    "patches",
    "p05",
    "p50",
    "p95",
    "against_p05",
    "against_p50",
    "against_p95",
    "chance_more",
    "unit",
)
BAR = 12.0


def draw_effects(result: QualityResult, found: TrialAnalysis) -> Picture:
    """Picture of one quality: a bar of nine chances in ten for each treatment."""
    name = f"trial-{result.id}"
    title = start(result.name)
    words = _words(result, found)
    return Picture(name, _draw(result, name, title, words), title, clean(words), _numbers(result))


def _words(result: QualityResult, found: TrialAnalysis) -> str:
    each = "; ".join(f"{item.label}: {typical_words(result, item)}" for item in result.effects)
    return f"{answer(result, found.labels)} An average patch of each: {each}."


def _axis(result: QualityResult) -> tuple[Axis, list[tuple[float, str]]]:
    left, right = MARGIN + 6.0, WIDTH - MARGIN - 6.0
    if result.unit == "chance":
        axis = Axis(0.0, 1.0, left, right)
        return axis, [(0.0, "last"), (0.5, "middle"), (1.0, "first in the row")]
    if result.unit == "steps":
        axis = Axis(1.0, float(result.steps), left, right)
        return axis, [(float(k), str(k)) for k in range(1, result.steps + 1)]
    low = min(item.typical.p05 for item in result.effects)
    high = max(item.typical.p95 for item in result.effects)
    if low > 0.0 and low < 0.5 * (high - low):
        low = 0.0
    step = nice_step(max(high - low, 1e-9) / 4.0)
    first, last = step * (low // step), step * -(-high // step)
    ticks = [first + tick for tick in inner_ticks(last - first, 4)]
    return Axis(first, max(last, first + step), left, right), [(t, figure(t)) for t in ticks]


def _draw(result: QualityResult, name: str, title: str, words: str) -> str:
    canvas = Canvas(name)
    unit = {"steps": "grade", "chance": "place in the row"}.get(result.unit, f"in {result.unit}")
    second = (
        f"An average patch of each treatment ({unit}). The line is the middle, "
        "the bar holds 9 chances in 10."
    )
    y = head(canvas, title, second)
    axis, ticks = _axis(result)
    labels = [
        wrap(
            f"{item.label} ({item.patches} {'patch' if item.patches == 1 else 'patches'})",
            WIDTH - 2 * MARGIN - 12.0,
            TEXT_SIZE,
            2,
        )
        for item in result.effects
    ]
    bottom = y + 6.0 + ROW * len(labels) + LINE * sum(len(lines) - 1 for lines in labels)
    for value, _ in ticks:
        canvas.line((axis.at(value), y), (axis.at(value), bottom), stroke=RULE)
    for item, lines in zip(result.effects, labels, strict=True):
        bold = item.treatment == CONTROL
        for line in lines:
            canvas.text(MARGIN + 6.0, y + 16.0, line, size=TEXT_SIZE, bold=bold, halo=PAPER)
            y += LINE
        y -= LINE
        low, high = axis.at(item.typical.p05), axis.at(item.typical.p95)
        hollow = item.treatment == CONTROL
        canvas.box(
            low,
            y + 22.0,
            max(high - low, 2.0),
            BAR,
            fill=PAPER if hollow else FAWN,
            stroke=BARK,
            stroke_width=1.0,
        )
        middle = axis.at(item.typical.p50)
        canvas.line((middle, y + 19.0), (middle, y + 25.0 + BAR), stroke=GALL, stroke_width=2.6)
        y += ROW
    y = bottom + 16.0
    for number, (value, label) in enumerate(ticks):
        anchor = "start" if number == 0 else "end" if number == len(ticks) - 1 else "middle"
        canvas.text(axis.at(value), y, label, size=SMALL_SIZE, fill=QUIET, anchor=anchor)
    if result.unit == "steps":
        y += 17.0
        first, last = result.anchors[0], result.anchors[-1]
        room = (WIDTH - 2 * MARGIN) / 2.0 - 6.0
        ends = (wrap(first, room, SMALL_SIZE, 2), wrap(last, room, SMALL_SIZE, 2))
        for row in range(max(len(part) for part in ends)):
            if row < len(ends[0]):
                canvas.text(MARGIN, y, ends[0][row], fill=QUIET)
            if row < len(ends[1]):
                canvas.text(WIDTH - MARGIN, y, ends[1][row], fill=QUIET, anchor="end")
            y += 15.0
    y += 10.0 if result.unit == "steps" else 24.0
    key = "hollow bar: the usual way"
    if any(item.treatment == CONTROL for item in result.effects):
        canvas.box(MARGIN, y - 9.0, 22.0, 9.0, fill=PAPER, stroke=BARK, stroke_width=1.0)
        canvas.text(MARGIN + 30.0, y, key, fill=QUIET)
        y += 12.0
    return canvas.render(y + 4.0, title, words)


def _numbers(result: QualityResult) -> str:
    with StringIO(newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(COLUMNS)
        for item in result.effects:
            t, against = item.typical, item.against
            three = () if against is None else (against.p05, against.p50, against.p95)
            table.writerow(
                (
                    item.treatment,
                    item.patches,
                    *(f"{value:.6g}" for value in (t.p05, t.p50, t.p95)),
                    *((f"{value:.6g}" for value in three) if three else ("", "", "")),
                    "" if item.chance_more is None else f"{item.chance_more:.4f}",
                    "grade" if result.unit == "steps" else result.unit,
                )
            )
        return out.getvalue()

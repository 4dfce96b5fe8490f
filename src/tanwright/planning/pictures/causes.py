"""What makes the range: which unknowns the width of the amount and of the finish comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tanwright.planning.answers import Answer, Cause
from tanwright.planning.pictures.axes import text_width, wrap
from tanwright.planning.pictures.canvas import WIDTH, Canvas
from tanwright.planning.pictures.palette import (
    BARK,
    LEATHER,
    PAPER,
    QUIET,
    RULE,
    TEXT_SIZE,
)
from tanwright.planning.pictures.timeline import MARGIN, head
from tanwright.planning.pictures.words import finish_words, per_cent, spread, window_short

if TYPE_CHECKING:
    from tanwright.planning.pictures.reader import Reader

NAME = "causes"
MOST_BARS = 5
LEAST_SHARE = 0.03
BAR_HEIGHT = 13.0


@dataclass(frozen=True)
class Panel:
    """One range with its causes, greatest first."""

    of: str
    heading: str
    range_words: str
    causes: tuple[Cause, ...]


def amount_words(answer: Answer, reader: Reader) -> str:
    """The amount whose range is explained: the first material's, else the tannin's."""
    unit = reader.mass_unit
    if answer.needs:
        need = answer.needs[0]
        amounts = (need.need_kg.p05, need.need_kg.p50, need.need_kg.p95)
        name = f", {need.name} ({need.state})" if need.state else f", {need.name}"
    else:
        tannin = answer.tannin_need_kg
        amounts, name = (tannin.p05, tannin.p50, tannin.p95), ", tannin"
    low, middle, high = (amount / reader.kg_per_mass for amount in amounts)
    return f"{spread(low, middle, high, unit)}{name}"


def telling(causes: tuple[Cause, ...]) -> tuple[Cause, ...]:
    """The greatest causes in order, the small ones put together as the last."""
    ranked = sorted(causes, key=lambda cause: (-cause.share, cause.name))
    shown = [cause for cause in ranked if cause.share >= LEAST_SHARE][:MOST_BARS]
    rest = sum(max(cause.share, 0.0) for cause in ranked if cause not in shown)
    if rest >= 0.005:
        shown.append(Cause("rest", "everything else", rest))
    return tuple(shown)


def panels(answer: Answer, reader: Reader) -> tuple[Panel, Panel]:
    """The two ranges that matter: how much, and when."""
    amount = answer.amount_causes or (answer.needs[0].causes if answer.needs else ())
    return (
        Panel("amount", "How much", amount_words(answer, reader), telling(amount)),
        Panel(
            "finish",
            "When it is leather",
            window_short(answer, answer.finish),
            telling(answer.finish_causes),
        ),
    )


def title(answer: Answer) -> str:
    """The headline: the one unknown that the amount hangs on most."""
    first = next(iter(telling(answer.amount_causes)), None)
    if first is None or first.name == "rest":
        return "What makes the range"
    return f"What makes the range: most of all, {first.label}"


def words(answer: Answer, reader: Reader) -> str:
    """Everything the picture shows, in sentences."""
    out = []
    for panel in panels(answer, reader):
        range_words = (
            finish_words(answer.finish) if panel.of == "finish" else (f"{panel.range_words}.")
        )
        out.append(f"{panel.heading}: {range_words}")
        if not panel.causes:
            out.append("Its causes were not worked out.")
            continue
        listed = ", ".join(f"{cause.label} {per_cent(cause.share)}" for cause in panel.causes)
        out.append(f"Shares of that spread: {listed}.")
        remedy = panel.causes[0].remedy
        if remedy:
            out.append(f"What would narrow it most: {remedy.rstrip('.')}.")
    return " ".join(out)


def _bars(canvas: Canvas, y: float, panel: Panel, paint: str) -> float:
    """One panel from ``y`` down; return the next free y."""
    canvas.text(MARGIN, y + 14, panel.heading, size=15.5, headline=True)
    y += 17
    for line in wrap(panel.range_words, WIDTH - 2 * MARGIN, TEXT_SIZE, 3):
        y += TEXT_SIZE * 1.3
        canvas.text(MARGIN, y, line, size=TEXT_SIZE, fill=QUIET)
    y += 8
    if not panel.causes:
        canvas.text(MARGIN, y + 14, "Its causes were not worked out.", fill=QUIET)
        return y + 24
    room = WIDTH - 2 * MARGIN - text_width("100 %", TEXT_SIZE) - 6
    for i, cause in enumerate(panel.causes):
        for line in wrap(cause.label, WIDTH - 2 * MARGIN, TEXT_SIZE, 2):
            y += TEXT_SIZE * 1.3
            canvas.text(MARGIN, y, line, size=TEXT_SIZE)
        y += 5
        wide = room * min(max(cause.share, 0.005), 1.0)
        fill = paint if cause.name != "rest" else RULE
        canvas.box(MARGIN, y, room, BAR_HEIGHT, fill=PAPER, stroke=RULE, stroke_width=0.8)
        canvas.box(MARGIN, y, wide, BAR_HEIGHT, fill=fill, stroke=BARK, stroke_width=0.8)
        canvas.text(
            WIDTH - MARGIN, y + 11.5, per_cent(cause.share), size=TEXT_SIZE, bold=True, anchor="end"
        )
        y += BAR_HEIGHT
        if i == 0 and cause.remedy:
            for line in wrap(f"To narrow it: {cause.remedy}", WIDTH - 2 * MARGIN - 14, 12.5, 3):
                y += 16
                canvas.text(MARGIN + 14, y, line, fill=QUIET)
        y += 5
    return y + 8


def draw(answer: Answer, reader: Reader) -> str:
    """The causes of an answer's ranges as SVG text."""
    canvas = Canvas(NAME)
    y = head(canvas, title(answer), "A full bar would be the whole spread of the answer.")
    hatched = canvas.hatch("finish", ground=LEATHER, stroke=BARK, gap=4, width=1.2, turn=-60)
    for panel, paint in zip(panels(answer, reader), (BARK, hatched), strict=True):
        canvas.line((MARGIN, y), (WIDTH - MARGIN, y), stroke=RULE)
        y = _bars(canvas, y + 6, panel, paint)
    return canvas.render(y, title(answer), words(answer, reader))

"""A quality over blends: a line with its band for two materials, a triangle for three."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from io import StringIO
from typing import TYPE_CHECKING

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.pictures.axes import Axis, nice_step, wrap
from tanwright.planning.pictures.canvas import WIDTH, Canvas, clean
from tanwright.planning.pictures.palette import (
    BARK,
    FAWN,
    GALL,
    INK,
    LICHEN,
    PAPER,
    QUIET,
    RULE,
    SMALL_SIZE,
    TEXT_SIZE,
)
from tanwright.planning.pictures.timeline import MARGIN, head
from tanwright.planning.pictures.writing import Picture
from tanwright.planning.trials.answer_words import figure, listed, start

if TYPE_CHECKING:
    from tanwright.planning.trials.blending import BlendAnswer, Surface

TINTS = ("#fffdf8", "#f6ead6", "#ead3ad", "#d9b482", "#c4955c")
"""From the lowest to the highest fifth of the range; all carry dark text."""
PLOT_HEIGHT = 190.0


def draw_mixture(found: BlendAnswer, surface: Surface, labels: Mapping[str, str]) -> Picture:
    """Picture of one quality over the blends of two or three materials.

    Raises
    ------
    InputError
        For four materials or more, which no flat picture shows.
    """
    names = [labels.get(material, material) for material in found.materials]
    name, title = f"mix-{surface.quality}", start(surface.name)
    words = _words(found, surface, names)
    if len(names) == 2:
        svg = _line(found, surface, names, name, title, words)
    elif len(names) == 3:
        svg = _triangle(found, surface, names, name, title, words)
    else:
        raise InputError(
            f"a blend of {len(names)} materials has no flat picture",
            remedy="read its table, or hold one material fixed",
        )
    return Picture(name, svg, title, clean(words), _numbers(found, surface, names))


def mix_words(shares: Mapping[str, float], labels: Mapping[str, str]) -> str:
    """``60 % oak bark and 40 % willow bark``, the largest share first, none under 1 %."""
    parts = sorted(shares.items(), key=lambda item: -item[1])
    told = [f"{100 * v:.0f} % {labels.get(m, m)}" for m, v in parts if v >= 0.01]
    return listed(told)


def _unit(surface: Surface) -> str:
    return f"grade 1 to {surface.steps}" if surface.unit == "steps" else f"in {surface.unit}"


def _words(found: BlendAnswer, surface: Surface, names: list[str]) -> str:
    high, low = int(np.argmax(surface.p50)), int(np.argmin(surface.p50))

    def at(row: int) -> str:
        mix = mix_words(dict(zip(names, found.shares[row].tolist(), strict=True)), {})
        three = (surface.p50[row], surface.p05[row], surface.p95[row])
        middle, least, most = (figure(float(v)) for v in three)
        return f"{middle} ({least} to {most}) with {mix}"

    text = f"{start(surface.name)} ({_unit(surface)}): highest about {at(high)}; lowest {at(low)}."
    if found.best is not None:
        share = dict(zip(names, found.best.shares.values(), strict=True))
        text += f" The blend to use is marked: {mix_words(share, {})}."
    if found.next is not None:
        share = dict(zip(names, found.next.shares.values(), strict=True))
        text += f" The next to try is marked too: {mix_words(share, {})}."
    return text


def _ring(canvas: Canvas, x: float, y: float, radius: float, stroke: str, width: float) -> None:
    points = [
        (x + radius * math.cos(a), y + radius * math.sin(a))
        for a in np.linspace(0.0, 2.0 * math.pi, 25)[:-1]
    ]
    canvas.area(points, fill="none", stroke=stroke, stroke_width=width)


def _key(canvas: Canvas, y: float, found: BlendAnswer) -> float:
    canvas.diamond(MARGIN + 8.0, y - 4.0, fill=GALL, edge=PAPER)
    canvas.text(MARGIN + 24.0, y, "tried, mean of what was seen", fill=QUIET)
    if found.best is not None:
        y += 18.0
        _ring(canvas, MARGIN + 8.0, y - 4.0, 6.5, INK, 3.0)
        canvas.text(MARGIN + 24.0, y, "the blend to use", fill=QUIET)
    if found.next is not None:
        y += 18.0
        _ring(canvas, MARGIN + 8.0, y - 4.0, 6.5, LICHEN, 1.4)
        _ring(canvas, MARGIN + 8.0, y - 4.0, 3.0, LICHEN, 1.4)
        canvas.text(MARGIN + 24.0, y, "the next to try", fill=QUIET)
    return y + 12.0


def _line(
    found: BlendAnswer, surface: Surface, names: list[str], name: str, title: str, words: str
) -> str:
    canvas = Canvas(name)
    y = head(canvas, title, f"{start(_unit(surface))}; the band holds 9 chances in 10.")
    share = found.shares[:, 0]
    order = np.argsort(share)
    if surface.unit == "steps":
        low, high, step = 1.0, float(surface.steps), 1.0
    else:
        values = [float(surface.p05.min()), float(surface.p95.max())]
        values += [seen for _, seen, _ in surface.tried]
        step = nice_step(max(max(values) - min(values), 1e-9) / 4.0)
        low, high = step * (min(values) // step), step * -(-max(values) // step)
    across = Axis(0.0, 1.0, MARGIN + 34.0, WIDTH - MARGIN - 8.0)
    up = Axis(low, high, y + PLOT_HEIGHT, y + 8.0)
    for k in range(round((high - low) / step) + 1):
        tick = low + k * step
        canvas.line((across.from_px, up.at(tick)), (across.to_px, up.at(tick)), stroke=RULE)
        canvas.text(across.from_px - 6.0, up.at(tick) + 4.0, figure(tick), anchor="end", fill=QUIET)
    x = [across.at(v) for v in share[order]]
    top = [(a, up.at(v)) for a, v in zip(x, surface.p95[order], strict=True)]
    under = [(a, up.at(v)) for a, v in zip(x, surface.p05[order], strict=True)]
    canvas.area([*top, *under[::-1]], fill=FAWN)
    middle = [(a, up.at(v)) for a, v in zip(x, surface.p50[order], strict=True)]
    canvas.curve(middle, stroke=BARK, stroke_width=2.4)
    for shares, seen, _ in surface.tried:
        canvas.diamond(across.at(shares[0]), up.at(seen), fill=GALL, edge=PAPER)
    for blend, paint, width in ((found.best, INK, 3.0), (found.next, LICHEN, 1.4)):
        if blend is not None:
            at = next(iter(blend.shares.values()))
            height = float(np.interp(at, share[order], surface.p50[order]))
            _ring(canvas, across.at(at), up.at(height), 6.5, paint, width)
            if paint == LICHEN:
                _ring(canvas, across.at(at), up.at(height), 3.0, paint, width)
    y += PLOT_HEIGHT + 16.0
    for value in (0.0, 0.25, 0.5, 0.75, 1.0):
        anchor = "end" if value == 1.0 else "middle"
        canvas.text(across.at(value), y, f"{100 * value:.0f} %", anchor=anchor, fill=QUIET)
    y += 18.0
    for line in wrap(f"share of {names[0]}; the rest is {names[1]}", WIDTH - 2 * MARGIN, TEXT_SIZE):
        canvas.text(MARGIN, y, line, size=TEXT_SIZE)
        y += 18.0
    return canvas.render(_key(canvas, y + 4.0, found), title, words)


def _triangle(
    found: BlendAnswer, surface: Surface, names: list[str], name: str, title: str, words: str
) -> str:
    canvas = Canvas(name)
    second = f"{start(_unit(surface))}. A corner is one material alone; the darker, the more."
    y = head(canvas, title, second) + 22.0
    side = WIDTH - 2 * MARGIN - 44.0
    left, height = MARGIN + 22.0, side * math.sqrt(3.0) / 2.0
    corners = ((left + side / 2.0, y), (left, y + height), (left + side, y + height))

    def spot(shares: tuple[float, ...] | np.ndarray) -> tuple[float, float]:
        return (
            sum(float(s) * c[0] for s, c in zip(shares, corners, strict=True)),
            sum(float(s) * c[1] for s, c in zip(shares, corners, strict=True)),
        )

    low = float(surface.p50.min())
    doubt = float(np.median(surface.p95 - surface.p05))
    span = max(float(np.ptp(surface.p50)), 0.5 * doubt, 1e-9)
    digits = 0 if span >= 20 else 1 if span >= 1 else 2
    parts = _parts(found)
    cell = side / parts / math.sqrt(3.0) * 1.03
    for shares, value in zip(found.shares, surface.p50, strict=True):
        x, down = spot(shares)
        tint = TINTS[min(int(5.0 * (float(value) - low) / span), 4)]
        hexagon = [
            (x + cell * math.sin(a), down + cell * math.cos(a))
            for a in np.arange(6) * math.pi / 3.0
        ]
        canvas.area(hexagon, fill=tint)
    canvas.area(corners, fill="none", stroke=BARK, stroke_width=1.2)
    for shares, value in zip(found.shares, surface.p50, strict=True):
        if np.all(np.abs(shares * 5.0 - np.round(shares * 5.0)) < 1e-6):
            x, down = spot(shares)
            canvas.text(x, down + 4.0, f"{value:.{digits}f}", anchor="middle", halo=PAPER)
    for shares, _, _ in surface.tried:
        x, down = spot(shares)
        canvas.diamond(x, down - 13.0 if max(shares) < 0.99 else down + 12.0, fill=GALL, edge=PAPER)
    for blend, paint, width in ((found.best, INK, 3.0), (found.next, LICHEN, 1.6)):
        if blend is not None:
            x, down = spot(tuple(blend.shares.values()))
            _ring(canvas, x, down, 13.0, paint, width)
            if paint == LICHEN:
                _ring(canvas, x, down, 10.0, paint, width)
    canvas.text(corners[0][0], corners[0][1] - 16.0, f"all {names[0]}", anchor="middle", bold=True)
    y += height + 34.0
    room = (WIDTH - 2 * MARGIN) / 2.0 - 6.0
    canvas.text(MARGIN, y, wrap(f"all {names[1]}", room, SMALL_SIZE, 1)[0], bold=True)
    text = wrap(f"all {names[2]}", room, SMALL_SIZE, 1)[0]
    canvas.text(WIDTH - MARGIN, y, text, bold=True, anchor="end")
    return canvas.render(_key(canvas, y + 24.0, found), title, words)


def _parts(found: BlendAnswer) -> int:
    steps = np.unique(np.round(found.shares[:, 0], 9))
    return round(1.0 / float(np.diff(steps).min())) if steps.size > 1 else 1


def _numbers(found: BlendAnswer, surface: Surface, names: list[str]) -> str:
    with StringIO(newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow((*names, "p05", "p50", "p95", "unit", "kind"))
        unit = "grade" if surface.unit == "steps" else surface.unit
        rows = zip(found.shares, surface.p05, surface.p50, surface.p95, strict=True)
        for shares, low, middle, high in rows:
            figures = [f"{v:.6g}" for v in (low, middle, high)]
            table.writerow((*(f"{s:.4g}" for s in shares), *figures, unit, "surface"))
        for shares, seen, patches in surface.tried:
            cells = ["", f"{seen:.6g}", ""]
            table.writerow((*(f"{s:.4g}" for s in shares), *cells, unit, f"tried {patches}"))
        return out.getvalue()

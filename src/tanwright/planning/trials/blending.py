"""Which mix: the surface of each quality over the shares, the blend to use, the next to try.

The surface stands in the same model as every other analysis (blocks, jars, patches, graders), its
coefficients drawn together like treatments, so that a few patches draw no steep hill.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.answers import Range
from tanwright.planning.sheet_fields import did_you_mean
from tanwright.planning.trials.board import board, looks_of, measured, rows_of
from tanwright.planning.trials.records import Seen
from tanwright.reference.grading import (
    GradingMeasure,
    GradingScale,
    grading_measure,
    grading_measures,
    grading_scale,
    grading_scales,
)
from tanwright.science.trials import blends
from tanwright.science.trials.blends import Wish
from tanwright.science.trials.comparison import compare_grades, compare_measures
from tanwright.science.trials.ordinal import mean_grade
from tanwright.science.values import Floats

PARTS = {2: 20, 3: 20, 4: 10, 5: 8, 6: 6}
"""Fineness of the blends that are looked at, by the number of materials."""
DRAWS = 2000
TRIED_OFTEN = 3
"""Patches from which a blend need not be tried again."""
SAME = 0.1
"""A share that differs by no more than this is the same blend in the kitchen."""


@dataclass(frozen=True)
class Wanted:
    """What is wanted of one quality: at least, at most, or about a grade (or figure)."""

    quality: str
    wish: Wish
    words: str


@dataclass(frozen=True)
class Limits:
    """Least and greatest share of a material, by its id."""

    lowest: Mapping[str, float] = field(default_factory=dict)
    highest: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Surface:
    """One quality over m blends: 5, 50 and 95 per cent of what an average patch would show.

    ``tried`` holds the mean of what was seen at each blend that was tried, beside its shares.
    """

    quality: str
    name: str
    unit: str
    steps: int
    p05: Floats
    p50: Floats
    p95: Floats
    tried: tuple[tuple[tuple[float, ...], float, int], ...]


@dataclass(frozen=True)
class Blend:
    """A mix by the share of each material, with what is expected of it."""

    shares: Mapping[str, float]
    desirability: Range
    expected: Mapping[str, Range]


@dataclass(frozen=True)
class BlendAnswer:
    """The surfaces, the recommended blend, and the next trial.

    Attributes
    ----------
    materials:
        Ids, in the order of the columns of ``shares`` (m, q).
    degree:
        Of the Scheffe polynomial.
    chance_best:
        Chance that a blend within a tenth of the recommended one is the best of all.
    next:
        ``None`` when another jar promises less than it costs.
    desired:
        Expected desirability of every blend (m,); all zero when nothing is wanted.
    """

    materials: tuple[str, ...]
    shares: Floats
    degree: str
    surfaces: tuple[Surface, ...]
    wanted: tuple[Wanted, ...]
    best: Blend | None
    chance_best: float
    next: Blend | None
    gain: float
    desired: Floats


def wanted_of(quality: str, word: str) -> Wanted:
    """What is wanted in a word: ``"more"``, ``"less"`` or a step or figure to hit.

    Raises
    ------
    InputError
        For an unknown quality or a word that is none of these.
    """
    scale = _scale_or_measure(quality)
    low, high = (
        (1.0, float(scale.steps)) if isinstance(scale, GradingScale) else (scale.low, scale.high)
    )
    text = word.strip().lower()
    if text == "more":
        return Wanted(scale.id, Wish(low, high), scale.more)
    if text == "less":
        return Wanted(scale.id, Wish(high, low), scale.less)
    try:
        target = float(text.replace(",", "."))
    except ValueError:
        target = float("nan")
    if not low <= target <= high:
        raise InputError(
            f'"{word}" cannot be wanted of {scale.name}',
            remedy=f"write more, less, or a figure from {low:g} to {high:g}",
        )
    reach = (high - low) / 2.0
    words = (
        scale.anchors[round(target) - 1]
        if isinstance(scale, GradingScale)
        else f"about {target:g} {scale.unit}"
    )
    return Wanted(scale.id, Wish(target - reach, target, target + reach), words)


def _scale_or_measure(name: str) -> GradingScale | GradingMeasure:
    try:
        return grading_scale(name)
    except InputError:
        pass
    try:
        return grading_measure(name)
    except InputError:
        known = [scale.id for scale in grading_scales()]
        known += [measure.id for measure in grading_measures()]
        raise InputError(
            f'no quality or measure is called "{name}"', remedy=did_you_mean(name, known)
        ) from None


def blend(
    seen: Seen,
    wanted: Sequence[Wanted] = (),
    *,
    limits: Limits | None = None,
    seed: int = 0,
) -> BlendAnswer:
    """Surfaces of all graded qualities over the blends of a trial, and what to mix.

    Parameters
    ----------
    seen:
        A trial whose treatments have shares of two to six materials between them.
    wanted:
        What the leather should be; empty for the surfaces alone.
    limits:
        Shares that the stock allows.
    seed:
        Of the draws.

    Raises
    ------
    InputError
        When the treatments are no blends, too few, or nothing was seen of what is wanted.
    """
    mixed = [item for item in seen.treatments if item.shares]
    lie = board(seen, [item.key for item in mixed])
    by_key = {item.key: item for item in mixed}
    materials = tuple(dict.fromkeys(m for key in lie.treatments for m in by_key[key].shares))
    if len(materials) < 2:
        raise InputError(
            "the treatments hold one material only, so there is nothing to blend",
            remedy="try two materials and a half-and-half mix",
        )
    share_of = np.array(
        [[by_key[key].shares.get(m, 0.0) for m in materials] for key in lie.treatments]
    )
    degree = _degree(share_of)
    products = blends.terms(len(materials), degree)
    single = [one for one in products if len(one) == 1]
    crossed = tuple(one for one in products if len(one) > 1)
    centre = 1.0 / len(materials)

    def columns(shares: Floats) -> tuple[Floats, Floats | None]:
        line = shares[:, [one[0] for one in single]] - centre
        return line, blends.expand(shares, crossed) if crossed else None

    patches = share_of[lie.treatment]
    line, blending = columns(patches)
    grid = blends.lattice(len(materials), PARTS[len(materials)])
    grid = blends.within_limits(grid, *_bounds(limits or Limits(), materials))
    on_grid = np.hstack([part for part in columns(grid) if part is not None])

    draws: dict[str, Floats] = {}
    surfaces: list[Surface] = []
    laid = lie.laid(line, blending)
    for scale in grading_scales():
        looks, _ = looks_of(scale, seen.grades, lie)
        if looks is None:
            continue
        found = compare_grades(
            laid, looks, rows_of(scale, seen.rankings, lie), seed=seed, draws=DRAWS
        )
        eta = (found.surface @ on_grid.T) * found.step[:, None]
        values = mean_grade((found.level * found.step[:, None])[:, None, :], eta)
        seen_here = [
            (tuple(share_of[t].tolist()), float(looks.grade[rows].mean()), int(rows.sum()))
            for t in range(len(lie.treatments))
            if (rows := lie.treatment[looks.patch] == t).any()
        ]
        draws[scale.id] = values
        surfaces.append(_surface(scale.id, scale.name, "steps", scale.steps, values, seen_here))
    for name in dict.fromkeys(grading_measure(m.name).id for m in seen.measures):
        measure = grading_measure(name)
        if measure.when != "after":
            continue
        own = measured(measure, seen.measures, lie)
        if len(own) < 3:
            continue
        at = np.array([lie.number[m.code] for m in own])
        figures = np.array([m.value for m in own])
        try:
            found = compare_measures(laid, at, figures, seed=seed, draws=DRAWS)
        except InputError:
            continue
        values = found.level + found.surface @ on_grid.T
        seen_here = [
            (tuple(share_of[t].tolist()), float(figures[rows].mean()), int(rows.sum()))
            for t in range(len(lie.treatments))
            if (rows := lie.treatment[at] == t).any()
        ]
        draws[name] = values
        surfaces.append(_surface(name, measure.name, measure.unit, 0, values, seen_here))
    if not surfaces:
        raise InputError("nothing was graded or measured on the blends")
    return _chosen(materials, grid, degree, surfaces, draws, wanted, share_of[lie.treatment])


def _degree(share_of: Floats) -> blends.Degree:
    """The most curved surface that the different blends can carry."""
    known = np.unique(np.round(share_of, 9), axis=0)
    for degree in ("special cubic", "quadratic"):
        products = blends.terms(share_of.shape[1], degree)
        if degree == "special cubic" and share_of.shape[1] != 3:
            continue
        if np.linalg.matrix_rank(blends.expand(known, products)) == len(products):
            return degree
    if np.linalg.matrix_rank(known) < share_of.shape[1]:
        raise InputError(
            "too few different blends to draw a surface",
            remedy=f"try each of the {share_of.shape[1]} materials alone and one mix at least",
        )
    return "linear"


def _bounds(limits: Limits, materials: Sequence[str]) -> tuple[Floats, Floats]:
    for name in (*limits.lowest, *limits.highest):
        if name not in materials:
            raise InputError(
                f'no material of this trial is called "{name}"',
                remedy="write one of " + ", ".join(materials),
            )
    return (
        np.array([limits.lowest.get(m, 0.0) for m in materials]),
        np.array([limits.highest.get(m, 1.0) for m in materials]),
    )


def _surface(
    quality: str,
    name: str,
    unit: str,
    steps: int,
    values: Floats,
    tried: list[tuple[tuple[float, ...], float, int]],
) -> Surface:
    low, middle, high = np.percentile(values, (5.0, 50.0, 95.0), axis=0)
    return Surface(quality, name, unit, steps, low, middle, high, tuple(tried))


def _chosen(
    materials: tuple[str, ...],
    grid: Floats,
    degree: str,
    surfaces: list[Surface],
    draws: Mapping[str, Floats],
    wanted: Sequence[Wanted],
    patches: Floats,
) -> BlendAnswer:
    parts = []
    for want in wanted:
        if want.quality not in draws:
            raise InputError(
                f"nothing was seen of {want.quality}",
                remedy="grade it, or leave it out of what is wanted",
            )
        parts.append(
            blends.desirability(draws[want.quality], _reachable(want, draws[want.quality]))
        )
    if not parts:
        nothing = np.zeros(grid.shape[0])
        return BlendAnswer(
            materials, grid, degree, tuple(surfaces), (), None, 0.0, None, 0.0, nothing
        )
    desired = blends.overall(parts)
    apart = np.abs(grid[:, None, :] - patches[None, :, :]).max(axis=2)
    tried = (apart <= SAME + 1e-9).sum(axis=1) >= TRIED_OFTEN
    choice = blends.choose(desired, tried)
    near = np.abs(grid - grid[choice.best]).max(axis=1) <= SAME + 1e-9

    def told(row: int) -> Blend:
        return Blend(
            shares=dict(zip(materials, (float(v) for v in grid[row]), strict=True)),
            desirability=Range(
                float(choice.low[row]), float(np.median(desired[:, row])), float(choice.high[row])
            ),
            expected={
                item.quality: Range(
                    float(item.p05[row]), float(item.p50[row]), float(item.p95[row])
                )
                for item in surfaces
            },
        )

    return BlendAnswer(
        materials=materials,
        shares=grid,
        degree=degree,
        surfaces=tuple(surfaces),
        wanted=tuple(wanted),
        best=told(choice.best),
        chance_best=float(choice.chance_best[near].sum()),
        next=None if choice.next is None else told(choice.next),
        gain=0.0 if choice.next is None else float(choice.gain[choice.next]),
        desired=choice.expected,
    )


def _reachable(want: Wanted, values: Floats) -> Wish:
    """For a measure, more and less run over what the surface reaches, not over all that can be."""
    try:
        grading_scale(want.quality)
    except InputError:
        low, high = (float(v) for v in np.percentile(values, (1.0, 99.0)))
        if want.wish.beyond is not None:
            reach = max(high - low, 1e-9)
            return Wish(want.wish.best - reach, want.wish.best, want.wish.best + reach)
        return Wish(low, high) if want.wish.best > want.wish.worst else Wish(high, low)
    return want.wish

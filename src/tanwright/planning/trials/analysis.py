"""What a trial says of each quality: every treatment against the usual way, with its doubt.

Grades and rows of pieces of one quality are taken together; a measured figure is a quality of its
own.  The model and its limits are in docs/method/trial-analysis.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
from scipy.special import expit

from tanwright.errors import InputError
from tanwright.planning.answers import Range
from tanwright.planning.trials.board import (
    Board,
    agreement_of,
    board,
    looks_of,
    measured,
    rows_of,
)
from tanwright.planning.trials.records import CONTROL, Seen
from tanwright.reference.grading import (
    GradingMeasure,
    GradingScale,
    grading_measure,
    grading_measures,
    grading_scale,
    grading_scales,
)
from tanwright.science.trials.comparison import (
    Compared,
    compare_grades,
    compare_measures,
)
from tanwright.science.trials.effects import FEW_POINTS
from tanwright.science.trials.ordinal import mean_grade
from tanwright.science.values import Floats

Kind = Literal["grades", "rows", "grades and rows", "measure"]
Verdict = Literal["apart", "leaning", "alike", "unsure"]
Better = Literal["more", "less", "by-use"]

APART = 0.90
"""Chance from which a difference is told."""
LEANING = 0.75
ALIKE_STEPS = 0.5
"""Two treatments are alike when nine times in ten they lie within half a step.

For rows alone it is half a log-odds: of two pieces the one lies ahead 38 to 62 times in 100.
"""
ALIKE_SHARE = 0.05
"""The same for a measure: within a twentieth of its mean."""


@dataclass(frozen=True)
class Effect:
    """One treatment on one quality.

    ``typical`` is the grade (or figure, or chance to lie ahead of an average piece) of an average
    patch; ``against`` the difference to the control in steps or in the unit, ``None`` for the
    control itself and without one; ``chance_more`` the chance that it lies above the control.
    """

    treatment: str
    label: str
    patches: int
    typical: Range
    against: Range | None
    chance_more: float | None


@dataclass(frozen=True)
class Pair:
    """Two treatments, the likelier upper one first, with the chance that it truly lies above."""

    upper: str
    lower: str
    difference: Range
    chance: float
    verdict: Verdict


@dataclass(frozen=True)
class Severity:
    """How a grader grades against the others, in steps: below zero is strict."""

    grader: str
    steps: Range
    looks: int


@dataclass(frozen=True)
class QualityResult:
    """All that is told of one quality.

    Attributes
    ----------
    id, name, more, less, better:
        As in the reference; ``better`` is overruled by what is wanted of the leather.
    kind:
        What it rests on.
    unit:
        ``"steps"``, the measure's unit, or ``"chance"`` for rows alone.
    agreement:
        Kendall's W of the graders, ``None`` for fewer than two; ``agreement_of`` pieces.
    spreads:
        Median spread of each group of effects, in the unit.
    sure:
        False when the reckoning did not settle or hangs on too few points.
    """

    id: str
    name: str
    more: str
    less: str
    better: str
    kind: Kind
    unit: str
    steps: int
    anchors: tuple[str, ...]
    effects: tuple[Effect, ...]
    pairs: tuple[Pair, ...]
    graders: tuple[Severity, ...]
    agreement: float | None
    agreement_of: int
    spreads: Mapping[str, float]
    seen: int
    sure: bool


@dataclass(frozen=True)
class Telling:
    """How many differences were looked at and told, and how many of those are likely wrong."""

    looked_at: int
    told: int
    likely_wrong: float


@dataclass(frozen=True)
class TrialAnalysis:
    """The whole trial; ``left_out`` names what could not be analysed and why."""

    labels: Mapping[str, str]
    qualities: tuple[QualityResult, ...]
    telling: Telling
    left_out: Mapping[str, str]


def analyse(
    seen: Seen, *, wanted: Mapping[str, Better] | None = None, seed: int = 0
) -> TrialAnalysis:
    """Analyse every quality that was graded, laid in rows or measured.

    Parameters
    ----------
    seen:
        The trial.
    wanted:
        Quality to the end that is wanted (``"more"`` or ``"less"``), where the leather decides.
    seed:
        Of the draws; the same seed gives the same answer.

    Raises
    ------
    InputError
        For an unknown quality or measure, a grade that is no step, or nothing to compare.
    """
    lie = board(seen)
    wanted = wanted or {}
    results: list[QualityResult] = []
    left_out: dict[str, str] = {}
    for scale in _graded(seen):
        try:
            results.append(_of_quality(scale, seen, lie, wanted.get(scale.id), seed))
        except InputError as trouble:
            left_out[scale.name] = str(trouble)
    for measure in _measured(seen):
        try:
            results.append(_of_measure(measure, seen, lie, wanted.get(measure.id), seed))
        except InputError as trouble:
            left_out[measure.name] = str(trouble)
    pairs = [pair for result in results for pair in result.pairs]
    told = [pair for pair in pairs if pair.verdict == "apart"]
    telling = Telling(len(pairs), len(told), sum(1.0 - pair.chance for pair in told))
    return TrialAnalysis(lie.labels, tuple(results), telling, left_out)


def _graded(seen: Seen) -> list[GradingScale]:
    found = {grading_scale(grade.quality).id for grade in seen.grades}
    found |= {grading_scale(row.quality).id for row in seen.rankings}
    return [scale for scale in grading_scales() if scale.id in found]


def _measured(seen: Seen) -> list[GradingMeasure]:
    found = {grading_measure(item.name).id for item in seen.measures}
    return [item for item in grading_measures() if item.id in found and item.when == "after"]


def _of_quality(
    scale: GradingScale, seen: Seen, lie: Board, wanted: Better | None, seed: int
) -> QualityResult:
    looks, graders = looks_of(scale, seen.grades, lie)
    rows = rows_of(scale, seen.rankings, lie)
    found = compare_grades(lie.laid(), looks, rows, seed=seed)
    pairs = tuple(_pairs(found.treatment, lie.treatments, ALIKE_STEPS))
    if looks is not None:
        typical = mean_grade(
            (found.level * found.step[:, None])[:, None, :], found.treatment * found.step[:, None]
        )
    else:
        typical = expit(found.treatment - found.treatment.mean(axis=1, keepdims=True))
    severity = tuple(
        Severity(
            name,
            _range(found.grader[:, g] - found.grader.mean(axis=1)),
            int((looks.grader == g).sum()) if looks is not None else 0,
        )
        for g, name in enumerate(graders)
        if found.grader.shape[1]
    )
    w, pieces = agreement_of(looks, graders, rows, len(lie.patches))
    kind: Kind = "rows" if looks is None else "grades and rows" if rows else "grades"
    return QualityResult(
        id=scale.id,
        name=scale.name,
        more=scale.more,
        less=scale.less,
        better=wanted or scale.better,
        kind=kind,
        unit="chance" if looks is None else "steps",
        steps=scale.steps,
        anchors=scale.anchors,
        effects=_effects(found.treatment, typical, lie),
        pairs=pairs,
        graders=severity,
        agreement=w,
        agreement_of=pieces,
        spreads={name: float(np.median(values)) for name, values in found.spreads.items()},
        seen=(looks.grade.size if looks is not None else 0) + len(rows),
        sure=_sure(found),
    )


def _of_measure(
    measure: GradingMeasure, seen: Seen, lie: Board, wanted: Better | None, seed: int
) -> QualityResult:
    own = measured(measure, seen.measures, lie)
    patch = np.array([lie.number[m.code] for m in own], dtype=np.int64)
    value = np.array([m.value for m in own])
    found = compare_measures(lie.laid(), patch, value, seed=seed)
    alike = ALIKE_SHARE * abs(float(value.mean()))
    return QualityResult(
        id=measure.id,
        name=measure.name,
        more=measure.more,
        less=measure.less,
        better=wanted or measure.better,
        kind="measure",
        unit=measure.unit,
        steps=0,
        anchors=(),
        effects=_effects(found.treatment, found.level + found.treatment, lie),
        pairs=tuple(_pairs(found.treatment, lie.treatments, alike)),
        graders=(),
        agreement=None,
        agreement_of=0,
        spreads={name: float(np.median(values)) for name, values in found.spreads.items()},
        seen=value.size,
        sure=_sure(found),
    )


def _sure(found: Compared) -> bool:
    return found.settled and found.points >= FEW_POINTS


def _range(values: Floats) -> Range:
    low, middle, high = (float(v) for v in np.percentile(values, (5.0, 50.0, 95.0)))
    return Range(low, middle, high)


def _effects(values: Floats, typical: Floats, lie: Board) -> tuple[Effect, ...]:
    control = lie.treatments.index(CONTROL) if CONTROL in lie.treatments else None
    out = []
    for t, key in enumerate(lie.treatments):
        against = None if control in (None, t) else values[:, t] - values[:, control]
        out.append(
            Effect(
                treatment=key,
                label=lie.labels[key],
                patches=int((lie.treatment == t).sum()),
                typical=_range(typical[:, t]),
                against=None if against is None else _range(against),
                chance_more=None if against is None else float((against > 0.0).mean()),
            )
        )
    return tuple(out)


def _pairs(values: Floats, keys: Sequence[str], alike: float) -> Iterable[Pair]:
    for a, b in combinations(range(len(keys)), 2):
        apart = values[:, a] - values[:, b]
        chance = float((apart > 0.0).mean())
        upper, lower = keys[a], keys[b]
        if chance < 0.5:
            upper, lower, apart, chance = lower, upper, -apart, 1.0 - chance
        verdict: Verdict = "unsure"
        if chance >= APART:
            verdict = "apart"
        elif float((np.abs(apart) < alike).mean()) >= APART:
            verdict = "alike"
        elif chance >= LEANING:
            verdict = "leaning"
        yield Pair(upper, lower, _range(apart), chance, verdict)

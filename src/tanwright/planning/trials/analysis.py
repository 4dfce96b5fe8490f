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
from tanwright.planning.trials.records import CONTROL, Grade, Measure, Patch, Ranking, Seen
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
    Ints,
    Laid,
    Looks,
    compare_grades,
    compare_measures,
)
from tanwright.science.trials.ordinal import mean_grade
from tanwright.science.trials.ranks import Row, agreement, mid_ranks
from tanwright.science.values import Floats

Kind = Literal["grades", "rows", "grades and rows", "measure"]
Verdict = Literal["apart", "leaning", "alike", "unsure"]
Better = Literal["more", "less", "by-use"]

APART = 0.90
"""Chance from which a difference is told."""
LEANING = 0.75
ALIKE_STEPS = 0.5
"""Two treatments are alike when nine times in ten they lie within half a step."""
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


@dataclass(frozen=True)
class Board:
    """Patches of a trial as numbers: what every analysis starts from."""

    patches: tuple[Patch, ...]
    treatments: tuple[str, ...]
    labels: Mapping[str, str]
    number: Mapping[str, int]
    treatment: Ints
    block: Ints
    jar: Ints

    def laid(self, line: Floats | None = None, blending: Floats | None = None) -> Laid:
        """The lie of the patches for the science floor."""
        return Laid(self.treatment, len(self.treatments), self.block, self.jar, line, blending)


def board(seen: Seen, only: Iterable[str] | None = None) -> Board:
    """Number patches, treatments, blocks and jars; patches without a treatment are left out.

    Raises
    ------
    InputError
        When fewer than two treatments have a patch.
    """
    wanted = None if only is None else set(only)
    patches = tuple(
        patch
        for patch in seen.patches
        if patch.treatment and (wanted is None or patch.treatment in wanted)
    )
    have = {patch.treatment for patch in patches}
    treatments = tuple(item.key for item in seen.treatments if item.key in have)
    if len(treatments) < 2:
        raise InputError(
            "fewer than two treatments have a patch, so there is nothing to compare",
            remedy="name the treatment of each patch",
        )
    return Board(
        patches=patches,
        treatments=treatments,
        labels={item.key: item.label for item in seen.treatments},
        number={patch.code: i for i, patch in enumerate(patches)},
        treatment=np.array([treatments.index(patch.treatment) for patch in patches]),
        block=_numbered([patch.block for patch in patches]),
        jar=_numbered([patch.jar or f"of {patch.treatment}" for patch in patches]),
    )


def _numbered(names: Sequence[str]) -> Ints:
    known = {name: i for i, name in enumerate(dict.fromkeys(names))}
    return np.array([known[name] for name in names], dtype=np.int64)


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


def looks_of(
    scale: GradingScale, grades: Iterable[Grade], lie: Board
) -> tuple[Looks | None, list[str]]:
    """Grades of one quality as numbers, and the names of the graders."""
    own = [g for g in grades if grading_scale(g.quality).id == scale.id and g.code in lie.number]
    graders = list(dict.fromkeys(g.grader for g in own))
    if not own:
        return None, graders
    return (
        Looks(
            patch=np.array([lie.number[g.code] for g in own]),
            grader=np.array([graders.index(g.grader) for g in own]),
            grade=np.array([scale.checked(g.grade, place=f"grade of {g.code}") for g in own]),
            steps=scale.steps,
        ),
        graders,
    )


def rows_of(scale: GradingScale, rankings: Iterable[Ranking], lie: Board) -> list[Row]:
    """Rows of one quality as heaps of patch numbers, the upper end of the scale first."""
    rows: list[Row] = []
    for ranking in rankings:
        if grading_scale(ranking.quality).id != scale.id:
            continue
        heaps = [[lie.number[c] for c in heap if c in lie.number] for heap in ranking.order]
        heaps = [heap for heap in heaps if heap]
        if len(heaps) > 1:
            rows.append(heaps)
    return rows


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
    w, pieces = _agreement(looks, graders, rows, len(lie.patches))
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


def measured(measure: GradingMeasure, measures: Iterable[Measure], lie: Board) -> list[Measure]:
    """Readings of one measure on known patches, checked for unit and size."""
    own = []
    for reading in measures:
        if grading_measure(reading.name).id != measure.id or reading.code not in lie.number:
            continue
        if reading.unit and reading.unit.replace("degC", "°C") != measure.unit:
            raise InputError(
                f"{measure.name} of patch {reading.code} is in {reading.unit}",
                remedy=f"write it in {measure.unit}",
            )
        measure.checked(reading.value, place=f"patch {reading.code}")
        own.append(reading)
    return own


def _sure(found: Compared) -> bool:
    from tanwright.science.trials.effects import FEW_POINTS

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


def _agreement(
    looks: Looks | None, graders: Sequence[str], rows: Sequence[Row], count: int
) -> tuple[float | None, int]:
    """Kendall's W over the pieces that all saw: from rows when there are two, else from grades."""
    if len(rows) >= 2:
        places = np.stack([mid_ranks(row, count) for row in rows])
    elif looks is not None and len(graders) >= 2:
        places = np.full((len(graders), count), np.nan)
        places[looks.grader, looks.patch] = -looks.grade
    else:
        return None, 0
    places = places[:, ~np.isnan(places).any(axis=0)]
    if places.shape[1] < 2:
        return None, 0
    from scipy.stats import rankdata

    ranked = np.stack([rankdata(row) for row in places])
    w = agreement(ranked)
    return (None if np.isnan(w) else w), places.shape[1]

"""Patches, grades, rows and figures of a trial as numbers: what every analysis starts from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import rankdata

from tanwright.errors import InputError
from tanwright.planning.trials.records import Grade, Measure, Patch, Ranking, Seen
from tanwright.reference.grading import (
    GradingMeasure,
    GradingScale,
    grading_measure,
    grading_scale,
)
from tanwright.science.trials.comparison import Ints, Laid, Looks
from tanwright.science.trials.ranks import Row, agreement, mid_ranks
from tanwright.science.values import Floats


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


def agreement_of(
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
    ranked = np.stack([rankdata(row) for row in places])
    w = agreement(ranked)
    return (None if np.isnan(w) else w), places.shape[1]

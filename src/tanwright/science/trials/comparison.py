"""From the lie of the patches and what was seen on them to the effect of each treatment.

One model holds all: treatment + block + jar + patch (+ grader, for grades).  Prior medians and
spreads below are from memory: a treatment usually moves a grade by half a step, seldom by three.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tanwright.errors import InputError
from tanwright.science.trials.effects import Fit, Group, Likelihood, Model, Scale, Together, fit
from tanwright.science.trials.ordinal import (
    STEP,
    Grades,
    Measures,
    Seat,
    step_width,
    threshold_prior,
)
from tanwright.science.trials.ranks import Row, Rows
from tanwright.science.values import Floats

Ints = NDArray[np.int64]

LOG_SD = 0.8
TYPICAL_STEPS = {
    "treatment": 0.6,
    "line": 0.8,
    "blending": 0.8,
    "lack": 0.15,
    "block": 0.4,
    "jar": 0.2,
    "patch": 0.4,
    "grader": 0.4,
}
"""Median spread of each group, in steps of a scale (from memory). A measure takes its own spread
over all patches for a step; rows alone take the usual width of a step, as rows beside grades do."""
SHARPNESS = Scale("sharpness", 1.0, 0.5)
LEVEL_SD = 10.0


@dataclass(frozen=True)
class Laid:
    """Where each of P patches was.

    Attributes
    ----------
    treatment, block, jar:
        Numbers from 0 (P,).
    treatments:
        How many treatments there are.
    line, blending:
        For blends: terms of the mixture (P, q) and of its crossings (P, r); else ``None``. The
        treatment's own effect is then what the surface lacks.
    """

    treatment: Ints
    treatments: int
    block: Ints
    jar: Ints
    line: Floats | None = None
    blending: Floats | None = None


@dataclass(frozen=True)
class Looks:
    """Grades of n looks: which patch, which grader, which step (n,)."""

    patch: Ints
    grader: Ints
    grade: Ints
    steps: int


@dataclass(frozen=True)
class Compared:
    """Draws of the effects (d draws) and how sure their reckoning was.

    Attributes
    ----------
    treatment:
        Effect of each treatment (d, t) in ``step``s: steps of the scale for grades, the measure's
        unit for measures, log-odds for rows alone.
    surface:
        Coefficients of line and blending terms (d, q + r), in the same unit; empty without blends.
    grader:
        Severity of each grader (d, g), low is strict; empty without graders.
    level:
        What an average patch gets: thresholds in steps (d, k), or the mean of a measure (d, 1).
    step:
        Width of a step in units of the noise of one grade (d,), or the noise of one measurement.
    spreads:
        Draws of the spread of each group, in steps, by its name.
    points, settled:
        See :class:`~.effects.Fit`.
    """

    treatment: Floats
    surface: Floats
    grader: Floats
    level: Floats
    step: Floats
    spreads: dict[str, Floats]
    points: float
    settled: bool


class _Columns:
    """Effects laid side by side as they are asked for."""

    def __init__(self, start: int) -> None:
        self.width = start
        self.groups: list[Group] = []
        self.blocks: list[Floats] = []
        self.at: dict[str, slice] = {}

    def add(self, name: str, design: Floats, unit: float) -> None:
        """A group of effects with the design (P, m); nothing when there is nothing to tell."""
        if not design.shape[1]:
            return
        end = self.width + design.shape[1]
        sd = Scale(name, TYPICAL_STEPS[name] * unit, LOG_SD)
        self.groups.append(Group(self.width, end, sd))
        self.blocks.append(design)
        self.at[name] = slice(self.width, end)
        self.width = end


def _one_of(which: Ints, count: int) -> Floats:
    return np.eye(count)[which]


def _lay(laid: Laid, start: int, unit: float) -> _Columns:
    columns = _Columns(start)
    if laid.line is not None:
        columns.add("line", laid.line, unit)
        if laid.blending is not None:
            columns.add("blending", laid.blending, unit)
        columns.add("lack", _one_of(laid.treatment, laid.treatments), unit)
    else:
        columns.add("treatment", _one_of(laid.treatment, laid.treatments), unit)
    for name, which in (("block", laid.block), ("jar", laid.jar)):
        count = int(which.max()) + 1 if which.size else 0
        if count > 1:
            columns.add(name, _one_of(which, count), unit)
    return columns


def compare_grades(
    laid: Laid,
    looks: Looks | None,
    rows: Sequence[Row] = (),
    *,
    seed: int = 0,
    draws: int = 4000,
) -> Compared:
    """Effects of treatments on one quality, from grades, from rows of pieces, or from both.

    ``rows`` hold patch numbers, best (the scale's upper end) first. Grades and rows must speak of
    the same quality: a piece's worth is then its place on the scale.

    Raises
    ------
    InputError
        When nothing was seen.
    """
    seen = np.zeros(laid.treatment.size, dtype=int)
    if looks is not None and looks.grade.size:
        np.add.at(seen, looks.patch, 1)
    else:
        looks = None
    for row in rows:
        for heap in row:
            seen[list(heap)] += 1
    if not seen.any():
        raise InputError("nothing was seen of this quality")
    cuts = looks.steps - 1 if looks is not None else 0
    columns = _lay(laid, cuts, STEP)
    design = np.hstack(columns.blocks)
    patches = laid.treatment.size if bool((seen > 1).any()) else 0
    parts: list[Likelihood] = []
    if looks is not None:
        graders = int(looks.grader.max()) + 1
        by_look = design[looks.patch]
        if graders > 1:
            columns.add("grader", np.zeros((0, graders)), STEP)
            by_look = np.hstack([by_look, _one_of(looks.grader, graders)])
        seat = Seat(looks.patch, patches) if patches else Seat()
        parts.append(Grades(looks.grade, looks.steps, by_look, seat))
    core = columns.width
    if rows:
        worth = np.zeros((laid.treatment.size, core))
        worth[:, cuts : cuts + design.shape[1]] = design
        parts.append(Rows(tuple(rows), worth, SHARPNESS if looks is not None else None))
    columns.add("patch", np.zeros((0, patches)), STEP)
    mean, precision = np.zeros(core), np.zeros((core, core))
    if cuts:
        mean[:cuts], precision[:cuts, :cuts] = threshold_prior(cuts + 1)
    likelihood = parts[0] if len(parts) == 1 else Together(tuple(parts))
    model = Model(likelihood, tuple(columns.groups), mean, precision, patches)
    found = fit(model, seed=seed, draws=draws)
    step = step_width(found.effects[:, :cuts]) if cuts else np.ones(draws)
    return _told(laid, found, columns, step, found.effects[:, :cuts] / step[:, None])


def compare_measures(
    laid: Laid, patch: Ints, value: Floats, *, seed: int = 0, draws: int = 4000
) -> Compared:
    """Effects of treatments on a measured figure, in its own unit.

    ``patch`` and ``value`` (n,) name the patch and the figure of each measurement.

    Raises
    ------
    InputError
        For fewer than three figures or figures that are all the same.
    """
    if value.size < 3 or not np.isfinite(value).all():
        raise InputError("three measured figures are the least", remedy="measure more patches")
    middle, spread = float(value.mean()), float(value.std(ddof=1))
    if spread <= 1e-9 * max(abs(middle), 1e-9):
        raise InputError("all measured figures are the same, so nothing can be told apart")
    patches = laid.treatment.size if bool((np.bincount(patch) > 1).any()) else 0
    columns = _lay(laid, 1, 1.0)
    design = np.hstack([np.ones((value.size, 1)), np.hstack(columns.blocks)[patch]])
    core = columns.width
    columns.add("patch", np.zeros((0, patches)), 1.0)
    mean, precision = np.zeros(core), np.zeros((core, core))
    precision[0, 0] = 1.0 / LEVEL_SD**2
    seat = Seat(patch, patches) if patches else Seat()
    likelihood = Measures((value - middle) / spread, design, seat)
    model = Model(likelihood, tuple(columns.groups), mean, precision, patches)
    found = fit(model, seed=seed, draws=draws)
    step = np.full(draws, 1.0 / spread)
    return _told(laid, found, columns, step, middle + spread * found.effects[:, :1])


def _told(laid: Laid, found: Fit, columns: _Columns, step: Floats, level: Floats) -> Compared:
    def of(name: str) -> Floats:
        at = columns.at.get(name, slice(0, 0))
        return found.effects[:, at] / step[:, None]

    surface = np.hstack([of("line"), of("blending")])
    treatment = of("treatment")
    if laid.line is not None:
        terms = laid.line if laid.blending is None else np.hstack([laid.line, laid.blending])
        first = [int(np.flatnonzero(laid.treatment == t)[0]) for t in range(laid.treatments)]
        treatment = surface @ terms[first].T + of("lack")
    names = [group.sd.name for group in columns.groups]
    return Compared(
        treatment=treatment,
        surface=surface,
        grader=of("grader"),
        level=level,
        step=step,
        spreads={name: found.scales[:, i] / step for i, name in enumerate(names)},
        points=found.points,
        settled=found.settled,
    )

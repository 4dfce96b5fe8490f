"""What has been graded so far: the sheets as the live entries leave them, and whose are missing."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from tanwright.planning.trials.records import Grade, Measure, Patch, Ranking, Seen
from tanwright.reference.grading import grading_measure
from tanwright.yard.journal.models import Entry
from tanwright.yard.stock.folding import in_order
from tanwright.yard.trials.models import Trial, TrialPatch
from tanwright.yard.trials.reckoning import code_of, record_of, treatments_of

Sheet = tuple[str, str]
"""Grader and quality."""


@dataclass
class Sheets:
    """Sheets of one trial.

    Attributes
    ----------
    grades:
        By grader and quality, the step of each patch by its number.
    rows:
        By grader and quality, heaps of patch numbers, the upper end first.
    figures:
        By measure, the figure of each patch.
    after:
        Sheets that were written after the treatments were uncovered.
    """

    grades: dict[Sheet, dict[int, int]] = field(default_factory=dict)
    rows: dict[Sheet, list[list[int]]] = field(default_factory=dict)
    figures: dict[str, dict[int, float]] = field(default_factory=dict)
    after: int = 0

    @property
    def graders(self) -> list[str]:
        """Everybody who graded or laid a row, in the order in which they began."""
        return list(dict.fromkeys(grader for grader, _ in (*self.grades, *self.rows)))

    @property
    def qualities(self) -> list[str]:
        """Every quality that was graded or laid in a row."""
        return list(dict.fromkeys(quality for _, quality in (*self.grades, *self.rows)))

    @property
    def any(self) -> bool:
        """Whether there is anything to analyse."""
        after = any(grading_measure(name).when == "after" for name in self.figures)
        return bool(self.grades or self.rows or after)


def graded_patches(trial: Trial) -> list[TrialPatch]:
    """Patches that have a treatment, in order of number."""
    found = trial.patches.select_related("offcut__skin", "jar").exclude(treatment="")
    return list(found.order_by("number"))


def sheets_of(trial: Trial) -> Sheets:
    """The sheets of ``trial`` by its live entries, a later figure in place of an earlier one."""
    entries = list(
        Entry.objects.filter(
            record_id=trial.pk, kind__in=("trial.graded", "trial.laid", "trial.measured")
        )
        .order_by()
        .values("id", "kind", "data", "happened_at", "written_at", "corrects_id", "standing")
    )
    found = Sheets()
    open_since: datetime | None = trial.unblinded_at
    for row in in_order(entries):
        data, kind = row["data"], row["kind"]
        if kind == "trial.measured":
            figures = found.figures.setdefault(data["measure"], {})
            figures |= {int(number): float(value) for number, value in data["figures"].items()}
            continue
        if open_since is not None and row["written_at"] > open_since:
            found.after += 1
        sheet = (data["grader"], data["quality"])
        if kind == "trial.graded":
            grades = found.grades.setdefault(sheet, {})
            grades |= {int(number): int(grade) for number, grade in data["grades"].items()}
        else:
            found.rows[sheet] = [[int(number) for number in heap] for heap in data["order"]]
    return found


def graders_wanted(trial: Trial) -> int:
    """How many people are to grade."""
    return max(int(trial.facts.get("graders") or 1), 1)


@dataclass(frozen=True)
class Missing:
    """One sheet that is not full yet."""

    grader: str
    quality: str
    left: int


def missing_sheets(trial: Trial, sheets: Sheets, numbers: Sequence[int]) -> list[Missing]:
    """Sheets that lack grades, of everybody who has begun; a row counts for a sheet."""
    out = []
    for quality in sheets.qualities:
        for grader in sheets.graders:
            seen = set(sheets.grades.get((grader, quality), {}))
            seen |= {n for heap in sheets.rows.get((grader, quality), []) for n in heap}
            left = len(set(numbers) - seen)
            if left:
                out.append(Missing(grader, quality, left))
    return out


def is_open(trial: Trial, sheets: Sheets, numbers: Sequence[int]) -> bool:
    """Whether treatments may be shown: uncovered by a keeper, or every sheet is in."""
    if trial.unblinded_at is not None:
        return True
    if len(sheets.graders) < graders_wanted(trial):
        return False
    return sheets.any and not missing_sheets(trial, sheets, numbers)


def shuffled(trial: Trial, grader: str, quality: str, numbers: Sequence[int]) -> list[int]:
    """The order in which this grader takes the patches in hand; always the same for a quality."""
    out = list(numbers)
    random.Random(f"{trial.pk} {grader} {quality}").shuffle(out)
    return out


def seen_of(trial: Trial, sheets: Sheets, patches: Sequence[TrialPatch]) -> Seen:
    """All that was found, as the planning floor takes it."""
    codes = {patch.number: code_of(patch) for patch in patches}
    laid: list[Patch] = [record_of(patch) for patch in patches]
    grades = [
        Grade(codes[number], grader, quality, grade)
        for (grader, quality), found in sheets.grades.items()
        for number, grade in sorted(found.items())
        if number in codes
    ]
    rows = []
    for (grader, quality), order in sheets.rows.items():
        heaps = [tuple(codes[n] for n in heap if n in codes) for heap in order]
        rows.append(Ranking(grader, quality, tuple(heap for heap in heaps if heap)))
    measures = [
        Measure(codes[number], name, value, grading_measure(name).unit)
        for name, figures in sheets.figures.items()
        for number, value in sorted(figures.items())
        if number in codes
    ]
    return Seen(treatments_of(trial), tuple(laid), tuple(grades), tuple(rows), tuple(measures))

"""What graders and keepers may do with a trial; each function is one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction

from tanwright.errors import InputError
from tanwright.yard.journal.services import Written
from tanwright.yard.people.models import Device, Person
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.services import log


@transaction.atomic
def grade(
    trial: Trial,
    grader: str,
    quality: str,
    grades: Mapping[int, int],
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """One grader's steps for one quality, by patch number; later ones replace earlier ones.

    Raises InputError for a patch that is not of this trial or a step that is none.
    """
    _known(trial, grades)
    data = {"grader": grader, "quality": quality, "grades": {str(n): s for n, s in grades.items()}}
    return log(trial, "graded", data, by, id=id, happened_at=happened_at, device=device, note=note)


@transaction.atomic
def lay_row(
    trial: Trial,
    grader: str,
    quality: str,
    order: Sequence[Sequence[int]],
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Patches in a row, the upper end of the scale first; it replaces the grader's row before."""
    _known(trial, [number for heap in order for number in heap])
    data = {"grader": grader, "quality": quality, "order": [list(heap) for heap in order]}
    return log(trial, "laid", data, by, id=id, happened_at=happened_at, device=device, note=note)


@transaction.atomic
def measure(
    trial: Trial,
    name: str,
    figures: Mapping[int, float],
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Figures of one measure, by patch number, in the measure's own unit."""
    _known(trial, figures)
    data = {"measure": name, "figures": {str(n): v for n, v in figures.items()}}
    return log(
        trial, "measured", data, by, id=id, happened_at=happened_at, device=device, note=note
    )


@transaction.atomic
def uncover(
    trial: Trial,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """Show which patch had which treatment before every sheet is in. Keepers only, and kept."""
    return log(trial, "unblinded", {}, by, id=id, happened_at=happened_at, device=device, note=note)


@transaction.atomic
def finish(
    trial: Trial,
    by: Person,
    *,
    id: uuid.UUID,
    happened_at: datetime,
    device: Device | None = None,
    note: str = "",
) -> Written:
    """The grading is over. Keepers only."""
    return log(trial, "finished", {}, by, id=id, happened_at=happened_at, device=device, note=note)


def _known(trial: Trial, numbers: Mapping[int, object] | Sequence[int]) -> None:
    there = set(trial.patches.exclude(treatment="").values_list("number", flat=True))
    for number in numbers:
        if number not in there:
            raise InputError(
                f"there is no patch {number} in this trial", place="patches", remedy="reload it"
            )

"""What is kept from whom while patches may still be graded blind."""

from __future__ import annotations

from typing import Literal

from tanwright.yard.people.models import Person
from tanwright.yard.trials.grading_sheets import is_open, sheets_of
from tanwright.yard.trials.models import Trial

Veil = Literal["", "folded", "hidden"]


def is_covered(trial: Trial) -> bool:
    """Whether somebody may still grade blind: nobody uncovered it, and a sheet is missing."""
    numbers = list(trial.patches.exclude(treatment="").values_list("number", flat=True))
    return not is_open(trial, sheets_of(trial), numbers)


def veil_of(trial: Trial, person: Person) -> Veil:
    """How far pages hide what lies in a jar.

    A helper never sees it as long as the trial is covered. A keeper fills the jars and must; once
    the patches are out it is folded away, so that it is not read by mistake.
    """
    if not is_covered(trial):
        return ""
    if not person.is_keeper:
        return "hidden"
    return "folded" if trial.ended_at is not None else ""

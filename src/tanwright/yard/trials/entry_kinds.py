"""What may be noted of a trial: checks of the data, and how it reads in the log."""

from __future__ import annotations

from tanwright.yard.journal.kinds import Kind, declare
from tanwright.yard.trials.grading_kinds import GRADING_KINDS

KINDS: tuple[Kind, ...] = (*GRADING_KINDS,)


def declare_kinds() -> None:
    """Make the kinds of this area known."""
    declare(*KINDS)

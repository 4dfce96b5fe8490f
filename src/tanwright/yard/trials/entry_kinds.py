"""What may be noted of a trial: checks of the data, and how it reads in the log."""

from __future__ import annotations

from tanwright.yard.journal.kinds import Kind, declare

KINDS: tuple[Kind, ...] = ()


def declare_kinds() -> None:
    """Make the kinds of this area known."""
    declare(*KINDS)

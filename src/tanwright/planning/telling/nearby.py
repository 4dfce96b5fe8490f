"""The days and the dangers of an answer that the short form shows."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from tanwright.planning.answers import DateRange

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer, Caution, Step
    from tanwright.science.belief.unknowns import Floats

DAYS: Final = 7
"""Dangers of steps so many days from the next one on are told."""
FIRST_ROWS: Final = 7
ALWAYS: Final = ("gate", "rinse")
"""Steps that are never left out: whether it is done, and how it is dried."""

COLOURED: Final = 0.999
"""Share of the thickness from which on the cut shows no pale line."""

_COOKS: Final = frozenset({"start", "strengthen", "top-up"})
_RAW: Final = frozenset({"start", "move"})
_GATHERS: Final = frozenset({"gather"})
_BEFORE: Final = frozenset({"prepare", "before"})
_BELONGS: Final = {
    **dict.fromkeys(("lime", "lye", "sulfide", "acid"), _RAW | _BEFORE),
    **dict.fromkeys(("fire", "boiling", "iron", "mould-dust", "bark-dust"), _COOKS),
    "hot-liquor": _COOKS | {"move"},
    **dict.fromkeys(
        ("anthrax", "tularemia", "q-fever", "orf", "prion", "rabies", "wildlife-law"),
        _RAW | _BEFORE,
    ),
    "effluent": frozenset({"rinse", "top-up"}),
    **dict.fromkeys(("protected-plant", "living-tree", "quarantine", "gathering"), _GATHERS),
}
"""Actions of the steps at which each topic is a danger; a topic not named here is one always."""
_ACTIONS: Final = frozenset({"look", "gate", "wait", "rinse"}).union(*_BELONGS.values())


def first_days(schedule: tuple[Step, ...]) -> tuple[Step, ...]:
    """The first rows of the days, and whatever of the end must not be left out."""
    if len(schedule) <= FIRST_ROWS + 1:
        return schedule
    last = [step for step in schedule[FIRST_ROWS:] if step.action in ALWAYS]
    return (*schedule[:FIRST_ROWS], *last)


def coloured_by(answer: Answer) -> DateRange:
    """When the cut is coloured right through at the thick place, which comes before leather."""

    def first(depth: Floats) -> date | None:
        reached = (depth >= COLOURED).nonzero()[0]
        if not reached.size:
            return None
        return answer.start + timedelta(days=int(answer.depth_fan.day[reached[0]] + 1e-6))

    fan = answer.depth_fan
    return DateRange(first(fan.p95), first(fan.p50), first(fan.p05))


def near_cautions(answer: Answer) -> tuple[Caution, ...]:
    """Cautions of the next step and of the steps within :data:`DAYS` after it.

    A step that is not known here brings in every caution.
    """
    until = answer.next_action.date + timedelta(days=DAYS)
    actions = {answer.next_action.action}
    actions |= {step.action for step in answer.schedule if step.date <= until}
    if actions - _ACTIONS:
        return answer.cautions
    return tuple(
        caution
        for caution in answer.cautions
        if caution.topic not in _BELONGS or _BELONGS[caution.topic] & actions
    )


def first_sentence(text: str) -> str:
    """``text`` up to its first full stop."""
    head, stop, _ = text.partition(". ")
    return head + "." if stop else text

"""The sentences of an answer with their amounts in the reader's units and scale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any, Final

from tanwright.planning.answers import (
    Answer,
    Cause,
    Caution,
    Change,
    Mark,
    MeasureOption,
    ReadingCheck,
    Step,
    Trouble,
    Worth,
)

_RECORDS: Final = (Cause, Caution, Change, Mark, MeasureOption, ReadingCheck, Step, Trouble, Worth)
_KEPT: Final = {"action", "fact", "kind", "material_id", "name", "source", "topic", "verdict"}
"""Fields of those records that are keys and not sentences."""
_TOLD: Final = (
    "schedule", "next_action", "one_pot", "troubles", "measure_next", "worth_knowing", "cautions",
    "questions", "rule_of_thumb", "notes", "changes", "checks", "marks", "amount_causes",
    "finish_causes",
)  # fmt: skip
"""Fields of an answer that hold sentences."""


def retold(answer: Answer, words: Callable[[str], str]) -> Answer:
    """``answer`` with every sentence passed through ``words``; keys and figures stay."""
    return replace(answer, **{name: _retold(getattr(answer, name), words) for name in _TOLD})


def _retold(value: Any, words: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return words(value)
    if isinstance(value, tuple):
        return tuple(_retold(item, words) for item in value)
    if isinstance(value, _RECORDS):
        texts = {
            field.name: words(getattr(value, field.name))
            for field in fields(value)
            if field.name not in _KEPT and isinstance(getattr(value, field.name), str)
        }
        record: Any = value
        return replace(record, **texts)
    return value

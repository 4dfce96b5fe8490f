"""Finding entries by what their notes, their words and their kinds say, or by their day."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.db.models import Q, TextField
from django.db.models.functions import Cast

from tanwright.errors import TanwrightError
from tanwright.units import System
from tanwright.yard.journal.kinds import all_kinds, kind_of
from tanwright.yard.journal.models import Entry
from tanwright.yard.search.asked import Asked, begins_a_word, spellings
from tanwright.yard.search.queries import MOST, Group, Hit, the_day
from tanwright.yard.shell.templatetags.words import moment

_LOOKED_AT: Final = 200
"""Rows read at most: the database sees a word in a key of the data too, and those fall out."""


def entries(asked: Asked, system: System) -> Group | None:
    """The latest entries that ``asked`` may mean, their words in the reader's units."""
    wanted = Q()
    for word in asked.words:
        wanted &= _has(word)
    span = the_day(asked)
    if span:
        wanted |= Q(happened_at__gte=span[0], happened_at__lt=span[1])
    rows = (
        Entry.objects.annotate(data_text=Cast("data", TextField()))
        .filter(wanted)
        .exclude(standing=Entry.Standing.CORRECTED)
        .select_related("record")
        .order_by("-happened_at")[:_LOOKED_AT]
    )
    hits = []
    for entry in rows:
        said = words_of(entry, system)
        on_the_day = span is not None and span[0] <= entry.happened_at < span[1]
        if on_the_day or _says(entry, said, asked.words):
            hits.append(_hit(entry, said))
    shown = tuple(hits[:MOST])
    return Group("In the log", shown, more=len(hits) > MOST) if shown else None


def words_of(entry: Entry, system: System) -> str:
    """The log's line for ``entry``; the bare name of a kind that can no longer be said."""
    try:
        kind = kind_of(entry.kind)
        said = kind.say(entry.data, system)
    except (TanwrightError, KeyError, TypeError, ValueError):
        return entry.kind.partition(".")[2].replace("-", " ")
    return said or kind.label


def _has(word: str) -> Q:
    kinds = [kind.name for kind in all_kinds() if word.lower() in kind.label.lower()]
    found = Q(kind__in=kinds) if kinds else Q()
    for spelling in spellings(word):
        found |= Q(note__icontains=spelling) | Q(data_text__icontains=spelling)
    return found


def _says(entry: Entry, said: str, words: tuple[str, ...]) -> bool:
    try:
        label = kind_of(entry.kind).label
    except TanwrightError:
        label = ""
    text = "\n".join((entry.note, said, label, *_texts(entry.data)))
    return all(begins_a_word(word, text) for word in words)


def _texts(data: Any) -> Iterator[str]:
    """Every text in ``data``, not its keys."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list):
        for value in data:
            yield from _texts(value)


def _hit(entry: Entry, said: str) -> Hit:
    note = entry.note if len(entry.note) <= 120 else f"{entry.note[:119]}…"
    about = f"{entry.record.title}, {moment(entry.happened_at)}"
    return Hit(
        title=said,
        url=entry.record.get_absolute_url(),
        note=f"{about}: {note}" if note else about,
        withdrawn=entry.standing == Entry.Standing.WITHDRAWN,
    )

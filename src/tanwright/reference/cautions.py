"""Cautions, shown where a step is proposed, and troubles with their signs and cures."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import record, table
from tanwright.reference.materials import Material, material


@dataclass(frozen=True)
class Caution:
    """One caution; ``when`` lists the cases in which it is shown."""

    id: str
    topic: str
    when: tuple[str, ...]
    text: str
    source: str


@dataclass(frozen=True)
class Trouble:
    """One trouble; ``at`` is where it shows: vat or leather."""

    id: str
    at: str
    sign: str
    cause: str
    check: str
    remedy: str
    prevent: str
    source: str


@lru_cache(maxsize=1)
def cautions() -> tuple[Caution, ...]:
    """All cautions of the table."""
    return tuple(record(Caution, row) for row in table("cautions"))


def cautions_for(topics: Iterable[str]) -> tuple[Caution, ...]:
    """Cautions that the given topics or cases call for, each once, in the order of the table.

    A topic is a topic of the table (``"lime"``) or a case: ``"animal:hare"``, ``"stage:limed"``,
    ``"step:cooking"``, ``"tool:pot"``, ``"lot:mouldy"``, ``"part:bark"``, ``"gather:kills"``,
    ``"hair:on"``, ``"hazard:poisonous"`` or ``"material:<id>"``.  A material's id brings in its
    own caution, its part, its hazards and the effect of gathering it.  Raises InputError for a
    topic that the table does not know, UnknownMaterialError for an unknown material.
    """
    wanted: set[str] = set()
    own: list[Caution] = []
    for topic in topics:
        kind, _, value = topic.partition(":")
        if kind == "material":
            item = material(value)
            wanted |= _cases_of(item)
            own += _own_caution(item)
        elif value:
            if kind not in _case_kinds():
                raise _unknown_topic(topic)
            wanted.add(topic)
            if kind == "animal":
                wanted.add("animal:any")
        elif topic in {caution.topic for caution in cautions()}:
            wanted.add(topic)
        else:
            raise _unknown_topic(topic)
    shown = [part for part in cautions() if part.topic in wanted or wanted & set(part.when)]
    return tuple(shown + [part for part in dict.fromkeys(own) if part not in shown])


@lru_cache(maxsize=1)
def troubles() -> tuple[Trouble, ...]:
    """All troubles: those of the vat first, then those seen on the leather."""
    return tuple(record(Trouble, row) for row in table("troubles"))


def _cases_of(item: Material) -> set[str]:
    cases = {
        f"material:{item.id}",
        f"part:{item.part}",
        f"gather:{item.gather_effect}",
        f"genus:{item.genus}",
    }
    cases |= {f"hazard:{hazard}" for hazard in item.hazards}
    return cases


def _own_caution(item: Material) -> list[Caution]:
    if not item.cautions:
        return []
    return [
        Caution(
            id=f"material-{item.id}",
            topic="plant",
            when=(f"material:{item.id}",),
            text=f"{item.name}: {item.cautions}.",
            source="memory",  # whatever its figures rest on
        )
    ]


@lru_cache(maxsize=1)
def _case_kinds() -> frozenset[str]:
    return frozenset(case.partition(":")[0] for part in cautions() for case in part.when)


def _unknown_topic(topic: str) -> InputError:
    names = ", ".join(sorted({caution.topic for caution in cautions()}))
    return InputError(
        f'no caution is kept for "{topic}"',
        remedy=f"write one of {names}, or a case such as animal:hare",
    )

"""What a trial on offcuts is made of and what was seen of it: plain frozen records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

CONTROL = "control"
"""Key of the treatment that every trial holds: the vat as it is usually done."""


@dataclass(frozen=True)
class Treatment:
    """One way of tanning that is compared.

    Attributes
    ----------
    key:
        Short word in lower case, ``"control"`` for the usual way.
    label:
        What a person calls it.
    shares:
        Material id to its share of the dry material, summing to 1; empty when the treatments do not
        differ by material.
    dose:
        Dry material to wet pelt, by weight; ``None`` as the vat.
    pretreatment:
        What is done before, in words; empty for the usual.
    """

    key: str
    label: str
    shares: Mapping[str, float] = field(default_factory=dict)
    dose: float | None = None
    pretreatment: str = ""


@dataclass(frozen=True)
class Patch:
    """One piece of skin. ``block`` groups pieces alike in skin and region."""

    code: str
    offcut: str
    skin: str
    region: str
    block: str
    treatment: str
    jar: str = ""


@dataclass(frozen=True)
class Grade:
    """One grader's grade of one patch: a step of the quality's scale, 1 the lowest."""

    code: str
    grader: str
    quality: str
    grade: int


@dataclass(frozen=True)
class Ranking:
    """Patches laid in a row by one grader, the upper end of the scale first, such as the firmest.

    Those in one group were not told apart.
    """

    grader: str
    quality: str
    order: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Measure:
    """One measured figure of a patch, in ``unit``."""

    code: str
    name: str
    value: float
    unit: str


@dataclass(frozen=True)
class Seen:
    """All that was found on the patches of one trial."""

    treatments: tuple[Treatment, ...]
    patches: tuple[Patch, ...]
    grades: tuple[Grade, ...] = ()
    rankings: tuple[Ranking, ...] = ()
    measures: tuple[Measure, ...] = ()

"""What was seen and measured during a tannage, as plain frozen records.

:mod:`tanwright.planning.readings_reader` makes them from a file.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Final, Literal, get_args

if TYPE_CHECKING:
    from tanwright.planning import reading_words as words

Kind = Literal["strength", "cut", "look", "ph", "temperature", "weight", "strengthened", "event"]
Scale = Literal["bk", "sg", "tw", "be", "brix", "plato", "solubles"]
How = Literal["swap", "top-up", "unsaid"]

KINDS: Final[tuple[str, ...]] = get_args(Kind)
SET_ASIDE: Final = "-set-aside"
"""Ends the kind of a mark on a picture when its reading was taken for a slip and not used."""


@dataclass(frozen=True)
class Strength:
    """Strength of a liquor as the instrument showed it, uncorrected.

    ``scale`` is a key of ``science.strength.SCALES``; ``solubles`` is total solids in g/L.
    """

    value: float
    scale: Scale
    liquor_c: float | None


@dataclass(frozen=True)
class Cut:
    """Share of the thickness that is tanned at a cut edge, 0 to 1."""

    share: float
    side: words.Side
    """``both``: of the whole thickness; else how far from that side, of the whole thickness."""
    zone: words.Zone


@dataclass(frozen=True)
class LiquorLook:
    """How the liquor looks in a glass: one of the looks of ``looks.liquor_looks``."""

    look: str


@dataclass(frozen=True)
class Acidity:
    """pH of the liquor."""

    ph: float


@dataclass(frozen=True)
class Warmth:
    """Temperature of the vat from then on, °C."""

    temperature_c: float


@dataclass(frozen=True)
class Weighed:
    """Weight of one skin, kg; ``what`` is ``pelt``, ``wet leather`` or ``dry leather``."""

    weight_kg: float
    what: Literal["pelt", "wet leather", "dry leather"]


@dataclass(frozen=True)
class Strengthened:
    """Liquor put into the vat, litres, with its strength if that was said; or material cooked.

    ``mass_kg`` of material cooked in liquor of the vat and poured back; ``litres`` is then how much
    liquor it was cooked in, if that was said.
    """

    litres: float | None
    how: How
    liquor: Strength | None
    material_id: str | None
    mass_kg: float | None = None
    lot: int | None = None
    """Which lot of the sheet, counted from 0, if the row names one alone."""


@dataclass(frozen=True)
class Event:
    """Something that happened to the vat; one of the values of ``reading_words.EVENTS``."""

    what: str
    temperature_c: float | None


Seen = Strength | Cut | LiquorLook | Acidity | Warmth | Weighed | Strengthened | Event


@dataclass(frozen=True)
class Reading:
    """One row of the file: when, what was seen, and the row as it was written."""

    line: int
    when: datetime
    kind: Kind
    seen: Seen
    written: str
    """Value and unit as written, for messages."""
    place: str = ""
    note: str = ""
    skin: str = ""

    def day(self, start: date) -> float:
        """Days since midnight of ``start``."""
        return (self.when - datetime.combine(start, time())).total_seconds() / 86400.0


@dataclass(frozen=True)
class Readings:
    """The readings of a file by date, and plain sentences about rows worth a look."""

    source: str
    rows: tuple[Reading, ...]
    notes: tuple[str, ...] = ()

    @property
    def last_day(self) -> date | None:
        """Date of the latest reading, or ``None`` without any."""
        return self.rows[-1].when.date() if self.rows else None

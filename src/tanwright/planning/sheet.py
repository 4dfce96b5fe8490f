"""A sheet: what somebody knows about their skins, plants and vat, as plain frozen records.

Nothing here reads a file, asks a clock or looks anything up; :mod:`tanwright.planning.sheet_reader`
does.  A field that was not said is ``None``, so that the engine can tell a fact from a default.
Masses are kg, volumes litres, lengths mm, areas m2, temperatures °C, shares and tannin in percent
where the name ends in ``_pct``.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, Literal, get_args

if TYPE_CHECKING:
    from datetime import date

    from tanwright.reference.lots import Lot as History

Stage = Literal["green", "salted", "dry-salted", "dried", "soaked", "limed", "delimed"]
State = Literal["dry", "fresh"]
Leather = Literal["soft", "bag", "firm", "sole"]
Instrument = Literal["hydrometer", "refractometer", "none"]
Movement = Literal["still", "daily", "often"]
Water = Literal["rain", "soft", "tap", "hard"]
ScaleName = Literal["bk", "sg", "tw", "be", "brix", "plato"]

STAGES: Final[tuple[str, ...]] = get_args(Stage)
LEATHERS: Final[tuple[str, ...]] = get_args(Leather)
INSTRUMENTS: Final[tuple[str, ...]] = get_args(Instrument)
MOVEMENTS: Final[tuple[str, ...]] = get_args(Movement)
WATERS: Final[tuple[str, ...]] = get_args(Water)
SCALE_NAMES: Final[tuple[str, ...]] = get_args(ScaleName)


@dataclass(frozen=True)
class Skin:
    """Skins of one kind that go through the vat together.

    Attributes
    ----------
    name:
        What the person calls it; the animal when no name was given.
    animal:
        Animal of the reference, or ``None`` when only a thickness makes it valid.
    weight_kg:
        Weight of *one* skin at ``stage``.
    thickness_mm:
        Thickness as it would lie in the vat, where it was measured; ``None`` if not measured.
    area_m2:
        Area of one skin.
    hair_on:
        True when hair or wool stays, so that tannin comes in from the flesh side only.
    count:
        How many such skins.
    """

    name: str
    animal: str | None
    weight_kg: float | None
    stage: Stage
    thickness_mm: float | None
    area_m2: float | None
    hair_on: bool
    count: int


@dataclass(frozen=True)
class TanninFigure:
    """Tannin of a lot in % of the material as it lies; 5th to 95th percentile if it is a range.

    ``low_pct`` equals ``high_pct`` when one figure was given.
    """

    low_pct: float
    high_pct: float


@dataclass(frozen=True)
class Lot:
    """One gathered, bought or wished-for batch of plant material.

    ``have_kg`` is kg as it lies; ``None`` when none is in hand or it was not weighed.  ``want`` is
    True when more of it may be gathered.  ``history`` says how it grew and was kept.
    """

    material_id: str
    name: str
    have_kg: float | None
    want: bool
    tannin: TanninFigure | None
    history: History

    @property
    def state(self) -> State:
        """``dry`` or ``fresh``: how it lies."""
        return "fresh" if self.history.state == "fresh" else "dry"


@dataclass(frozen=True)
class Spell:
    """Temperature of the vat from a date on; ``since`` is ``None`` for "from the start"."""

    since: date | None
    temperature_c: float


@dataclass(frozen=True)
class Vat:
    """The tub that the skins lie in."""

    volume_l: float | None
    temperature: tuple[Spell, ...]
    """In order of date; empty when nobody said."""
    move: Movement | None
    water: Water | None

    def temperature_on(self, day: date) -> float | None:
        """Temperature in °C on ``day``, or ``None`` when the sheet does not say."""
        found: float | None = None
        for spell in self.temperature:
            if spell.since is None or spell.since <= day:
                found = spell.temperature_c
        return found


@dataclass(frozen=True)
class Aim:
    """What leather is wanted and when.

    ``degree_low`` and ``degree_high`` are g of tannin fixed per 100 g of hide substance.
    """

    leather: Leather
    start: date
    wanted_by: date | None
    degree_low: float | None
    degree_high: float | None


@dataclass(frozen=True)
class Tools:
    """What the person can measure and cook with."""

    strength: Instrument
    scale: ScaleName | None
    """Scale that the owned instrument shows; ``None`` without an instrument."""
    calibrated_at_c: float | None
    pot_l: float | None
    litre_scale: bool
    """True when a kitchen scale can weigh a measured litre to the gram."""


@dataclass(frozen=True)
class Container:
    """The person's own measure: what one of it holds, in kg of material or in litres."""

    name: str
    holds_kg: float | None
    holds_l: float | None
    of: str = ""
    """What it was filled with when it was weighed."""


@dataclass(frozen=True)
class KnownTannin:
    """A belief about one material that an earlier trial left behind, of air-dry material."""

    material_id: str
    figure: TanninFigure
    how: str = ""
    on: date | None = None


@dataclass(frozen=True)
class Sheet:
    """Everything that was said, checked."""

    source: str
    """File name for messages, or ``"command line"``."""
    skins: tuple[Skin, ...]
    lots: tuple[Lot, ...]
    vat: Vat
    aim: Aim
    tools: Tools
    containers: tuple[Container, ...] = ()
    known: tuple[KnownTannin, ...] = ()
    left_out: tuple[str, ...] = ()
    """Facts that were not given, as ``table.key``, so that the answer can say what each buys."""
    notes: tuple[str, ...] = field(default=())
    """Plain sentences about defaults taken and about values that are unusual."""

    def known_for(self, material_id: str) -> TanninFigure | None:
        """Tannin kept from an earlier trial of ``material_id``, if there is one."""
        for known in self.known:
            if known.material_id == material_id:
                return known.figure
        return None


def started_on(sheet: Sheet, day: date) -> Sheet:
    """``sheet`` that named no start, with the day of its first reading for one, and a note."""
    note = f"No start was given: {day}, the day of the first reading, is taken."
    return replace(sheet, aim=replace(sheet.aim, start=day), notes=(*sheet.notes, note))

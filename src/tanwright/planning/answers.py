"""What a plan or a forecast answers: plain frozen records, no printing and no computing.

Masses are in kg as the material lies (fresh or dry), volumes in litres, strengths in degrees
barkometer (°Bk) at 15.6 °C, shares between 0 and 1.  ``p05``, ``p50`` and ``p95`` are the 5th, 50th
and 95th percentile of the ensemble.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from tanwright.science.belief.unknowns import Floats


@dataclass(frozen=True)
class Range:
    """Three percentiles of an amount; the unit is in the name of the field that holds it."""

    p05: float
    p50: float
    p95: float


@dataclass(frozen=True)
class DateRange:
    """Three percentiles of a date; ``None`` means not within the horizon of the forecast."""

    p05: date | None
    p50: date | None
    p95: date | None


@dataclass(frozen=True)
class Cause:
    """One reason why a range is wide: its share of the variance of the logarithm."""

    name: str
    label: str
    share: float
    remedy: str = ""


@dataclass(frozen=True)
class Enough:
    """Is it enough? With the strength at which the answer tips."""

    probability: float
    """Tannin below is % of the material as it lies."""
    break_even_tannin_pct: float | None
    """Enough in half the worlds if the main material holds this much tannin or more."""
    break_even_sure_pct: float | None
    """Enough in nine worlds of ten if it holds this much or more."""
    material_id: str | None
    """The material the break-even speaks of."""


@dataclass(frozen=True)
class MaterialNeed:
    """How much of one material the skins need, and what is in hand."""

    material_id: str
    name: str
    state: str
    need_kg: Range
    have_kg: float | None
    tannin_pct: Range
    cooks: Range
    """Cooks of the pot for the needed amount (two waters each)."""
    pot_kg: float
    """Material that one cook of the pot takes, kg as it lies."""
    tans_skin_kg: Range | None
    """How much skin, at the sheet's stage, the lot in hand tans."""
    causes: tuple[Cause, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Step:
    """One thing to do on a day, with its reason."""

    date: date
    action: str
    """prepare | start | strengthen | look | top-up | gather | gate | rinse | move | wait"""
    headline: str
    reason: str
    strength_bk: float | None = None
    """Strength of the vat after the step."""
    strength_range_bk: Range | None = None
    litres: float | None = None
    """Litres of stronger liquor to put in (and, for a swap, of weak liquor taken out)."""
    look: str = ""
    """What to look for, or how the liquor looks, in plain words."""
    material_id: str | None = None


@dataclass(frozen=True)
class Fan:
    """Percentiles of one quantity over time; ``day`` counts from the start date."""

    day: Floats
    p05: Floats
    p50: Floats
    p95: Floats


@dataclass(frozen=True)
class Mark:
    """A reading or an event on a picture of time."""

    day: float
    value: float | None
    kind: str
    text: str


@dataclass(frozen=True)
class CutView:
    """The cut edge of the thick place over time, from the flesh side (0) to the grain side (1)."""

    day: Floats
    flesh_front: Fan
    """Share of the thickness coloured from the flesh side."""
    grain_front: Fan
    """Share of the thickness coloured from the grain side."""
    place: str
    thickness_mm: float


@dataclass(frozen=True)
class MeasureOption:
    """A reading that could be taken now, and by how much it should narrow the answers."""

    what: str
    how: str
    narrows_finish: float
    """Expected relative fall of the standard deviation of the finish day, 0 to 1."""
    narrows_amount: float
    """The same for the logarithm of the amount still needed."""


@dataclass(frozen=True)
class Trouble:
    """What goes wrong first, its early sign, and what to do at that sign."""

    what: str
    chance: float | None
    sign: str
    remedy: str
    source: str


@dataclass(frozen=True)
class Caution:
    """A danger at the step that proposes it."""

    topic: str
    text: str
    source: str


@dataclass(frozen=True)
class Change:
    """What a forecast changed against the plan before the readings, and why."""

    what: str
    before: str
    after: str
    why: str


@dataclass(frozen=True)
class ReadingCheck:
    """A reading held against what the ensemble expected of it."""

    line: int
    what: str
    verdict: str
    """ok | odd | set-aside"""
    text: str


@dataclass(frozen=True)
class SkinSummary:
    """The skins as the engine understood them."""

    name: str
    count: int
    weight_kg: Range
    pelt_kg: Range
    hide_substance_kg: Range
    thickness_mm: Range
    hair_on: bool


@dataclass(frozen=True)
class Worth:
    """Which missing fact of the sheet would narrow the amount most, as a share of the spread."""

    fact: str
    narrows_amount: float
    how: str


@dataclass(frozen=True)
class AccountTerm:
    """One place where tannin is, or went.

    ``name`` is brought-in, fixed, in-skin, in-liquor, poured-away or lost.  ``mean_g`` is the mean
    over the plausible vats, so that what was brought in is the sum of the others; the range is of
    the term alone.
    """

    name: str
    mean_g: float
    range_g: Range


@dataclass(frozen=True)
class Answer:
    """Everything that ``tanwright plan`` and ``tanwright forecast`` tell."""

    skins: tuple[SkinSummary, ...]
    start: date
    today: date
    wanted_by: date | None
    in_time_probability: float | None
    leather: str
    target_degree: Range
    vat_litres: float
    enough: Enough
    needs: tuple[MaterialNeed, ...]
    tannin_need_kg: Range
    tannin_supply_kg: Range
    still_needed_kg: dict[str, Range]
    """Material still to gather beyond what is in hand, kg as it lies."""
    finish: DateRange
    struck_through: Range
    degree_now: Range
    schedule: tuple[Step, ...]
    next_action: Step
    one_pot: tuple[str, ...]
    """Starting with one pot: when and from which sign it is known whether more is needed."""
    look_on: tuple[date, ...]
    troubles: tuple[Trouble, ...]
    measure_next: tuple[MeasureOption, ...]
    worth_knowing: tuple[Worth, ...]
    cautions: tuple[Caution, ...]
    questions: tuple[str, ...]
    """The done gate, and what to ask before anything is called ruined."""
    rule_of_thumb: str
    """How the trade's 1-to-3 rule stands against this answer."""
    notes: tuple[str, ...]
    """Defaults taken and other things worth saying."""
    sources: tuple[str, ...]
    data_version: str
    strength_fan: Fan
    depth_fan: Fan
    cut: CutView
    marks: tuple[Mark, ...] = ()
    changes: tuple[Change, ...] = ()
    checks: tuple[ReadingCheck, ...] = ()
    members: int = 0
    effective_members: float = 0.0
    amount_causes: tuple[Cause, ...] = field(default=())
    finish_causes: tuple[Cause, ...] = field(default=())
    account: tuple[AccountTerm, ...] = ()
    """Where the tannin is on the day it is seen from; empty before the skins go in."""

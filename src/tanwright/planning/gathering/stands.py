"""When a stand may be cut again, and how it is cut so that it gives every year.

A stand is a whole of 1 that cuts take shares of.  What has not grown for the shortest rotation told
is not ripe, and the shares cut each year add up to no more than 1 / rotation in the long run: never
more than grows again.  Docs: docs/method/gathering.md.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.answers import Range
from tanwright.planning.gathering.pieces import (
    HALF_A_PER_CENT,
    Cut,
    Piece,
    piece_of,
    share_of,
    take,
    too_soon,
)
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.reference.materials import material
from tanwright.reference.rotations import (
    GROWS_AGAIN,
    Regrowth,
    StandYield,
    regrowth_of,
    stand_yields_of,
    years_words,
)
from tanwright.reference.sources import Source, source

STEMS_A_STOOL = (2.0, 5.0)
"""Poles that a stool carries at the end of a rotation (from memory)."""
MOST_COMPARTMENTS = 100
__all__ = [
    "Cut", "Piece", "StandState", "YearOfStand", "YearlyBark",
    "may_be_cut_again", "state", "yearly_bark", "yearly_calendar",
]  # fmt: skip
_Z95 = 1.6448536269514722
_ALL = {
    "pruned": "All of it may be gathered from, no plant of it stripped bare.",
    "crop": "All of it may be gathered from; leave a share of what it bears.",
    "replant": "All of it is grown, but taking ends it: take no more than is sown or planted anew.",
}
_ENDS = ("not", "replant", "protected", "avoid")
_ONLY_FELLED = "Nothing of it should be cut: only what is felled or fallen anyway will do."


@dataclass(frozen=True)
class StandState:
    """A stand on one day.

    Attributes
    ----------
    pieces:
        What was cut longest ago first; what was never cut leads.
    ready_share, growing_share:
        Shares of the stand that may be cut and that should not be; nothing may be cut of what does
        not grow again, is protected, or is told of by nobody.
    next_first:
        When the next growing piece gets ready; ``None`` when none does.
    share_a_year:
        What may be taken each year in the long run, 1 / longest rotation to 1 / shortest.
    harm:
        What went against the rotations or would: cut too soon, cut though it does not grow again.
    """

    material_id: str
    on: date
    regrowth: Regrowth
    pieces: tuple[Piece, ...]
    ready_share: float
    growing_share: float
    next_first: date | None
    share_a_year: tuple[float, float] | None
    harm: tuple[str, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]

    @property
    def words(self) -> str:
        """One sentence for the head of a page."""
        if self.regrowth.regrows == "avoid":
            return self.regrowth.words
        if self.regrowth.regrows not in GROWS_AGAIN:
            return _ONLY_FELLED
        ready = round(100.0 * self.ready_share)
        if ready >= 100:
            return _ALL.get(self.regrowth.regrows, "All of it may be cut.")
        if ready <= 0:
            when = f" before {self.next_first:%B %Y}" if self.next_first else ""
            return f"Nothing of it should be cut{when}."
        when = f", more from {self.next_first:%B %Y}" if self.next_first else ""
        return f"{ready} % of it may be cut{when}."


@dataclass(frozen=True)
class YearOfStand:
    """One year of a stand that is cut in turn: which compartment, its share, the dry bark."""

    year: int
    compartment: int
    share: float
    kg: Range | None


@dataclass(frozen=True)
class YearlyBark:
    """Dry bark a year that a stand keeps giving; ``kg`` is ``None`` when nobody says."""

    kg: Range | None
    years: float | None
    words: str
    sources: tuple[Source, ...]


def may_be_cut_again(material_id: str, cut: Cut) -> Piece:
    """When what one cut took may be cut again. Raises UnknownMaterialError, InputError."""
    return piece_of(regrowth_of(material_id), cut.part, share_of(cut), cut.on)


def state(material_id: str, cuts: Sequence[Cut], on: date) -> StandState:
    """The stand on a day, from its cuts in any order.

    A cut of a named part takes what that part had grown; one without a name takes what was never
    cut, then what was cut longest ago.  Cuts after ``on`` are left out.

    Raises
    ------
    UnknownMaterialError
        For an unknown material.
    InputError
        For a share that is not above 0 and up to 1, or parts that add up to more than the stand.
    """
    item, regrowth = material(material_id), regrowth_of(material_id)
    grown: list[Piece] = [piece_of(regrowth, "", 1.0, None)]
    harm: list[str] = []
    for cut in sorted((each for each in cuts if each.on <= on), key=lambda each: each.on):
        grown, taken = take(regrowth, grown, cut)
        harm += too_soon(regrowth, cut, taken)
    pieces = tuple(sorted(grown, key=lambda each: (each.cut_on is not None, each.cut_on or on)))
    if regrowth.regrows in _ENDS and any(piece.cut_on for piece in pieces):
        harm.append(regrowth.words)
    waiting = [piece.first for piece in pieces if not piece.ready(on) and piece.first]
    ready = sum(piece.share for piece in pieces if piece.ready(on))
    if regrowth.regrows not in GROWS_AGAIN:
        ready = 0.0
    return StandState(
        material_id=item.id,
        on=on,
        regrowth=regrowth,
        pieces=pieces,
        ready_share=min(1.0, ready),
        growing_share=max(0.0, 1.0 - ready),
        next_first=min(waiting) if waiting else None,
        share_a_year=_share_a_year(regrowth),
        harm=tuple(dict.fromkeys(harm)),
        cautions=cautions_for([f"material:{item.id}", *_steps(item.part), "step:gather"]),
        sources=_sources(regrowth),
    )


def yearly_calendar(
    material_id: str,
    first_year: int,
    *,
    compartments: int | None = None,
    years: int | None = None,
    poles: float | None = None,
    stools: float | None = None,
    hectares: float | None = None,
) -> tuple[YearOfStand, ...]:
    """A stand in as many compartments as its rotation has years, one of them cut each year.

    Parameters
    ----------
    compartments:
        Left out: the middle of the rotations told, rounded up.
    years:
        Years of the calendar; left out: one turn.
    poles, stools, hectares:
        Size of the whole stand, for the bark of a year (see :func:`yearly_bark`).

    Raises
    ------
    UnknownMaterialError
        For an unknown material.
    InputError
        When it does not grow again or nobody tells after how long, when there are so few
        compartments that they would come round before they have grown, or for sizes that cannot
        be.
    """
    regrowth = regrowth_of(material_id)
    low, high = _told_years(regrowth)
    turn = math.ceil((low + high) / 2.0) if compartments is None else compartments
    turn = max(1, turn)
    if turn + HALF_A_PER_CENT < low or turn > MOST_COMPARTMENTS:
        raise InputError(
            f"{turn} compartments come round after {turn} years, and it needs "
            f"{years_words(low, high)}",
            place="compartments",
            remedy=f"write {math.ceil(low)} to {max(math.ceil(low), math.floor(high))}",
        )
    count = turn if years is None else years
    if not 1 <= count <= 10 * MOST_COMPARTMENTS:
        raise InputError(f"a calendar of {count} years cannot be made", remedy="write 1 to 1000")
    kg = yearly_bark(
        material_id, poles=poles, stools=stools, hectares=hectares, years=float(turn)
    ).kg
    return tuple(
        YearOfStand(first_year + index, index % turn + 1, 1.0 / turn, kg) for index in range(count)
    )


def yearly_bark(
    material_id: str,
    *,
    poles: float | None = None,
    stools: float | None = None,
    hectares: float | None = None,
    years: float | None = None,
) -> YearlyBark:
    """Dry bark a year that a stand keeps giving, as far as anybody says.

    Parameters
    ----------
    poles, stools, hectares:
        Size of the whole stand, one of the three; poles are stems fit to be peeled.
    years:
        Rotation that is kept; left out: the middle of those told.

    Returns
    -------
    Of a yield told for a pole, a stool or a hectare the 5th, 50th and 95th percentile; without
    ``kg`` and with words when none is told for that size.  Raises UnknownMaterialError, and
    InputError for a size that is not above zero.
    """
    sizes = {"poles": poles, "stools": stools, "hectares": hectares}
    for name, size in sizes.items():
        if size is not None and not 0.0 < size < 1e7:
            raise InputError(f"{size:g} {name} cannot be", place=name, remedy="write the number")
    regrowth = regrowth_of(material_id)
    if not regrowth.known or regrowth.regrows in ("not", "replant"):
        return YearlyBark(None, None, regrowth.words, _sources(regrowth))
    low, high = _told_years(regrowth)
    turn = (low + high) / 2.0 if years is None else years
    if turn + HALF_A_PER_CENT < low:
        raise InputError(
            f"a rotation of {turn:g} years is too short: it needs {years_words(low, high)}",
            place="years",
            remedy=f"write {low:g} or more",
        )
    for told in stand_yields_of(material_id):
        units = _units(told, poles, stools, hectares)
        if units is None:
            continue
        spread = math.hypot(math.log(told.kg_high / told.kg_low) / (2.0 * _Z95), units[1])
        middle = math.sqrt(told.kg_low * told.kg_high) * units[0]
        if not told.per.endswith("-year"):
            middle /= turn
        kg = Range(*(float(middle * np.exp(z * spread)) for z in (-_Z95, 0.0, _Z95)))
        words = f"{told.note}; cut once in {turn:g} years"
        keys = dict.fromkeys([*told.source.split(";"), *_keys(regrowth)])
        return YearlyBark(kg, turn, words, tuple(source(key) for key in keys))
    return YearlyBark(
        None, turn, "Nobody was found who says how much such a stand gives.", _sources(regrowth)
    )


def _steps(part: str) -> list[str]:
    """What stems call for and leaves do not."""
    return ["place:coppice", "step:fell"] if part in ("bark", "wood") else []


def _units(
    told: StandYield, poles: float | None, stools: float | None, hectares: float | None
) -> tuple[float, float] | None:
    """How many of what the yield is told for, with the spread of its logarithm."""
    if told.per == "pole":
        if poles is not None:
            return poles, 0.0
        if stools is not None:
            few, many = STEMS_A_STOOL
            return stools * math.sqrt(few * many), math.log(many / few) / (2.0 * _Z95)
        return None
    size = stools if told.per == "stool-cut" else hectares
    return None if size is None else (size, 0.0)


def _share_a_year(regrowth: Regrowth) -> tuple[float, float] | None:
    if regrowth.years_low is None or regrowth.years_high is None or regrowth.regrows == "not":
        return None
    return 1.0 / regrowth.years_high, 1.0 / regrowth.years_low


def _told_years(regrowth: Regrowth) -> tuple[float, float]:
    if regrowth.years_low is None or regrowth.years_high is None:
        raise InputError(
            regrowth.words.removesuffix("."),
            remedy="take only what is felled or fallen anyway",
        )
    return regrowth.years_low, regrowth.years_high


def _keys(regrowth: Regrowth) -> list[str]:
    return [key for each in regrowth.rotations for key in each.source.split(";")]


def _sources(regrowth: Regrowth) -> tuple[Source, ...]:
    return tuple(source(key) for key in dict.fromkeys(_keys(regrowth)))

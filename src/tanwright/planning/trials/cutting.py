"""From offcuts to numbered, coded patches: what fits on each, how good that is, and in words."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.trials.offcuts import Piece
from tanwright.planning.trials.records import Patch
from tanwright.science.trials.bounds import Bounds, bounds_of
from tanwright.science.trials.codes import all_codes, codes_for
from tanwright.science.trials.layout import Packing
from tanwright.science.trials.packing import pack

MOST_OFFCUTS = 40


@dataclass(frozen=True)
class Cut:
    """How patches are cut: sides in cm, what is kept between them and from edges and flaws."""

    width_cm: float
    height_cm: float
    gap_cm: float = 0.0
    margin_cm: float = 0.5
    most: int | None = None
    alike: bool = True
    """All patches of an offcut lie in one direction, as skin stretches differently along it."""
    seed: int = 1

    @property
    def size(self) -> tuple[float, float]:
        """Sides, the longer first: the first side of a code is a long one."""
        return max(self.width_cm, self.height_cm), min(self.width_cm, self.height_cm)

    @property
    def square(self) -> bool:
        """Whether all four sides are alike."""
        return abs(self.width_cm - self.height_cm) < 1e-6


@dataclass(frozen=True)
class CutPatch:
    """One patch: its middle on the offcut in cm, turned counter-clockwise by ``angle_deg``."""

    number: int
    code: str
    offcut: str
    skin: str
    region: str
    x_cm: float
    y_cm: float
    angle_deg: float
    width_cm: float
    height_cm: float


@dataclass(frozen=True, eq=False)
class PieceCut:
    """One offcut with the patches laid on it and the most that could ever lie on it."""

    piece: Piece
    packing: Packing
    fits: int
    """How many fit, before any were left out for ``most``."""
    bounds: Bounds
    alike: bool

    @property
    def most_possible(self) -> int:
        """No more than this many could lie here, proved."""
        return max(self.fits, self.bounds.alike if self.alike else self.bounds.area)


@dataclass(frozen=True, eq=False)
class Cutting:
    """All offcuts of a trial, cut."""

    cut: Cut
    pieces: tuple[PieceCut, ...]
    patches: tuple[CutPatch, ...]

    @property
    def fits(self) -> int:
        """How many patches fit on all offcuts."""
        return sum(one.fits for one in self.pieces)

    @property
    def most_possible(self) -> int:
        """No more than this many could be cut, proved."""
        return sum(one.most_possible for one in self.pieces)

    @property
    def ratio(self) -> float:
        """Patches that fit over the most possible; 1 when nothing could fit."""
        return self.fits / self.most_possible if self.most_possible else 1.0

    @property
    def ratio_of_area(self) -> float:
        """Patches that fit over the most that the bare area would hold."""
        room = sum(one.bounds.area for one in self.pieces)
        return self.fits / room if room else 1.0

    def records(self) -> tuple[Patch, ...]:
        """The patches as the files of a trial keep them, without treatment."""
        return tuple(
            Patch(
                code=one.code,
                offcut=one.offcut,
                skin=one.skin,
                region=one.region,
                block=" ".join(part for part in (one.skin, one.region) if part),
                treatment="",
            )
            for one in self.patches
        )


def cut_offcuts(
    pieces: Sequence[Piece],
    cut: Cut,
    *,
    taken_codes: Collection[str] = (),
    first_number: int = 1,
) -> Cutting:
    """Lay patches on every offcut, number them in the order of cutting and give each a code.

    With ``cut.most`` each offcut gives in proportion to what fits on it; there are never more
    patches than codes.

    Raises
    ------
    InputError
        For sizes that cannot be cut, no or too many offcuts, two of one name, or when no code
        is left.
    """
    if not pieces:
        raise InputError("there is no offcut yet", remedy="add the outline of one first")
    if len(pieces) > MOST_OFFCUTS:
        raise InputError(
            f"there are {len(pieces)} offcuts", remedy=f"use at most {MOST_OFFCUTS} in one trial"
        )
    names = [piece.name for piece in pieces]
    if len(set(names)) < len(names):
        raise InputError("two offcuts have one name", remedy="give each its own")
    laid: list[PieceCut] = []
    for piece in pieces:
        # Two legs entered as one shape are laid once.
        alike = (one for one in laid if _alike(one.piece, piece))
        twin = next(alike, None)
        laid.append(replace(twin, piece=piece) if twin else _lay(piece, cut, len(pieces)))
    if not any(one.fits for one in laid):
        raise InputError(
            f"no patch of {sides_in_words(cut)} fits on these offcuts",
            remedy="choose a smaller patch or keep less off the edge",
        )
    free = len(all_codes(cut.square)) - len(taken_codes)
    if free < 1:
        raise InputError("every code is in use", remedy="begin a trial of its own")
    shares = _shares([one.fits for one in laid], min(cut.most or free, free))
    kept = tuple(
        replace(one, packing=one.packing.closest(share))
        for one, share in zip(laid, shares, strict=True)
    )
    codes = codes_for(sum(shares), cut.square, taken_codes)
    patches: list[CutPatch] = []
    for one in kept:
        for middle, turn in zip(one.packing.centres, one.packing.turns, strict=True):
            number = len(patches)
            patches.append(
                CutPatch(
                    number=first_number + number,
                    code=codes[number],
                    offcut=one.piece.name,
                    skin=one.piece.skin,
                    region=one.piece.region,
                    x_cm=round(float(middle[0]), 4),
                    y_cm=round(float(middle[1]), 4),
                    angle_deg=round(float(turn), 5),
                    width_cm=cut.size[0],
                    height_cm=cut.size[1],
                )
            )
    return Cutting(cut, kept, tuple(patches))


def sides_in_words(cut: Cut) -> str:
    """``5 × 5 cm``."""
    return f"{cut.size[0]:g} × {cut.size[1]:g} cm"


def cutting_in_words(cutting: Cutting) -> str:
    """How many patches there are and how good that is, one or two sentences."""
    fits, most = cutting.fits, cutting.most_possible
    patches = "patch" if fits == 1 else "patches"
    if fits == most:
        good = "More cannot fit: that is proved."
    else:
        good = (
            f"More than {most} could not fit, so this is {100 * cutting.ratio:.0f} % of the most"
            " possible or better."
        )
    text = f"{fits} {patches} of {sides_in_words(cutting.cut)} fit. {good}"
    if len(cutting.patches) < fits:
        text += f" {len(cutting.patches)} of them are used."
    return text


def _lay(piece: Piece, cut: Cut, among: int) -> PieceCut:
    """Patches on one offcut; with many of them each is looked at less long."""
    region = piece.outline.usable(cut.margin_cm)
    packing = pack(
        region,
        cut.size,
        gap=cut.gap_cm,
        alike=cut.alike,
        seed=cut.seed,
        directions=max(3, 12 // among),
        rounds=90 if among <= 4 else 45,
        step_deg=3.0 if among <= 4 else 6.0,
    )
    bounds = bounds_of(region, cut.size, cut.gap_cm, budget=max(40, 150 // among))
    return PieceCut(piece, packing, packing.count, bounds, cut.alike)


def _alike(one: Piece, other: Piece) -> bool:
    return one.outline.rings() == other.outline.rings()


def _shares(fits: Sequence[int], most: int | None) -> list[int]:
    """How many of each offcut are used: in proportion, the largest remainders first."""
    whole = sum(fits)
    if most is None or most >= whole:
        return list(fits)
    exact = np.asarray(fits, dtype=float) * most / whole
    shares = np.floor(exact).astype(int)
    for at in np.argsort(shares - exact, kind="stable")[: most - int(shares.sum())]:
        shares[at] += 1
    return [int(share) for share in shares]

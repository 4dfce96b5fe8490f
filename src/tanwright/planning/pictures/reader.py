"""How the person who looks at a picture measures: scale of strength, volumes, or by eye alone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from tanwright.science.strength import SCALES, convert, scale_of

if TYPE_CHECKING:
    from tanwright.science.belief.unknowns import Floats

DECIMALS = {"sg": 3}
"""Decimals of the scales whose numbers do not read well in two figures."""


@dataclass(frozen=True)
class Reader:
    """Units and habits of the reader; the numbers files stay in °Bk, litres and mm.

    ``scale`` is a key of ``science.strength.SCALES``; ``by_eye`` shows how the liquor looks, for a
    person without a hydrometer.
    """

    scale: str = "bk"
    by_eye: bool = False
    volume_unit: str = "L"
    litres_per_volume: float = 1.0
    length_unit: str = "mm"
    mm_per_length: float = 1.0
    mass_unit: str = "kg"
    kg_per_mass: float = 1.0

    @property
    def strength_unit(self) -> str:
        """The sign of the scale, as printed after a number."""
        return SCALES[self.scale].sign

    def strength(self, strength_bk: Floats) -> Floats:
        """Strengths in °Bk (any shape) on the reader's scale."""
        return convert(strength_bk, "bk", self.scale)

    def strength_of(self, strength_bk: float) -> float:
        """One strength in °Bk on the reader's scale."""
        return float(self.strength(np.array([strength_bk], dtype=np.float64))[0])


METRIC = Reader()
US = Reader(
    volume_unit="gal",
    litres_per_volume=3.785411784,
    length_unit="in",
    mm_per_length=25.4,
    mass_unit="lb",
    kg_per_mass=0.45359237,
)
"""US gallon, inch and avoirdupois pound, by definition."""


def reader_of(
    system: Literal["metric", "us"] = "metric", scale: str | None = None, *, by_eye: bool = False
) -> Reader:
    """The reader with these units and this scale; ``scale=None`` leaves °Bk.

    Raises
    ------
    InputError
        For a scale that does not exist.
    """
    key = scale_of(scale or "bk").key
    return replace(US if system == "us" else METRIC, scale=key, by_eye=by_eye)

"""The ranking itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tanwright.planning.answers import Range
from tanwright.planning.choosing.purpose import Near, Purpose
from tanwright.reference.materials import Material

PARTS = ("quality", "amount", "evidence", "source", "effort")
"""The parts of a score, in the order in which they are shown."""


@dataclass(frozen=True)
class Ranked:
    """One material for the purpose, the best first.

    Attributes
    ----------
    score:
        Weighted mean of the parts, 0 to 1.
    parts:
        Each of :data:`PARTS`, 0 (bad) to 1 (good).
    reasons:
        Why each part is what it is, a few words each, by the names of the parts.
    kg:
        Air-dry material for the skin, 5th, 50th and 95th percentile.
    tannin_pct:
        Tannin of one lot, % of the air-dry mass.
    skins_words:
        How much of the material in plain words: "about 3 to 9 kg for the 2 kg goat skin".
    sentence:
        Why it stands where it stands, in one sentence.
    proven:
        Used by the trade or by tradition.
    season_words:
        When it is gathered, and whether that is now.
    warnings:
        Poison, look-alikes, protection, and kin that must be left alone.
    near:
        Where it was seen, None when nothing is known.
    """

    material_id: str
    name: str
    score: float
    parts: Mapping[str, float]
    reasons: Mapping[str, str]
    kg: Range
    tannin_pct: Range
    skins_words: str
    sentence: str
    proven: bool
    season_words: str
    warnings: tuple[str, ...]
    near: Near | None


def rank(purpose: Purpose, *, materials: Sequence[Material] | None = None) -> tuple[Ranked, ...]:
    """Materials that fit the purpose, the best first; what must be avoided is never among them.

    Parameters
    ----------
    purpose:
        What the plant is for. Only plants of ``purpose.place`` are ranked, or those in
        ``purpose.seen``.
    materials:
        The materials to choose from, those of the reference when None.

    Returns
    -------
    tuple of Ranked
        Empty when nothing fits.
    """
    raise NotImplementedError

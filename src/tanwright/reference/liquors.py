"""Looks of a liquor, extraction by temperature and the strength of lime water."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import table

Span = tuple[float, float]


@dataclass(frozen=True)
class Look:
    """What a liquor looks like and the strength it may have, degrees barkometer (low, high)."""

    id: str
    words: tuple[str, ...]
    strength_bk: Span
    note: str
    source: str


@dataclass(frozen=True)
class ExtractionBand:
    """Tannin drawn to exhaustion in one band of temperature, % of the material."""

    temperature_c: Span
    way: str
    tannin_pct: float


@dataclass(frozen=True)
class ExtractionSeries:
    """One lot extracted at each temperature (parker1895)."""

    id: str
    material_id: str
    label: str
    bands: tuple[ExtractionBand, ...]
    best_c: Span
    nontannin_pct: float
    source: str

    @property
    def best_pct(self) -> float:
        """Tannin drawn in the best band, % of the material."""
        return max(band.tannin_pct for band in self.bands)

    @property
    def purity(self) -> float:
        """Tannin over tannin and non-tannin in the best band."""
        return self.best_pct / (self.best_pct + self.nontannin_pct)

    @property
    def cold_share(self) -> float:
        """Tannin drawn at 15 °C over that of the best band."""
        cold = next(band for band in self.bands if band.temperature_c == (15.0, 15.0))
        return cold.tannin_pct / self.best_pct


@dataclass(frozen=True)
class LimeStrength:
    """Lime dissolved in saturated lime water, g CaO per litre."""

    temperature_c: float
    cao_g_per_l: float
    source: str


def look(words: str) -> Look:
    """Look by its words ("pale tea" to "black coffee"). Raises InputError with near matches."""
    wanted = " ".join(words.lower().replace("-", " ").split())
    known = {word: item for item in looks() for word in (item.id.replace("-", " "), *item.words)}
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(wanted, list(known), n=2, cutoff=0.6)
    raise InputError(
        f"'{words}' is not a look that can be read",
        remedy="did you mean " + " or ".join(near) + "?"
        if near
        else "write one of " + ", ".join(item.words[0] for item in looks()),
    )


@lru_cache(maxsize=1)
def looks() -> tuple[Look, ...]:
    """All looks, palest first."""
    return tuple(
        Look(
            id=row.text("id"),
            words=row.words("words"),
            strength_bk=(row.number("low_bk"), row.number("high_bk")),
            note=row.text("note"),
            source=row.text("source"),
        )
        for row in table("looks")
    )


@lru_cache(maxsize=1)
def extraction_series() -> tuple[ExtractionSeries, ...]:
    """The nine lots of the extraction table."""
    bands: dict[str, list[ExtractionBand]] = {}
    for row in table("extraction"):
        bands.setdefault(row.text("series"), []).append(
            ExtractionBand(
                temperature_c=(row.number("low_c"), row.number("high_c")),
                way=row.text("way"),
                tannin_pct=row.number("tannin_pct"),
            )
        )
    return tuple(
        ExtractionSeries(
            id=row.text("id"),
            material_id=row.text("material_id"),
            label=row.text("label"),
            bands=tuple(bands[row.text("id")]),
            best_c=(row.number("best_low_c"), row.number("best_high_c")),
            nontannin_pct=row.number("nontannin_pct"),
            source=row.text("source"),
        )
        for row in table("extraction_series")
    )


@lru_cache(maxsize=1)
def lime_solubility() -> tuple[LimeStrength, ...]:
    """Strength of saturated lime water by temperature."""
    return tuple(
        LimeStrength(row.number("temperature_c"), row.number("cao_g_per_l"), row.text("source"))
        for row in table("lime_solubility")
    )

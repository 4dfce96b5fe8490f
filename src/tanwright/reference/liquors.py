"""Looks of a liquor, tannin drawn at each temperature, and the strength of lime water."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference.loader import record, table
from tanwright.reference.materials import Material, material

Span = tuple[float, float]

_BY_FAMILY = {
    ("bark", "Fagaceae"): "oak",
    ("bark", "Fabaceae"): "mimosa",
    ("bark", "Rhizophoraceae"): "mangrove",
}
_BY_PART = {
    "bark": "oak",
    "root-bark": "oak",
    "leaf": "sumac",
    "twig-leaf": "sumac",
    "whole-herb": "sumac",
    "root": "canaigre",
    "rhizome": "canaigre",
    "wood": "quebracho",
    "fruit": "myrobalan",
    "pod": "myrobalan",
    "fruit-hull": "myrobalan",
    "nut": "myrobalan",
    "cup": "valonia-smyrna",
    "gall": "valonia-smyrna",
    "exudate": "mimosa",
}


@dataclass(frozen=True)
class Look:
    """What a liquor looks like and the strength it may have, degrees barkometer."""

    id: str
    words: tuple[str, ...]
    low_bk: float
    high_bk: float
    note: str
    source: str

    @property
    def strength_bk(self) -> Span:
        """Weakest and strongest likely."""
        return self.low_bk, self.high_bk


def look(words: str) -> Look:
    """Look by its words ("pale tea" to "black coffee"). Raises InputError with near matches."""
    wanted = " ".join(words.lower().replace("-", " ").split())
    known = {word: item for item in looks() for word in (item.id.replace("-", " "), *item.words)}
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(wanted, list(known), n=2, cutoff=0.6)
    raise InputError(
        f'"{words}" is not a look that can be read',
        remedy="did you mean " + " or ".join(near) + "?"
        if near
        else "write one of " + ", ".join(item.words[0] for item in looks()),
    )


@lru_cache(maxsize=1)
def looks() -> tuple[Look, ...]:
    """All looks, palest first."""
    return tuple(record(Look, row) for row in table("looks"))


@dataclass(frozen=True)
class ExtractionBand:
    """Tannin drawn to exhaustion in one band of temperature, % of the material."""

    temperature_c: Span
    way: str
    tannin_pct: float


@dataclass(frozen=True)
class ExtractionSeries:
    """One lot extracted at each temperature."""

    id: str
    material_id: str
    label: str
    bands: tuple[ExtractionBand, ...]
    best_c: Span
    nontannin_pct: float
    source: str

    @property
    def temperature_c(self) -> tuple[float, ...]:
        """Middle of each band, °C, rising; a boil counts as 100 °C."""
        return tuple(0.5 * sum(band.temperature_c) for band in self.bands)

    @property
    def tannin_pct(self) -> tuple[float, ...]:
        """Tannin drawn in each band, % of the material."""
        return tuple(band.tannin_pct for band in self.bands)

    @property
    def best_pct(self) -> float:
        """Tannin drawn in the best band, % of the material."""
        return max(self.tannin_pct)

    @property
    def purity(self) -> float:
        """Tannin over tannin and non-tannin in the best band."""
        return self.best_pct / (self.best_pct + self.nontannin_pct)


@dataclass(frozen=True)
class LimeStrength:
    """Lime dissolved in saturated lime water, g CaO per litre."""

    temperature_c: float
    cao_g_per_l: float
    source: str


@lru_cache(maxsize=1)
def extraction_series() -> tuple[ExtractionSeries, ...]:
    """The nine lots of the extraction table."""
    bands: dict[str, list[ExtractionBand]] = {}
    for row in table("extraction"):
        span = (row.number("low_c"), row.number("high_c"))
        band = ExtractionBand(span, row.text("way"), row.number("tannin_pct"))
        bands.setdefault(row.text("series"), []).append(band)
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


def series_for(material_id: str) -> ExtractionSeries:
    """Series nearest to a material: its own, that of its genus and part, of its family, its part.

    Which series stands for a part without one is a judgement from memory. Raises
    UnknownMaterialError for an unknown id.
    """
    item = material(material_id)
    series = extraction_series()
    for one in series:
        if one.material_id == item.id:
            return one
    for one in series:
        other = material(one.material_id)
        if item.known and (other.genus, other.part) == (item.genus, item.part):
            return one
    wanted = _stand_in(item)
    return next(one for one in series if one.id == wanted)


@lru_cache(maxsize=1)
def lime_solubility() -> tuple[LimeStrength, ...]:
    """Strength of saturated lime water by temperature."""
    return tuple(record(LimeStrength, row) for row in table("lime_solubility"))


def _stand_in(item: Material) -> str:
    return _BY_FAMILY.get((item.part, item.family)) or _BY_PART[item.part]

"""After how many years what was cut may be cut again, by whom said, and what a stand gives."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tanwright.reference.loader import Row, record, table
from tanwright.reference.materials import Material, material
from tanwright.reference.sources import cite, source

REGROWTH_WORDS = {
    "stool": "grows again from the stump",
    "suckers": "grows again from the roots",
    "pruned": "grows again when enough is left on it,",
    "crop": "comes again by itself",
    "replant": "has to be sown or planted anew",
    "not": "does not grow again from the stump",
    "protected": "is protected in places, and taking it kills it: ask what the law lets you take",
    "avoid": "is left alone, not to be gathered",
}
GROWS_AGAIN = ("stool", "suckers", "pruned", "crop", "replant")
"""Ways of growing again; of what has none of them nothing should be cut."""


@dataclass(frozen=True)
class Rotation:
    """One statement: years between cuts (``None`` where nobody was found who says).

    ``regrows`` is stool, suckers, pruned, crop, replant or not; ``source`` holds citation keys
    separated by ";".
    """

    id: str
    scope: str
    regrows: str
    years_low: float | None
    years_high: float | None
    note: str
    source: str

    @property
    def read(self) -> bool:
        """Whether its years rest on something that was read, not on memory."""
        return source(self.source.split(";")[0]).strength in ("read", "weak")

    @property
    def cited(self) -> tuple[str, ...]:
        """Short references of the sources."""
        return cite(self.source.split(";"))

    @property
    def years(self) -> str:
        """The years in words: "16 to 20 years", "every year"; empty where they are not told."""
        return years_words(self.years_low, self.years_high)


@dataclass(frozen=True)
class Regrowth:
    """What is told of one material, taken together.

    Attributes
    ----------
    regrows:
        As in :class:`Rotation`; ``""`` when nothing is told, ``"avoid"`` for what must not be
        gathered, ``"protected"`` for a protected plant that taking kills: of these two no years
        are told, whatever its kin bear.
    years_low, years_high:
        Shortest and longest time told, of the statements that were read when there are any.
    from_memory:
        The years rest on memory alone.
    rotations:
        All statements, those read first.
    """

    material_id: str
    regrows: str
    years_low: float | None
    years_high: float | None
    from_memory: bool
    rotations: tuple[Rotation, ...]

    @property
    def known(self) -> bool:
        """Whether years are told."""
        return self.years_low is not None

    @property
    def words(self) -> str:
        """One sentence: how it grows again and after how long."""
        if not self.regrows:
            return "Nobody was found who says whether and when it may be cut again."
        told = REGROWTH_WORDS[self.regrows]
        after = years_words(self.years_low, self.years_high)
        if after:
            verb = {"crop": "", "replant": "and gives again "}.get(self.regrows, "and is cut ")
            told += f" {verb}{after}" if after.startswith("every") else f" {verb}after {after}"
            told += " (from memory)" if self.from_memory else ""
        elif self.regrows in GROWS_AGAIN:
            told += "; nobody was found who says after how long"
        return f"It {told}."


@dataclass(frozen=True)
class StandYield:
    """Dry bark in kg (nine stands of ten) for each ``per``: pole, stool-cut, hectare-cut or
    hectare-year."""

    id: str
    scope: str
    per: str
    kg_low: float
    kg_high: float
    note: str
    source: str

    @property
    def cited(self) -> tuple[str, ...]:
        """Short references of the sources."""
        return cite(self.source.split(";"))


@lru_cache(maxsize=1024)
def rotations_of(material_id: str) -> tuple[Rotation, ...]:
    """Statements on the material, those read first; empty when nothing is told.

    Raises UnknownMaterialError.
    """
    item = material(material_id)
    found = tuple(record(Rotation, row) for row in _narrowest(item, "rotations"))
    return tuple(sorted(found, key=lambda each: not each.read))


@lru_cache(maxsize=1024)
def regrowth_of(material_id: str) -> Regrowth:
    """What is told of the material, taken together. Raises UnknownMaterialError."""
    told = rotations_of(material_id)
    spared = _spared(material(material_id))
    if spared:
        return Regrowth(material_id, spared, None, None, from_memory=False, rotations=())
    with_years = [each for each in told if each.years_low is not None]
    read = [each for each in with_years if each.read]
    used = read or with_years
    lows = [each.years_low for each in used if each.years_low is not None]
    highs = [each.years_high for each in used if each.years_high is not None]
    return Regrowth(
        material_id=material_id,
        regrows=(used or list(told))[0].regrows if told else "",
        years_low=min(lows) if lows else None,
        years_high=max(highs) if highs else None,
        from_memory=any("memory" in each.source.split(";") for each in used) and not read,
        rotations=told,
    )


@lru_cache(maxsize=1024)
def stand_yields_of(material_id: str) -> tuple[StandYield, ...]:
    """What a stand of the material gives, where anybody says. Raises UnknownMaterialError."""
    rows = _narrowest(material(material_id), "stand_yields")
    return tuple(record(StandYield, row) for row in rows)


def years_words(low: float | None, high: float | None) -> str:
    """Years in words: "16 to 20 years", "every year", "every 3 to 6 months"; empty for none."""
    if low is None or high is None:
        return ""
    if high < 1.0:
        first, last = f"{12.0 * low:g}", f"{12.0 * high:g}"
        return f"every {first} months" if low == high else f"every {first} to {last} months"
    if low == high:
        return "every year" if low == 1.0 else f"{low:g} years"
    return f"{low:g} to {high:g} years"


def _spared(item: Material) -> str:
    if not item.may_be_suggested:
        return "avoid"
    return "protected" if "protected" in item.hazards and item.gather_effect == "kills" else ""


def _narrowest(item: Material, name: str) -> tuple[Row, ...]:
    """Rows of the narrowest scope that fits the material."""
    species = " ".join(item.scientific_name.split()[:2])
    for scope in (
        f"species:{species}+part:{item.part}",
        f"genus:{item.genus}+part:{item.part}",
        f"part:{item.part}",
    ):
        rows = tuple(row for row in table(name) if row.text("scope") == scope)
        if rows:
            return rows
    return ()

"""Everything that the page of one plant tells."""

from __future__ import annotations

from dataclasses import dataclass

from tanwright.planning.answers import Range
from tanwright.planning.occurrences import Seen
from tanwright.planning.occurrences.distances import distance_words
from tanwright.planning.one_skin import USUAL, for_one_skin
from tanwright.planning.plants import Described, describe
from tanwright.reference.animals import animal
from tanwright.reference.cautions import Caution
from tanwright.reference.materials import Material, Observation
from tanwright.reference.sources import source
from tanwright.units import System, format_mass, format_range, rounded
from tanwright.yard.plants.models import HomePlace
from tanwright.yard.plants.pictures import Drawn, tannin_picture
from tanwright.yard.plants.queries import strength_words
from tanwright.yard.plants.seasons import Sun, Window, told_in_words, windows
from tanwright.yard.plants.wording import (
    CLASSES,
    EFFECTS,
    HAZARDS,
    PROVENANCES,
    SERIOUS,
    TRACKS,
    Word,
    citation,
    sentence,
)

FIRST: frozenset[str] = frozenset({"poisonous-plant", "look-alike", "plant", "protected-plant"})
"""Topics of cautions that stand at the top of a page."""


@dataclass(frozen=True)
class Figure:
    """One published figure: what it says, whence, and how much it counts."""

    figure: str
    as_given: str
    source: str
    key: str
    basis: str
    counted: str
    note: str
    read: bool


@dataclass(frozen=True)
class Amount:
    """How much one skin takes."""

    skin: str
    words: str
    likely: str


@dataclass(frozen=True)
class Season:
    """One stretch of the year in which it is gathered."""

    what: str
    days: str
    best: bool
    why: str
    cited: str


@dataclass(frozen=True)
class PlantPage:
    """What the reference says of one plant, for a reader."""

    item: Material
    name: str
    lead: str
    strength: str
    picture: Drawn
    rule: str
    figures: tuple[Figure, ...]
    amounts: tuple[Amount, ...]
    seasons: tuple[Season, ...]
    season_words: str
    season_at_home: bool
    track: Word
    tannin_class: Word
    effect: Word
    provenance: Word
    hazards: tuple[Word, ...]
    danger: tuple[Caution, ...]
    """Cautions that come before everything else."""
    cautions: tuple[Caution, ...]
    sources: tuple[tuple[str, str], ...]
    """Key and citation of each."""
    purity: str
    water: str

    @property
    def regions(self) -> str:
        """Where it grows, to stand before a full stop."""
        return ", ".join(self.item.regions).removesuffix(".")

    @property
    def other_names(self) -> str:
        """Every name beside the first."""
        return ", ".join([*self.item.common_names[1:], *self.item.synonyms])


def page_of(material_id: str, sun: Sun, year: int, system: System) -> PlantPage:
    """The page of one plant. Raises UnknownMaterialError."""
    told = describe(material_id)
    item = told.material
    amounts = _amounts(item, system) if item.may_be_suggested else ()
    serious = not item.may_be_suggested or bool(SERIOUS & set(item.hazards))
    danger = tuple(part for part in told.cautions if serious and part.topic in FIRST)
    return PlantPage(
        item=item,
        name=item.name[:1].upper() + item.name[1:],
        lead=_lead(told, amounts),
        strength=strength_words(told.tannin_pct),
        picture=tannin_picture(item.id),
        rule=told.rule,
        figures=tuple(_figure(row) for row in told.observations),
        amounts=amounts,
        seasons=tuple(map(_season, windows(item.id, sun, year))) if item.known else (),
        season_words=told_in_words(item.id, sun, year) if item.known else "",
        season_at_home=sun.latitude is not None,
        track=TRACKS[item.track_record],
        tannin_class=CLASSES[item.tannin_class],
        effect=EFFECTS[item.gather_effect],
        provenance=PROVENANCES[item.provenance],
        hazards=tuple(HAZARDS[hazard] for hazard in item.hazards),
        danger=danger,
        cautions=tuple(part for part in told.cautions if part not in danger),
        sources=tuple((found.key, citation(found)) for found in told.sources),
        purity=_percent(told.purity_pct),
        water=_percent(told.water_fresh_pct),
    )


def seen_words(seen: Seen | None, home: HomePlace | None, system: System) -> str:
    """How often, how near and when last it was seen; empty when nobody told of it."""
    if seen is None or home is None:
        return ""
    often = "once" if seen.count == 1 else f"{seen.count} times"
    reach, nearest = (distance_words(km, system) for km in (home.reach_km, seen.nearest_km))
    return (
        f"Seen {often} within {reach} of the yard, nearest about {nearest} off, last in "
        f"{seen.latest:%B %Y}."
    )


def _lead(told: Described, amounts: tuple[Amount, ...]) -> str:
    item = told.material
    if not item.may_be_suggested:
        return "Leave it alone. Its figures are here for knowing it, not for gathering it."
    if not item.known:
        return (
            "Nobody could name it, so it is taken to be middling and may be anything. Test it, and "
            "try it on an offcut before a skin."
        )
    goat = next(amount for amount in amounts if amount.skin == "goat")
    strong = _how_strong(told.tannin_pct.p50)
    return f"{strong} stuff, {TRACKS[item.track_record].short}. A goat skin takes {goat.words}."


def _how_strong(likely_pct: float) -> str:
    """In plain words; the bounds are ours."""
    for bound, words in ((5.0, "Weak"), (9.0, "Middling"), (16.0, "Strong")):
        if likely_pct < bound:
            return words
    return "Very strong"


def _amounts(item: Material, system: System) -> tuple[Amount, ...]:
    found = []
    for name in USUAL:
        kg = for_one_skin(item.id, name).kg
        likely = format_mass(kg.p50, system)
        between = format_range(kg.p05, kg.p95, "mass", system)
        words = f"{between} of it, air-dry, most likely {likely}"
        found.append(Amount(animal(name).name, words, likely))
    return tuple(found)


def _season(window: Window) -> Season:
    why = " ".join(sentence(text) for text in (window.reason, window.note) if text)
    return Season(
        what=window.what[:1].upper() + window.what[1:],
        days=window.days,
        best=window.best,
        why=why,
        cited="; ".join(window.cited),
    )


def _figure(row: Observation) -> Figure:
    if row.same_as:
        counted = "not counted: it repeats another figure"
    elif row.use != "prior":
        counted = f"not counted: {row.why_not_used}" if row.why_not_used else "not counted"
    else:
        counted = "counted"
        if row.doubts:
            counted += f", but less: doubtful {_and(row.doubts)}"
    basis = {"unstated": "water not stated", "air-dry": "of the air-dry", "oven-dry": "of the dry"}
    return Figure(
        figure=row.figure,
        as_given=row.as_given,
        source=citation(source(row.source)),
        key=row.source,
        basis=basis[row.basis],
        counted=counted,
        note=row.note,
        read=row.provenance == "read",
    )


def _and(words: tuple[str, ...]) -> str:
    plain = [word.replace("weak-source", "source").replace("-", " ") for word in words]
    return plain[0] if len(plain) == 1 else f"{', '.join(plain[:-1])} and {plain[-1]}"


def _percent(pct: Range) -> str:
    return f"{rounded(pct.p05)} to {rounded(pct.p95)} %, most likely {rounded(pct.p50)} %"

"""All plant parts of the reference made ready for looking through, and the looking itself.

Made once for the process: to filter and sort a thousand of them takes a few milliseconds, and asks
neither the reference nor the database anything.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from tanwright.planning.answers import Range
from tanwright.planning.skin_facts import Z95
from tanwright.reference import materials, priors
from tanwright.reference.materials import Material
from tanwright.reference.world import Place, grows_in
from tanwright.yard.plants.leather_words import characters_of, colours_of
from tanwright.yard.plants.wording import TRACKS

TRACK_ORDER: Final = {track: place for place, track in enumerate(TRACKS)}
TRACK_GROUPS: Final = {"proved": frozenset({"industrial", "traditional"})}
EFFECT_GROUPS: Final = {"gentle": frozenset({"recoverable", "byproduct", "harmless"})}


@dataclass(frozen=True)
class Row:
    """One plant part, with all that one can ask for."""

    material: Material
    tannin_pct: Range
    figures: int
    """Published figures that count."""
    sources: int
    """Independent groups of sources behind them."""
    colours: frozenset[str]
    characters: frozenset[str]
    names: str
    """Every name in small plain letters, each word after a blank."""

    @property
    def id(self) -> str:
        return self.material.id


@dataclass(frozen=True)
class Asked:
    """What to look for; an empty field asks for nothing.

    ``track`` and ``effect`` take a key of the reference, or "proved" and "gentle" for the good
    ones together; ``hazard`` a hazard, or "none".
    """

    text: str = ""
    place: Place | None = None
    month: int | None = None
    part: str = ""
    tannin_class: str = ""
    track: str = ""
    colour: str = ""
    character: str = ""
    effect: str = ""
    hazard: str = ""
    own: frozenset[str] | None = None
    """Only these ids: the yard's own list."""
    sort: str = "track"


@lru_cache(maxsize=1)
def catalogue() -> tuple[Row, ...]:
    """Every plant part of the reference; those that nobody could name are no part of it."""
    return tuple(row_of(item) for item in materials.materials())


def row_of(item: Material) -> Row:
    """One material made ready."""
    prior = priors.tannin_prior(item.id).unknown
    low, middle, high = (100.0 * float(prior.value(z)) for z in (-Z95, 0.0, Z95))
    independent = [row for row in item.observations if row.independent]
    return Row(
        material=item,
        tannin_pct=Range(low, middle, high),
        figures=len(independent),
        sources=len({row.source for row in independent}),
        colours=colours_of(item.leather_colour),
        characters=characters_of(item.leather_character),
        names=_plain_words(
            item.name, item.scientific_name, *item.synonyms, *item.common_names, item.family,
            item.part,
        ),
    )  # fmt: skip


def find(
    rows: Sequence[Row], asked: Asked, months: Mapping[str, frozenset[int]]
) -> tuple[Row, ...]:
    """Rows that fit ``asked``, sorted. ``months`` tells of each id when it is gathered."""
    words = [f" {word}" for word in _plain_words(asked.text).split()]
    fits = [
        row
        for row in rows
        if all(word in row.names for word in words)
        and _fits(row, asked)
        and (asked.place is None or grows_in(row.material, asked.place))
        and (asked.month is None or asked.month in months.get(row.id, frozenset()))
    ]
    return tuple(sorted(fits, key=SORTS[asked.sort]))


def _fits(row: Row, asked: Asked) -> bool:
    item = row.material
    return (
        (asked.own is None or item.id in asked.own)
        and asked.part in ("", item.part)
        and asked.tannin_class in ("", item.tannin_class)
        and _among(asked.track, item.track_record, TRACK_GROUPS)
        and _among(asked.effect, item.gather_effect, EFFECT_GROUPS)
        and (not asked.colour or asked.colour in row.colours)
        and (not asked.character or asked.character in row.characters)
        and _hazard_fits(asked.hazard, item)
    )


def _among(asked: str, have: str, groups: Mapping[str, frozenset[str]]) -> bool:
    return not asked or asked == have or have in groups.get(asked, ())


def _hazard_fits(asked: str, item: Material) -> bool:
    if asked == "none":
        return not item.hazards and item.may_be_suggested
    return not asked or asked in item.hazards


def _by_name(row: Row) -> tuple[object, ...]:
    return (row.material.name.lower(), row.id)


def _by_strength(row: Row) -> tuple[object, ...]:
    return (-row.tannin_pct.p50, row.id)


def _by_track(row: Row) -> tuple[object, ...]:
    return (TRACK_ORDER[row.material.track_record], -row.figures, *_by_name(row))


def _by_evidence(row: Row) -> tuple[object, ...]:
    memory = row.material.provenance == "memory"
    return (-row.sources, -row.figures, memory, *_by_name(row))


SORTS: Final = {
    "track": _by_track,
    "name": _by_name,
    "strength": _by_strength,
    "evidence": _by_evidence,
}


def parts_in(rows: Iterable[Row]) -> tuple[str, ...]:
    """Parts of plants that there are, in the order of the reference."""
    there = {row.material.part for row in rows}
    return tuple(part for part in materials.PARTS if part in there)


def _plain_words(*texts: str) -> str:
    bare = unicodedata.normalize("NFKD", " ".join(texts).lower().replace("ø", "o"))
    bare = "".join(sign for sign in bare if not unicodedata.combining(sign))
    return "".join(f" {word}" for word in re.findall(r"[^\W_]+", bare))

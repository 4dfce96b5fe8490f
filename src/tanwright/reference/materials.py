"""Plant parts that hold tannin, with their published figures, and how to find one by name."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import UnknownMaterialError
from tanwright.reference import world
from tanwright.reference.loader import record, table

PARTS = (
    "bark", "leaf", "twig-leaf", "whole-herb", "root", "rhizome", "root-bark", "wood", "fruit",
    "pod", "fruit-hull", "nut", "cup", "gall", "exudate",
)  # fmt: skip
_PART_WORDS = frozenset(word for part in PARTS for word in part.split("-")) | {"leaves"}
_TRACK_ORDER = ("industrial", "traditional", "tried", "content-only", "avoid")


@dataclass(frozen=True)
class Observation:
    """One published tannin content, % of the material.

    ``reading`` says how the prior reads it (range, about, average, measured, up-to, at-least,
    exceptional); ``use`` is ``"context"`` for a figure that is shown but not used, with the
    reason in ``why_not_used``; ``same_as`` names the row that it repeats.
    """

    id: str
    material_id: str
    low_pct: float | None
    high_pct: float | None
    reading: str
    as_given: str
    basis: str
    use: str
    doubts: tuple[str, ...]
    same_as: str
    note: str
    source: str
    provenance: str
    why_not_used: str

    @property
    def independent(self) -> bool:
        """Counts for the prior: neither context nor a repeat of another row."""
        return self.use == "prior" and not self.same_as

    @property
    def figure(self) -> str:
        """The figure in words, for example ``"12-14 %"`` or ``"up to 30 %"``."""
        low, high = self.low_pct, self.high_pct
        if low is None:
            return f"up to {high:g} %"
        if high is None:
            return f"{low:g} % or more"
        return f"{low:g} %" if low == high else f"{low:g}-{high:g} %"


@dataclass(frozen=True)
class Material:
    """One part of one plant. ``track_record`` is ``"avoid"`` for what nobody should gather.

    ``counted_with`` names other species that the sources' figures include.
    """

    id: str
    scientific_name: str
    synonyms: tuple[str, ...]
    family: str
    common_names: tuple[str, ...]
    part: str
    tannin_class: str
    track_record: str
    regions: tuple[str, ...]
    season: str
    gather_effect: str
    leather_colour: str
    leather_character: str
    hazards: tuple[str, ...]
    cautions: str
    remark: str
    sources: tuple[str, ...]
    provenance: str
    counted_with: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        """False for ``unknown-bark`` and its like."""
        return bool(self.scientific_name)

    @property
    def genus(self) -> str:
        """First word of the scientific name, ``""`` when unknown."""
        return self.scientific_name.split(" ")[0]

    @property
    def name(self) -> str:
        """Everyday name with its part, for example ``"English oak bark"``."""
        common, part = self.common_names[0], self.part.replace("-", " ")
        words = set(re.findall(r"[a-z]+", common.lower()))
        if words & _NAMES_A_PART or part in common.lower():
            return common
        return f"{common} {part}"

    @property
    def may_be_suggested(self) -> bool:
        """False for poisonous or protected plants."""
        return self.track_record != "avoid"

    @property
    def observations(self) -> tuple[Observation, ...]:
        """Published figures of this material."""
        return _observations_by_material().get(self.id, ())

    @property
    def published_range_pct(self) -> tuple[float | None, float | None]:
        """Lowest and highest published tannin content used, % of the material."""
        used = [row for row in self.observations if row.use == "prior"]
        lows = [row.low_pct for row in used if row.low_pct is not None]
        highs = [row.high_pct for row in used if row.high_pct is not None]
        return (min(lows) if lows else None, max(highs) if highs else None)


_NAMES_A_PART = {
    "bark", "leaf", "leaves", "cones", "gall", "galls", "pod", "pods", "husk", "hull", "rind",
    "root", "wood", "kino", "myrobalan", "valonia", "cutch", "phyllodes", "berries",
    "nut", "seed", "marc", "grounds", "tea", "heather", "divi", "tara", "algarobilla", "skins",
    "shell", "burr", "gambier", "oakwood", "quebracho", "bablah", "garad", "balaustines",
}  # fmt: skip


def materials() -> tuple[Material, ...]:
    """All materials of the table, in the order of their ids (the unknown ones not included)."""
    return tuple(_by_id().values())


def material(id: str) -> Material:
    """Material by its id, ``unknown-<part>`` included.

    Raises UnknownMaterialError with near matches.
    """
    key = id.strip().lower()
    found = _by_id().get(key) or _unknown().get(key)
    if found is None:
        raise UnknownMaterialError(f'no material is called "{id}"', remedy=_near(id))
    return found


def find(text: str) -> Material:
    """Material by id, by scientific name with its part, or by a name that fits only one.

    Raises UnknownMaterialError: with the candidates when several fit, with near matches when none
    does.
    """
    key = _plain(text)
    dashed = key.replace(" ", "-")
    exact = _by_id().get(dashed) or _unknown().get(dashed) or _unknown().get(f"unknown-{dashed}")
    if exact is not None:
        return exact
    words = key.split()
    if len(words) == 2 and words[0] in ("some", "any", "a", "an") and words[1] in PARTS:
        return _unknown()[f"unknown-{words[1]}"]
    for names in (_full_names, _bare_names):
        fits = tuple(item for item in materials() if key in names(item))
        if len(fits) == 1:
            return fits[0]
        if fits:
            raise _several(text, fits)
    fits = search(text)
    if len(fits) == 1 and len(words) > 1:
        return fits[0]
    if len(fits) > 1:
        raise _several(text, fits)
    raise UnknownMaterialError(f'no material is called "{text.strip()}"', remedy=_near(text))


def search(
    text: str = "",
    *,
    part: str | None = None,
    tannin_class: str | None = None,
    track_record: str | None = None,
    region: str | None = None,
) -> tuple[Material, ...]:
    """Materials whose names, synonyms, family or part hold every word of ``text``.

    The best proved come first, what should be avoided last. ``region`` takes a country, a WGSRPD
    continent, region or area, or a part of the name of a region. Raises InputError for a place
    that is not known.
    """
    words = _plain(text).split()
    wanted = None if region is None else world.regions_named(region)
    fits = [
        item
        for item in materials()
        if (part is None or item.part == part)
        and (tannin_class is None or item.tannin_class == tannin_class)
        and (track_record is None or item.track_record == track_record)
        and (wanted is None or not wanted.isdisjoint(world.regions_of(item)))
        and all(_holds(item, word) for word in words)
    ]
    return tuple(sorted(fits, key=lambda item: (_TRACK_ORDER.index(item.track_record), item.id)))


def observations() -> tuple[Observation, ...]:
    """All published figures."""
    return tuple(record(Observation, row) for row in table("observations"))


def near_matches(text: str, count: int = 4) -> tuple[str, ...]:
    """Ids nearest to ``text``: slips of a name first, then the same kind of plant ("white willow"
    gives the willows, "Salix nigra" the other Salix), then names that only look alike."""
    slips = _look_alikes(text, count, 0.85)
    return slips or tuple(item.id for item in _kin(text))[:count] or _look_alikes(text, count, 0.7)


def _look_alikes(text: str, count: int, cutoff: float) -> tuple[str, ...]:
    names = _names_to_ids()
    found: dict[str, None] = {}
    for name in difflib.get_close_matches(_plain(text), list(names), n=3 * count, cutoff=cutoff):
        for id in names[name]:
            found.setdefault(id)
    return tuple(found)[:count]


def _kin(text: str) -> list[Material]:
    """Materials of the genus that ``text`` begins with, or of the noun that it ends with."""
    words = [word for word in _plain(text).replace("-", " ").split() if word not in _PART_WORDS]
    if not words:
        return []
    genus = [item for item in materials() if item.genus.lower() == words[0]]
    same = genus or [
        item
        for item in materials()
        if any(_plain(name).split()[-1] == words[-1] for name in item.common_names)
    ]
    proved = [item for item in same if item.may_be_suggested]
    of_genus = Counter(item.genus for item in proved)
    order = _TRACK_ORDER.index
    return sorted(proved, key=lambda it: (-of_genus[it.genus], order(it.track_record), it.id))


def regions() -> tuple[str, ...]:
    """Names of WGSRPD levels 1 and 2 that :func:`search` takes, the continents first."""
    return world.region_names()


def _several(text: str, fits: Iterable[Material]) -> UnknownMaterialError:
    ordered = sorted(fits, key=lambda item: (_TRACK_ORDER.index(item.track_record), item.id))
    ids = [item.id for item in ordered]
    shown = ", ".join(ids[:6]) + (f" and {len(ids) - 6} more" if len(ids) > 6 else "")
    return UnknownMaterialError(
        f'"{text.strip()}" fits {len(ids)} materials', remedy=f"write one of: {shown}"
    )


def _near(text: str) -> str:
    near = tuple(item.id for item in search(text)[:4]) or near_matches(text)
    if near:
        few = (", ".join(near[:-1]), near[-1]) if len(near) > 1 else near
        return "did you mean " + " or ".join(few) + "?"
    return "write an id of the materials list, or unknown-bark, unknown-leaf and so on"


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[\w'.]+", text.lower().replace("_", " ")))


def _full_names(item: Material) -> frozenset[str]:
    part = item.part.replace("-", " ")
    names = (item.scientific_name, *item.synonyms, *item.common_names, *item.counted_with)
    return frozenset({_plain(f"{name} {part}") for name in names} | {_plain(item.name)})


def _bare_names(item: Material) -> frozenset[str]:
    names = (item.scientific_name, *item.synonyms, *item.common_names, *item.counted_with)
    return frozenset(_plain(name) for name in names)


def _holds(item: Material, word: str) -> bool:
    return any(word == have or (len(word) > 3 and have.startswith(word)) for have in _words(item))


@lru_cache(maxsize=1024)
def _words(item: Material) -> frozenset[str]:
    texts = (
        item.scientific_name,
        *item.synonyms,
        *item.counted_with,
        *item.common_names,
        item.family,
        item.part,
    )
    return frozenset(_plain(" ".join(texts)).replace("-", " ").split())


@lru_cache(maxsize=1)
def _by_id() -> dict[str, Material]:
    return {row.text("id"): record(Material, row) for row in table("materials")}


@lru_cache(maxsize=1)
def _unknown() -> dict[str, Material]:
    return {
        f"unknown-{part}": Material(
            id=f"unknown-{part}",
            scientific_name="",
            synonyms=(),
            family="",
            common_names=(f"unknown {part.replace('-', ' ')}",),
            part=part,
            tannin_class="unknown",
            track_record="content-only",
            regions=(),
            season="",
            gather_effect="recoverable",
            leather_colour="",
            leather_character="",
            hazards=("poisonous",),
            remark="",
            cautions="use only a plant that you can name for sure: some are poisonous",
            sources=("derived",),
            provenance="memory",
        )
        for part in PARTS
    }


@lru_cache(maxsize=1)
def _observations_by_material() -> dict[str, tuple[Observation, ...]]:
    grouped: dict[str, list[Observation]] = {}
    for item in observations():
        grouped.setdefault(item.material_id, []).append(item)
    return {id: tuple(items) for id, items in grouped.items()}


@lru_cache(maxsize=1)
def _names_to_ids() -> dict[str, tuple[str, ...]]:
    names: dict[str, list[str]] = {}
    for item in (*materials(), *_unknown().values()):
        for name in {_plain(item.id.replace("-", " ")), *_full_names(item), *_bare_names(item)}:
            if name:
                names.setdefault(name, []).append(item.id)
    return {name: tuple(ids) for name, ids in names.items()}

"""Where on earth: continents, regions and areas of the WGSRPD, and the countries in them.

The World Geographical Scheme for Recording Plant Distributions, second edition (key
``wgsrpd2001``), is the scheme in which floras say where a plant grows; countries go by ISO 3166-1
(key ``iso3166``).  Materials know their regions of level 2, so every answer here is as coarse as
that: a plant of "Middle Europe" may be missing from one's own valley.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from tanwright.errors import InputError
from tanwright.reference.loader import Row, table

if TYPE_CHECKING:
    from tanwright.reference.materials import Material

KINDS = ("world", "continent", "region", "area", "country")
_SHORT = {"is": "islands", "i": "island", "st": "saint", "and": "", "the": ""}


@dataclass(frozen=True)
class Place:
    """A part of the earth.

    Attributes
    ----------
    kind:
        ``"world"``, ``"continent"``, ``"region"``, ``"area"`` or ``"country"``.
    code:
        ``"world"``, the code of the scheme (``"1"``, ``"11"``, ``"GER"``) or ISO 3166-1 alpha-2
        (``"DE"``); :func:`place` gives the same place back for it.
    name:
        As the scheme has it, or the short name of the country.
    regions:
        Names of the regions of level 2 that it lies in, in the order of their codes.
    """

    kind: str
    code: str
    name: str
    regions: tuple[str, ...]

    @property
    def label(self) -> str:
        """Name for a choosing list: an area says its region where the two differ."""
        if self.kind == "area" and self.regions[0] != self.name:
            return f"{self.name} ({self.regions[0]})"
        return self.name


WORLD = "world"


def place(text: str) -> Place:
    """The place that ``text`` names, accents and case forgiven.

    Codes go first: one digit or two for the scheme, two letters for a country, three letters for
    an area of the scheme, then for a country by alpha-3 (GEO is the area Georgia of the U.S.A.,
    the country is GE).  Of equal names the country goes before the area, the area before the
    region.  Raises InputError with near matches.
    """
    cleaned = text.strip()
    found = _by_code().get(cleaned.upper()) or _by_name().get(_plain(cleaned))
    if found is not None:
        return found
    said = "".join(sign for sign in cleaned if sign.isprintable())[:60]
    near = _near(said)
    raise InputError(
        f'no country or region is called "{said}"' if said else "no place is named",
        remedy=f"did you mean {near}?" if near else "write a country, such as Germany or DE",
    )


@lru_cache(maxsize=1)
def places() -> tuple[Place, ...]:
    """Places for choosing lists: the world, continents, regions, countries, then areas, each kind
    by name; an area or a region that is no more than a country is left out."""
    everything = dict.fromkeys(_by_code().values())
    countries = {
        (name, item.regions)
        for item in everything
        if item.kind == "country"
        for name in _names_of(item)
    }
    order = ("world", "continent", "region", "country", "area")
    kept = [
        item
        for item in everything
        if item.kind not in ("area", "region")
        or not any((name, item.regions) in countries for name in _names_of(item))
    ]
    return tuple(sorted(kept, key=lambda item: (order.index(item.kind), _plain(item.name))))


def grows_in(item: Material, where: Place) -> bool:
    """Whether the reference names a region of ``where`` for the plant, or a continent around it.

    True for every plant in the world; a plant of which no region is told grows nowhere else.
    """
    return where.kind == WORLD or not regions_of(item).isdisjoint(where.regions)


@lru_cache(maxsize=4096)
def regions_of(item: Material) -> frozenset[str]:
    """Names of the regions of level 2 in which the plant grows; a continent counts as all of its
    regions."""
    return frozenset(name for told in item.regions for name in _inner(told))


def regions_named(text: str) -> frozenset[str]:
    """Regions of level 2 that ``text`` means: a place as :func:`place` reads it, or else a part
    of the names of regions and continents ("asia", "middle", "tropical").

    Raises InputError with near matches.
    """
    key = _plain(text)
    if key not in _by_name() and text.strip().upper() not in _by_code() and len(key) > 2:
        fits = [name for name in region_names() if key in _plain(name)]
        if fits:
            return frozenset(inner for name in fits for inner in _inner(name))
    return frozenset(place(text).regions)


def region_names() -> tuple[str, ...]:
    """Names of the continents, then of the regions, each in the order of their codes."""
    return tuple(item.name for item in _by_code().values() if item.kind in ("continent", "region"))


def countries_in(area: str) -> tuple[str, ...]:
    """ISO 3166-1 alpha-2 codes of the countries in an area of level 3 (``"GER"``).

    Raises InputError when the scheme has no such area.
    """
    row = _rows().get(area.strip().upper())
    if row is None or row.number("level") != 3:
        raise InputError(f'no area has the code "{area}"', remedy="write three letters, as GER")
    return row.words("countries")


def areas_of(alpha2: str) -> tuple[str, ...]:
    """Codes of the areas of level 3 that a country lies in, far islands included.

    Raises InputError for an unknown country.
    """
    where = _by_code().get(alpha2.strip().upper())
    if where is None or where.kind != "country":
        raise InputError(f'no country has the code "{alpha2}"', remedy="write two letters, as DE")
    return _areas_by_country()[where.code]


@lru_cache(maxsize=1)
def _rows() -> dict[str, Row]:
    return {row.text("code"): row for row in table("wgsrpd")}


@lru_cache(maxsize=1)
def _by_code() -> dict[str, Place]:
    """Places by code in capitals; alpha-3 last, where no area has taken the code."""
    regions: dict[str, tuple[str, ...]] = {}
    for code, row in _rows().items():
        if row.number("level") == 2:
            regions[code] = (row.text("name"),)
            within = row.text("within")
            regions[within] = (*regions.get(within, ()), row.text("name"))
    kinds = {1: "continent", 2: "region", 3: "area"}
    all_regions = tuple(row.text("name") for row in _rows().values() if row.number("level") == 2)
    found = {WORLD.upper(): Place(WORLD, WORLD, "the whole world", all_regions)}
    for code, row in _rows().items():
        inside = regions[code if row.number("level") < 3 else row.text("within")]
        found[code] = Place(kinds[int(row.number("level"))], code, row.text("name"), inside)
    for row in table("countries"):
        far = row.words("outlying")
        main = {_rows()[area].text("within") for area in _areas_by_country()[row.text("alpha2")]
                if area not in far}  # fmt: skip
        inside = tuple(name for code in sorted(main) for name in regions[code])
        country = Place("country", row.text("alpha2"), row.text("name"), inside)
        found[country.code] = country
        found.setdefault(row.text("alpha3"), country)
    return found


@lru_cache(maxsize=1)
def _areas_by_country() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for code, row in _rows().items():
        for alpha2 in row.words("countries"):
            found[alpha2] = (*found.get(alpha2, ()), code)
    return found


@lru_cache(maxsize=1)
def _other_names() -> dict[str, tuple[str, ...]]:
    found = {code: row.words("other_names") for code, row in _rows().items()}
    found |= {row.text("alpha2"): row.words("other_names") for row in table("countries")}
    return found | {WORLD: ("world", "everywhere", "anywhere")}


def _names_of(item: Place) -> tuple[str, ...]:
    return tuple(_plain(name) for name in (item.name, *_other_names()[item.code]))


@lru_cache(maxsize=1)
def _by_name() -> dict[str, Place]:
    order = ("world", "country", "area", "region", "continent")
    found: dict[str, Place] = {}
    everything = sorted(dict.fromkeys(_by_code().values()), key=lambda it: order.index(it.kind))
    for item in everything:
        for name in _names_of(item)[:1]:
            found.setdefault(name, item)
    for item in everything:
        for name in _names_of(item)[1:]:
            found.setdefault(name, item)
    return found


@lru_cache(maxsize=1)
def _regions_by_name() -> dict[str, tuple[str, ...]]:
    return {
        item.name: item.regions
        for item in _by_code().values()
        if item.kind in ("continent", "region")
    }


def _inner(name: str) -> tuple[str, ...]:
    return _regions_by_name().get(name, (name,))


def _near(text: str) -> str:
    key = _plain(text)
    slips = difflib.get_close_matches(key, list(_by_name()), n=4, cutoff=0.7)
    held = [name for name in _by_name() if len(key) > 3 and key in name]
    names = dict.fromkeys(_by_name()[name].name for name in [*slips, *held][:4])
    return " or ".join(names)


@lru_cache(maxsize=4096)
def _plain(text: str) -> str:
    """Lower case without accents, dots and small words: "St. Helena" is "saint helena"."""
    bare = unicodedata.normalize("NFKD", text.replace("ø", "o").replace("Ø", "O"))
    bare = "".join(sign for sign in bare if not unicodedata.combining(sign)).lower()
    bare = re.sub(r"\b((?:[a-z]\.){2,})", lambda found: found.group(1).replace(".", ""), bare)
    words = re.findall(r"[a-z0-9]+", bare)
    return " ".join(word for word in (_SHORT.get(each, each) for each in words) if word)

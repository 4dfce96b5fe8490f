"""Several trunks or logs: the bark they give together and how much skin that tans.

Every draw is one world in which all trunks are weighed, peeled, cooked and used, so sums are sums
of draws, never of percentiles.  What the trunks of one tree name share in a draw: the species, half
of the scatter of size (:data:`SHARED_SCATTER`), how thoroughly they are peeled, the strength of
the bark, its water.  What the whole pile shares: the cook and the need of the skin.  Own to each
trunk: the other half of the scatter of size, which evens out in a large pile.  Docs:
docs/method/gathering.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.errors import InputError
from tanwright.planning import trees as one_tree
from tanwright.planning.answers import Cause, Range
from tanwright.planning.gathering.lying import Lying, Weathered, weathered
from tanwright.planning.trees import DRAWS, Trunk
from tanwright.reference import leathers, priors, trees
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.reference.lots import Lot
from tanwright.reference.materials import Material
from tanwright.reference.sources import Source, source
from tanwright.science import bark_yield
from tanwright.science.belief.unknowns import Floats

SHARED_SCATTER = 0.5
"""Share of the variance of the logarithm of a trunk's bark that trunks of one stand have in common:
the site, and the equation being off for the species (from memory)."""
BARK_KNOWN_SD, BARK_UNKNOWN_SD = 0.10, 0.25
"""Scatter of the volume of bark of a piece, its thickness measured or not (as in trees.py)."""
MOST_LINES, MOST_TRUNKS = 200, 10_000
SHARED_IN_WORDS = (
    "shared by all trunks of one tree name: which species it is, half of the scatter of size, how "
    "thoroughly it is peeled, how strong the bark is; shared by the whole pile: the cook, and how "
    "much tannin the skin takes"
)


@dataclass(frozen=True)
class Trunks:
    """Alike trunks: a tree's name or the id of its bark, what was measured of one, how many."""

    name: str
    trunk: Trunk
    count: int = 1


@dataclass(frozen=True)
class Line:
    """What one line of the pile gives, all of its trunks together."""

    trunks: Trunks
    air_dry_kg: Range
    skin_kg: Range


@dataclass(frozen=True)
class PileYield:
    """What the pile gives; bark in kg air-dry and fresh, ``skin_kg`` the green skin it may tan.

    ``causes`` are what makes the range of ``skin_kg``; ``shared`` says which of them trunks have
    in common.
    """

    lines: tuple[Line, ...]
    air_dry_kg: Range
    fresh_kg: Range
    tannin_pct: Range
    tannin_kg: Range
    leather: str
    skin_kg: Range
    causes: tuple[Cause, ...]
    shared: str
    weathered: Weathered | None
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]


@dataclass(frozen=True)
class _Group:
    """Draws that the trunks of one name share."""

    species: tuple[Material, ...]
    group: bark_yield.TreeGroup
    density: Floats
    per_wood: Floats
    size_z: Floats
    peel_u: Floats
    dry_water: Floats
    fresh_water: Floats
    tannin: Floats
    drawn: Floats
    keys: tuple[str, ...]


def pile_yield(
    pile: Sequence[Trunks],
    *,
    lot: Lot | None = None,
    lying: Lying | None = None,
    leather: str = "soft",
    seed: int = 0,
) -> PileYield:
    """Bark, tannin and skin of several trunks (some 15 ms a name).

    Parameters
    ----------
    pile:
        Lines of alike trunks, of one tree or several.
    lot:
        What is known of the bark, as for one tree; its rain goes before that of ``lying``.
    lying:
        Since when the trunks lie or stand dead, and the rain they had.
    leather:
        Aim: soft, bag, firm or sole.
    seed:
        Of the draws; the same seed gives the same answer.

    Raises
    ------
    InputError
        For no trunk or too many, an unknown tree or leather, or a size that cannot be.
    """
    lines = _checked(pile)
    aim = leathers.leather(leather)
    known = lot or Lot()
    weather = weathered(lying) if lying is not None and known.rained_on is None else None
    rng = np.random.default_rng(seed)
    cook_z = rng.standard_normal(DRAWS)
    need = one_tree.need_g_per_kg_skin(aim, rng)
    groups: dict[str, _Group] = {}
    for line in lines:
        if line.name not in groups:
            groups[line.name] = _group(line.name, known, weather, cook_z, rng)
    size, dry, skin, tannin = (np.zeros(DRAWS) for _ in range(4))
    drawn, fresh, air = np.zeros(DRAWS), np.zeros(DRAWS), np.zeros(DRAWS)
    told = []
    for line in lines:
        shared = groups[line.name]
        whole = _bark_kg(line, shared, rng)
        peeled = whole * _peeled(line.trunk, shared)
        air_dry = peeled / (1.0 - shared.dry_water)
        tans = 1000.0 * air_dry * shared.tannin * shared.drawn / need
        size, dry, skin = size + whole, dry + peeled, skin + tans
        air, fresh = air + air_dry, fresh + peeled / (1.0 - shared.fresh_water)
        tannin = tannin + air_dry * shared.tannin
        drawn = drawn + air_dry * shared.tannin * shared.drawn
        told.append(Line(line, one_tree.range_of(air_dry), one_tree.range_of(tans)))
    keys = [key for shared in groups.values() for key in shared.keys]
    keys += [*_size_keys(lines), aim.source, *(weather.sources if weather else ())]
    return PileYield(
        lines=tuple(told),
        air_dry_kg=one_tree.range_of(air),
        fresh_kg=one_tree.range_of(fresh),
        tannin_pct=one_tree.range_of(100.0 * tannin / air),
        tannin_kg=one_tree.range_of(tannin),
        leather=aim.id,
        skin_kg=one_tree.range_of(skin),
        causes=one_tree.causes_of(
            [
                ("bark", "how much bark trunks of that size carry", size),
                ("peeled", "how much of it comes off", air / size),
                ("strength", "how strong the bark is", tannin / air),
                ("drawn", "how well the cooks draw the tannin out", drawn / tannin),
                ("need", "how much tannin the skin takes and the liquor keeps", 1.0 / need),
            ]
        ),
        shared=SHARED_IN_WORDS,
        weathered=weather,
        cautions=_cautions(groups),
        sources=tuple(source(key) for key in dict.fromkeys(keys)),
    )


def _checked(pile: Sequence[Trunks]) -> list[Trunks]:
    if not pile:
        raise InputError("no trunk was measured", remedy="write at least one diameter")
    if len(pile) > MOST_LINES:
        raise InputError(
            f"{len(pile)} lines are too many at once", remedy=f"write up to {MOST_LINES}"
        )
    for line in pile:
        if not 1 <= line.count <= MOST_TRUNKS:
            raise InputError(
                f"{line.count} trunks of one size cannot be",
                place="count",
                remedy=f"write 1 to {MOST_TRUNKS}",
            )
        if not 0.5 <= line.trunk.diameter_cm <= 1000.0:
            raise InputError(
                f"a trunk {line.trunk.diameter_cm:g} cm across cannot be",
                place="diameter_cm",
                remedy="write its diameter over the bark in cm",
            )
        if line.trunk.length_m is not None and not 0.0 < line.trunk.length_m <= 120.0:
            raise InputError(
                f"a trunk {line.trunk.length_m:g} m long cannot be",
                place="length_m",
                remedy="write the length that is peeled in m",
            )
    return [Trunks(line.name.strip(), line.trunk, line.count) for line in pile]


def _group(
    name: str, lot: Lot, weather: Weathered | None, cook_z: Floats, rng: np.random.Generator
) -> _Group:
    species = one_tree.species_of(name)
    group = bark_yield.group_of(species[0].scientific_name)
    barks = [item for item in trees.bark_properties() if item.kind == group.wood]
    own = [item for item in barks if item.material_id in {each.id for each in species}] or barks
    bark = rng.integers(len(own), size=DRAWS)
    which = rng.integers(len(species), size=DRAWS)
    keys: list[str] = []
    tannin = np.zeros(DRAWS)
    chance = weather.rained_chance if weather is not None else None
    rained = np.zeros(DRAWS, dtype=bool) if chance is None else rng.random(DRAWS) < chance
    z = rng.standard_normal(DRAWS)
    for wet in (False, True):
        rows = rained == wet
        if not np.any(rows):
            continue
        seen = lot if chance is None else _with_rain(lot, wet)
        told = [priors.tannin_prior(item.id, seen).unknown for item in species]
        drawn = np.stack([each.value(z) for each in told])[which, np.arange(DRAWS)]
        tannin[rows] = drawn[rows]
        keys += [key for each in told for key in each.sources]
    water = {
        state: one_tree.drawn_from(
            [priors.moisture_prior(item.id, state) for item in species], which, rng
        )
        for state in ("dry", "fresh")
    }
    return _Group(
        species=species,
        group=group,
        density=np.array([item.basic_sg for item in own])[bark],
        per_wood=np.array([item.bark_share_pct for item in own])[bark] / 100.0,
        size_z=rng.standard_normal(DRAWS),
        peel_u=rng.random(DRAWS),
        dry_water=water["dry"],
        fresh_water=water["fresh"],
        tannin=tannin,
        drawn=one_tree.drawn_share(species, tannin, which, rng, cook_z),
        keys=tuple(dict.fromkeys(keys)),
    )


def _with_rain(lot: Lot, wet: bool) -> Lot:
    return Lot(
        state=lot.state,
        part_of_trunk=lot.part_of_trunk,
        tree_age=lot.tree_age,
        light=lot.light,
        rained_on=True if wet else None,
        age_years=lot.age_years,
        mouldy=lot.mouldy,
        grind=lot.grind,
        soil=lot.soil,
    )


def _bark_kg(line: Trunks, shared: _Group, rng: np.random.Generator) -> Floats:
    """Oven-dry bark on all trunks of a line before it is peeled, kg, shape (DRAWS,)."""
    trunk = line.trunk
    if trunk.length_m is None:
        one_tree.check_measured_size(trunk.diameter_cm, shared.group)
        middle: Floats | float = float(bark_yield.stem_bark_kg(trunk.diameter_cm, shared.group))
        scatter = float(np.hypot(shared.group.log_sd, one_tree.RATIO_LOG_SD))
    elif trunk.bark_mm is not None:
        litres = bark_yield.section_bark_l(trunk.diameter_cm, trunk.length_m, trunk.bark_mm)
        middle, scatter = bark_yield.bark_mass_kg(litres, shared.density), BARK_KNOWN_SD
    else:
        log_l = 1000.0 * np.pi / 4.0 * (trunk.diameter_cm / 100.0) ** 2 * trunk.length_m
        litres = bark_yield.section_bark_of_wood_l(log_l / (1.0 + shared.per_wood), shared.per_wood)
        middle, scatter = bark_yield.bark_mass_kg(litres, shared.density), BARK_UNKNOWN_SD
    common = np.exp(np.sqrt(SHARED_SCATTER) * scatter * shared.size_z)
    own = mean_of_alike(np.sqrt(1.0 - SHARED_SCATTER) * scatter, line.count, rng)
    return np.asarray(line.count * middle * common * own)


def mean_of_alike(log_sd: float, count: int, rng: np.random.Generator) -> Floats:
    """Draws of the mean of ``count`` lognormal factors of median 1, shape (DRAWS,).

    The mean of several is taken as lognormal of the same mean and variance (Fenton's and
    Wilkinson's approximation, from memory); for one trunk it is exact.
    """
    variance = log_sd**2
    narrowed = np.log1p(np.expm1(variance) / count)
    middle = variance / 2.0 - narrowed / 2.0
    return np.asarray(np.exp(middle + np.sqrt(narrowed) * rng.standard_normal(DRAWS)))


def _peeled(trunk: Trunk, shared: _Group) -> Floats:
    whole = trunk.length_m is None
    low, high = bark_yield.PEELABLE_SHARE if whole else one_tree.SECTION_PEELED
    return np.asarray(low + (high - low) * shared.peel_u)


def _size_keys(lines: Sequence[Trunks]) -> list[str]:
    keys = ["jenkins2003"] if any(line.trunk.length_m is None for line in lines) else []
    keys += ["fia-refspecies"] if any(line.trunk.length_m is not None for line in lines) else []
    return [*keys, "memory"]


def _cautions(groups: dict[str, _Group]) -> tuple[Caution, ...]:
    found = dict.fromkeys(cautions_for(["place:windfall", "step:fell", "step:gather"]))
    for shared in groups.values():
        found |= dict.fromkeys(one_tree.cautions_of(shared.species))
    return tuple(found)

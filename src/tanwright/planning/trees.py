"""What a tree gives: bark, the tannin in it, and how much skin that may tan.

Equations and their limits are in docs/method/bark_yield.md, extraction.md and demand.md.  A name
that fits several species ("oak") is answered over all of them: the species is one more thing that
is not known.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.planning.answers import Cause, Range
from tanwright.reference import animals, leathers, materials, parameters, priors, trees
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.reference.lots import Lot
from tanwright.reference.materials import Material
from tanwright.reference.sources import Source, source
from tanwright.science import bark_yield, demand, extraction
from tanwright.science.belief.unknowns import Floats, Unknown
from tanwright.units import rounded

Picks = NDArray[np.int64]
"""Which species each draw has."""

DRAWS = 4000
RATIO_LOG_SD = 0.20
"""Scatter of the share of bark in a tree about its line (from memory)."""
SECTION_PEELED = (0.85, 1.0)
"""Share of the bark that comes off a piece of trunk that is peeled whole (from memory)."""
LIQUOR_L_PER_KG_PELT = 5.0
"""Liquor thrown away in the end for each kg of pelt (common practice)."""
SPOILED = (0.0, 0.15)
"""Share of the tannin that goes to mould, sour and mud (from memory)."""


@dataclass(frozen=True)
class Trunk:
    """What was measured of the tree.

    Attributes
    ----------
    diameter_cm:
        Over bark: at breast height (1.3 m) for a whole tree, in the middle for a piece.
    length_m:
        Length of the piece that is peeled; ``None`` for the whole stem.
    bark_mm:
        Thickness of the bark, where it was measured.
    """

    diameter_cm: float
    length_m: float | None = None
    bark_mm: float | None = None


@dataclass(frozen=True)
class TreeYield:
    """What the tree gives; bark in kg as it lies, air-dry and fresh."""

    name: str
    species: tuple[str, ...]
    """Ids of the materials that the name may mean."""
    group: str
    air_dry_kg: Range
    fresh_kg: Range
    tannin_pct: Range
    tannin_kg: Range
    leather: str
    skin_kg: Range
    """Green skin that it may tan."""
    causes: tuple[Cause, ...]
    """What makes the range of ``skin_kg``."""
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]


def tree_yield(
    name: str, trunk: Trunk, *, lot: Lot, leather: str = "soft", seed: int = 0
) -> TreeYield:
    """Bark, tannin and skin that a tree of ``name`` gives.

    Parameters
    ----------
    name:
        A tree ("oak", "Quercus robur") or the id of a bark.
    trunk, lot:
        What was measured, and what is known of the bark (part of the trunk, age of the tree).
    leather:
        Aim: soft, bag, firm or sole.
    seed:
        Of the draws; the same seed gives the same answer.

    Raises
    ------
    InputError
        For an unknown tree, an unknown leather, or a diameter outside the equations.
    """
    aim = leathers.leather(leather)
    species = species_of(name)
    group = bark_yield.group_of(species[0].scientific_name)
    rng = np.random.default_rng(seed)
    barks = [item for item in trees.bark_properties() if item.kind == group.wood]
    own = [item for item in barks if item.material_id in {each.id for each in species}] or barks
    dry, size_causes, size_sources = _oven_dry_kg(trunk, group, own, rng)

    which = rng.integers(len(species), size=DRAWS)
    tannin_priors = [priors.tannin_prior(item.id, lot).unknown for item in species]
    tannin = drawn_from(tannin_priors, which, rng)
    fresh_water = drawn_from(
        [priors.moisture_prior(item.id, "fresh") for item in species], which, rng
    )
    dry_water = drawn_from([priors.moisture_prior(item.id, "dry") for item in species], which, rng)
    air_dry = dry / (1.0 - dry_water)
    tannin_kg = air_dry * tannin

    drawn = drawn_share(species, tannin, which, rng)
    need = need_g_per_kg_skin(aim, rng)
    skin = 1000.0 * tannin_kg * drawn / need
    keys = [*size_sources, *(key for prior in tannin_priors for key in prior.sources), aim.source]
    return TreeYield(
        name=species[0].name if len(species) == 1 else name.strip().lower(),
        species=tuple(item.id for item in species),
        group=group.name,
        air_dry_kg=range_of(air_dry),
        fresh_kg=range_of(dry / (1.0 - fresh_water)),
        tannin_pct=range_of(100.0 * tannin),
        tannin_kg=range_of(tannin_kg),
        leather=aim.id,
        skin_kg=range_of(skin),
        causes=causes_of(
            [
                *size_causes,
                ("strength", "how strong the bark is", tannin),
                ("drawn", "how well the cooks draw the tannin out", drawn),
                ("need", "how much tannin the skin takes and the liquor keeps", 1.0 / need),
            ]
        ),
        cautions=cautions_of(species),
        sources=tuple(source(key) for key in dict.fromkeys(keys)),
    )


def species_of(name: str) -> tuple[Material, ...]:
    """Barks of the trees that ``name`` means, all of one biomass group."""
    try:
        exact = materials.find(name)
    except UnknownMaterialError:
        exact = None
    if exact is not None and exact.part == "bark" and exact.known:
        return (exact,)
    key = " ".join(name.strip().lower().split())
    found = [item for item in materials.search(name, part="bark") if item.may_be_suggested]
    groups: dict[str, list[Material]] = {}
    for item in found:
        try:
            groups.setdefault(bark_yield.group_of(item.scientific_name).key, []).append(item)
        except InputError:
            continue
    if key in groups:
        return tuple(groups[key])
    if len(groups) == 1:
        return tuple(next(iter(groups.values())))
    if groups:
        ids = [items[0].id for items in groups.values()]
        raise UnknownMaterialError(
            f'"{name}" fits unlike trees', remedy=f"write one, such as {', '.join(ids[:4])}"
        )
    near = [each for each in materials.near_matches(name) if each.endswith("-bark")]
    raise UnknownMaterialError(
        f'no tree is called "{name}" for which bark by diameter is known',
        remedy=f"did you mean {', '.join(near)}" if near else "write oak, spruce, willow or birch",
    )


PARTS_OF_RANGE = ("bark", "peeled", "strength", "drawn", "need")
"""Names of the causes of the range of skin."""
Factor = tuple[str, str, Floats]
"""Name, label and draws of one factor of a product."""


def _oven_dry_kg(
    trunk: Trunk,
    group: bark_yield.TreeGroup,
    barks: list[trees.BarkProperties],
    rng: np.random.Generator,
) -> tuple[Floats, list[Factor], list[str]]:
    """Oven-dry bark that comes off, kg, with its factors and sources."""
    if trunk.length_m is None:
        check_measured_size(trunk.diameter_cm, group)
        stem = float(bark_yield.stem_bark_kg(trunk.diameter_cm, group))
        scatter = float(np.hypot(group.log_sd, RATIO_LOG_SD))
        size = stem * np.exp(scatter * rng.standard_normal(DRAWS))
        peeled = rng.uniform(*bark_yield.PEELABLE_SHARE, DRAWS)
        label = "how much of the stem can be peeled"
        sources = ["jenkins2003", "memory"]
    else:
        which = rng.integers(len(barks), size=DRAWS)
        density = np.array([item.basic_sg for item in barks])[which]
        if trunk.bark_mm is not None:
            litres = bark_yield.section_bark_l(trunk.diameter_cm, trunk.length_m, trunk.bark_mm)
            volume = np.full(DRAWS, float(litres)) * np.exp(0.1 * rng.standard_normal(DRAWS))
        else:
            per_wood = np.array([item.bark_share_pct for item in barks])[which] / 100.0
            log_l = 1000.0 * np.pi / 4.0 * (trunk.diameter_cm / 100.0) ** 2 * trunk.length_m
            wood = log_l / (1.0 + per_wood)
            volume = bark_yield.section_bark_of_wood_l(wood, per_wood)
            volume = volume * np.exp(0.25 * rng.standard_normal(DRAWS))
        size = bark_yield.bark_mass_kg(volume, density)
        peeled = rng.uniform(*SECTION_PEELED, DRAWS)
        label = "how much of it comes off"
        sources = ["fia-refspecies", "memory"]
    factors = [
        ("bark", "how much bark a tree of that size carries", size),
        ("peeled", label, peeled),
    ]
    return np.asarray(size * peeled), factors, sources


def check_measured_size(diameter_cm: float, group: bark_yield.TreeGroup) -> None:
    """Raises InputError for a trunk thinner or thicker than those behind the equation."""
    low, high = bark_yield.SMALLEST_DBH_CM, group.largest_dbh_cm
    if low <= diameter_cm <= high:
        return
    than = "thicker" if diameter_cm > high else "thinner"
    raise InputError(
        f"a trunk {rounded(diameter_cm, 3)} cm across is {than} than any that was weighed "
        f"({group.name}: {low:g} to {high:g} cm)",
        remedy='check the unit; for one that is truly so, give the piece you peel, --length "2 m"',
    )


def drawn_from(unknowns: list[Unknown], which: Picks, rng: np.random.Generator) -> Floats:
    """Draws of the unknown that each draw's species has."""
    z = rng.standard_normal(DRAWS)
    return np.asarray(np.stack([each.value(z) for each in unknowns])[which, np.arange(DRAWS)])


def drawn_share(
    species: tuple[Material, ...],
    tannin: Floats,
    which: Picks,
    rng: np.random.Generator,
    cook_z: Floats | None = None,
) -> Floats:
    """Share of the tannin that two hot waters draw.

    ``cook_z`` is how good the cooks are, standard normal, where several barks share the cook.
    """
    purity = drawn_from([priors.purity_prior(item.id) for item in species], which, rng)
    shares = extraction.cooks(1.0, tannin, purity=purity).drawn_share
    z = rng.standard_normal(DRAWS) if cook_z is None else cook_z
    factor = parameters.parameter("extraction_factor").value(z)
    return np.asarray(np.minimum(shares * factor, 0.98))


def need_g_per_kg_skin(aim: leathers.Leather, rng: np.random.Generator) -> Floats:
    """Tannin that 1 kg of green skin needs in its liquors, g, for a skin of any animal.

    Hide substance as in a plan: the pelt that a green skin leaves, and the hide substance in it.
    """
    beasts = animals.animals()
    which = rng.integers(len(beasts), size=DRAWS)
    low = np.array([animal.skin_share[0] for animal in beasts])[which]
    high = np.array([animal.skin_share[1] for animal in beasts])[which]
    pelt_kg = rng.uniform(low, high)
    share = parameters.parameter("hide_substance_share").value(rng.standard_normal(DRAWS))
    hide_kg = pelt_kg * share
    degree = rng.uniform(aim.degree_low, aim.degree_high, DRAWS)
    capacity = parameters.parameter("binding_capacity").value(rng.standard_normal(DRAWS))
    half = parameters.parameter("half_saturation").value(rng.standard_normal(DRAWS))
    reached = np.minimum(degree, 90.0 * capacity)
    end = demand.end_tannin_g_per_l(reached, capacity, half)
    liquor = LIQUOR_L_PER_KG_PELT * pelt_kg
    spoiled = rng.uniform(*SPOILED, DRAWS)
    pores = parameters.parameter("pore_share").median
    density = parameters.parameter("pelt_density").median
    return demand.tannin_need_g(hide_kg, reached, end, liquor, pores * pelt_kg / density, spoiled)


def causes_of(factors: list[Factor]) -> tuple[Cause, ...]:
    """Shares of the variance of the logarithm of a product, largest first."""
    variances = [float(np.var(np.log(values))) for _, _, values in factors]
    whole = sum(variances)
    found = [
        Cause(name, label, variance / whole)
        for (name, label, _), variance in zip(factors, variances, strict=True)
    ]
    return tuple(sorted(found, key=lambda cause: -cause.share))


def cautions_of(species: tuple[Material, ...]) -> tuple[Caution, ...]:
    """What peeling these trees calls for."""
    if len(species) == 1:
        return cautions_for([f"material:{species[0].id}"])
    effects = dict.fromkeys(f"gather:{item.gather_effect}" for item in species)
    return cautions_for(["part:bark", *effects])


def range_of(values: Floats) -> Range:
    """5th, 50th and 95th percentile of the draws."""
    low, middle, high = (float(value) for value in np.percentile(values, (5.0, 50.0, 95.0)))
    return Range(low, middle, high)

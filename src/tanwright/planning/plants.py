"""What the reference knows of a plant material, put together for a reader.

Tannin is in per cent of the air-dry material unless a name says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.planning.answers import Range
from tanwright.planning.skin_facts import Z95
from tanwright.reference import materials, priors, world
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.reference.materials import Material, Observation
from tanwright.reference.sources import Source, source
from tanwright.science.belief.unknowns import Unknown


@dataclass(frozen=True)
class Listed:
    """One line of the list of materials."""

    id: str
    name: str
    part: str
    tannin_class: str
    track_record: str
    tannin_pct: Range
    """Where one lot's tannin lies: 5th, 50th and 95th percentile of the prior."""
    published: str
    """Lowest to highest published figure, empty when there is none."""
    why_avoid: str
    """Why it should be left alone, empty for what may be gathered."""


@dataclass(frozen=True)
class Described:
    """Everything the reference knows of one material."""

    material: Material
    tannin_pct: Range
    rule: str
    """How the range came out of the figures, in words."""
    water_dry_pct: Range
    water_fresh_pct: Range
    purity_pct: Range
    """Tannins in the total solubles of a fresh liquor."""
    purity_sources: tuple[str, ...]
    observations: tuple[Observation, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]


def listed(
    text: str = "",
    *,
    part: str | None = None,
    tannin_class: str | None = None,
    track_record: str | None = None,
    region: str | None = None,
) -> tuple[Listed, ...]:
    """Materials that fit, the best proved first; see :func:`tanwright.reference.materials.search`.

    Raises UnknownMaterialError with near matches when none fits.
    """
    found = materials.search(
        text, part=part, tannin_class=tannin_class, track_record=track_record, region=region
    )
    if not found:
        near = materials.near_matches(text) if text else ()
        raise UnknownMaterialError(
            f'no material fits "{text}"' if text else "no material fits",
            remedy=f"did you mean {', '.join(near)}" if near else "ask for less at once",
        )
    return tuple(_listed(item) for item in found)


def describe(text: str) -> Described:
    """The material that ``text`` names (an id or a name). Raises UnknownMaterialError."""
    item = materials.find(text)
    prior = priors.tannin_prior(item.id)
    cautions = cautions_for([f"material:{item.id}"])
    keys = dict.fromkeys(
        [
            *(row.source for row in item.observations),
            *item.sources,
            *prior.unknown.sources,
            *(caution.source for caution in cautions),
        ]
    )
    purity = priors.purity_prior(item.id)
    return Described(
        material=item,
        tannin_pct=_per_cent(prior.unknown),
        rule=prior.rule,
        water_dry_pct=_per_cent(priors.moisture_prior(item.id, "dry")),
        water_fresh_pct=_per_cent(priors.moisture_prior(item.id, "fresh")),
        purity_pct=_per_cent(purity),
        purity_sources=purity.sources,
        observations=item.observations,
        cautions=cautions,
        sources=tuple(source(key) for key in keys),
    )


def check_region(region: str) -> None:
    """Raises InputError with near matches, or with the continents, when ``region`` is no country,
    no place of the WGSRPD and no part of the name of a region."""
    try:
        world.regions_named(region)
    except InputError as error:
        remedy = error.remedy
        if not remedy.startswith("did you mean"):
            continents = [item.name for item in world.places() if item.kind == "continent"]
            remedy = f"write a country or one of {', '.join(continents)}"
        raise InputError(error.what, remedy=remedy) from None


def _listed(item: Material) -> Listed:
    low, high = item.published_range_pct
    figures = {low, high} - {None}
    return Listed(
        id=item.id,
        name=item.name,
        part=item.part,
        tannin_class=item.tannin_class,
        track_record=item.track_record,
        tannin_pct=_per_cent(priors.tannin_prior(item.id).unknown),
        published=" to ".join(f"{value:g}" for value in sorted(v for v in figures if v)),
        why_avoid="" if item.may_be_suggested else item.cautions,
    )


def _per_cent(unknown: Unknown) -> Range:
    low, middle, high = (100.0 * float(unknown.value(z)) for z in (-Z95, 0.0, Z95))
    return Range(low, middle, high)

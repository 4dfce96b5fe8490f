"""From a skin's weight to what there is to tan: pelt, hide substance, volume, thickness, regions.

No table lives here: ratios, densities and shares are passed in (reference/ holds them with their
ranges), so that an ensemble may hand in arrays. Masses in kg, areas in m2, thickness in mm,
volumes in L, densities in kg/L.

Sources: nitrogen of dry corium, von Schroeder and Paessler in Procter (1903) (key
``procter1903``); factor 5.62 with 5.44 to 5.80 as plausible, ASTM D2868 scope (key ``astm-d2868``);
densities from memory. See docs/method/hide.md.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from tanwright.errors import InputError
from tanwright.science.values import Floats, Value, floats, not_negative, positive, share, within

Stage = Literal["green", "salted", "dry-salted", "dried", "soaked", "limed", "delimed"]
STAGES: tuple[Stage, ...] = (
    "green",
    "salted",
    "dry-salted",
    "dried",
    "soaked",
    "limed",
    "delimed",
)

NITROGEN_PCT = {"ox, calf, horse, pig": 17.8, "goat, deer": 17.4, "sheep, dog": 17.0, "cat": 17.1}
"""Nitrogen in clean dry corium, % (procter1903, after von Schroeder and Paessler)."""
NITROGEN_FACTOR = 5.62
"""Hide substance per nitrogen used for leather whatever the animal; 5.44 to 5.80 are plausible
(astm-d2868). The 5.88 of sheep and dog (procter1903) lies outside."""
PELT_DENSITY_KG_PER_L = 1.08
"""Wet skin and pelt; range 1.05 to 1.12, from memory."""
COLLAGEN_DENSITY_KG_PER_L = 1.38
"""Dry collagen; range 1.35 to 1.41, from memory (gelatin 1.3, procter1903)."""


def green_mass_kg(mass_kg: Value, per_green: Value) -> Floats:
    """Green-equivalent mass of a skin weighed at a stage whose mass is ``per_green`` x green.

    ``per_green`` is 1 for green, about 0.84 wet-salted, 0.4 flint-dry, 1 limed. Inverse of
    :func:`mass_at_stage_kg`.
    """
    return np.asarray(positive(mass_kg, "weight") / positive(per_green, "weight against green"))


def mass_at_stage_kg(green_kg: Value, per_green: Value) -> Floats:
    """Mass at a stage from the green mass: green x ``per_green``."""
    return np.asarray(positive(green_kg, "weight") * positive(per_green, "weight against green"))


def pelt_mass_kg(mass_kg: Value, stage_per_green: Value, pelt_per_green: Value) -> Floats:
    """Mass of the prepared pelt from the mass at any stage: through the green weight."""
    return mass_at_stage_kg(green_mass_kg(mass_kg, stage_per_green), pelt_per_green)


def hide_substance_kg(pelt_kg: Value, hide_share: Value) -> Floats:
    """Dry collagen in a pelt. ``hide_share`` 0.18 to 0.22 limed, 0.20 to 0.27 delimed (memory)."""
    return np.asarray(positive(pelt_kg, "pelt weight") * share(hide_share, "hide substance share"))


def pelt_from_hide_substance_kg(hide_substance: Value, hide_share: Value) -> Floats:
    """Pelt that holds so much hide substance; inverse of :func:`hide_substance_kg`."""
    part = positive(share(hide_share, "hide substance share"), "hide substance share")
    return np.asarray(positive(hide_substance, "hide substance") / part)


def volume_l(mass_kg: Value, density_kg_per_l: Value = PELT_DENSITY_KG_PER_L) -> Floats:
    """Volume of wet skin or pelt in L."""
    return np.asarray(positive(mass_kg, "weight") / positive(density_kg_per_l, "density"))


def pore_volume_l(
    pelt_kg: Value,
    hide_share: Value,
    pelt_density_kg_per_l: Value = PELT_DENSITY_KG_PER_L,
    collagen_density_kg_per_l: Value = COLLAGEN_DENSITY_KG_PER_L,
) -> Floats:
    """Liquid inside a pelt in L: its volume less that of the collagen.

    Raises InputError when the densities leave no room for liquid.
    """
    collagen = hide_substance_kg(pelt_kg, hide_share) / positive(
        collagen_density_kg_per_l, "collagen density"
    )
    return not_negative(volume_l(pelt_kg, pelt_density_kg_per_l) - collagen, "pore volume")


def porosity(
    hide_share: Value,
    pelt_density_kg_per_l: Value = PELT_DENSITY_KG_PER_L,
    collagen_density_kg_per_l: Value = COLLAGEN_DENSITY_KG_PER_L,
) -> Floats:
    """Liquid share of a pelt's volume, 0 to 1."""
    return pore_volume_l(
        1.0, hide_share, pelt_density_kg_per_l, collagen_density_kg_per_l
    ) / volume_l(1.0, pelt_density_kg_per_l)


def mean_thickness_mm(
    mass_kg: Value, area_m2: Value, density_kg_per_l: Value = PELT_DENSITY_KG_PER_L
) -> Floats:
    """Mean thickness from mass and area: 1 L spread over 1 m2 is 1 mm thick."""
    return np.asarray(volume_l(mass_kg, density_kg_per_l) / positive(area_m2, "area"))


def area_m2(
    mass_kg: Value, thickness_mm: Value, density_kg_per_l: Value = PELT_DENSITY_KG_PER_L
) -> Floats:
    """Area from mass and mean thickness; inverse of :func:`mean_thickness_mm`."""
    return np.asarray(volume_l(mass_kg, density_kg_per_l) / positive(thickness_mm, "thickness"))


def mass_kg(
    area: Value, thickness_mm: Value, density_kg_per_l: Value = PELT_DENSITY_KG_PER_L
) -> Floats:
    """Mass of a skin of ``area`` m2 and mean thickness; also an inverse of the two above."""
    litres = positive(area, "area") * positive(thickness_mm, "thickness")
    return np.asarray(litres * positive(density_kg_per_l, "density"))


def nitrogen_factor(nitrogen_pct: Value) -> Floats:
    """Hide substance per nitrogen, 100 / N, from the nitrogen of clean dry corium in %."""
    return np.asarray(100.0 / within(nitrogen_pct, 5.0, 30.0, "nitrogen"))


def hide_substance_pct(nitrogen_pct: Value, factor: Value = NITROGEN_FACTOR) -> Floats:
    """Hide substance in % of a leather with ``nitrogen_pct`` of (non-ammonia) nitrogen.

    With 5.62 a goat or deer leather reads 2 % low, a sheep leather 4.5 % low (relative).
    """
    return within(
        not_negative(nitrogen_pct, "nitrogen") * positive(factor, "nitrogen factor"),
        0.0,
        100.0,
        "hide substance",
    )


def region_thickness_mm(mean_mm: Value, area_shares: Floats, relative_thickness: Floats) -> Floats:
    """Thickness of each region, shape (..., regions), whose mean by area is ``mean_mm``.

    ``area_shares`` (regions) are normalised to 1; ``relative_thickness`` (..., regions) is against
    any one region. Raises InputError when shapes differ or a share is negative.
    """
    shares, relative = _regions(area_shares, relative_thickness)
    mean = np.sum(shares * relative, axis=-1)
    scale = positive(mean_mm, "mean thickness") / mean
    return np.asarray(scale[..., np.newaxis] * relative)


def region_mean_mm(thickness_mm: Floats, area_shares: Floats) -> Floats:
    """Mean thickness by area over the last axis; inverse of :func:`region_thickness_mm`."""
    shares, thickness = _regions(area_shares, thickness_mm)
    return np.asarray(np.sum(shares * thickness, axis=-1))


def region_mass_shares(area_shares: Floats, relative_thickness: Floats) -> Floats:
    """Share of the skin's mass in each region, shape (..., regions), at equal density."""
    shares, relative = _regions(area_shares, relative_thickness)
    weight = shares * relative
    return np.asarray(weight / np.sum(weight, axis=-1, keepdims=True))


def _regions(area_shares: Floats, thickness: Floats) -> tuple[Floats, Floats]:
    shares = not_negative(area_shares, "area share")
    relative = positive(thickness, "thickness")
    if shares.ndim == 0 or shares.shape[-1] != relative.shape[-1]:
        raise InputError("regions have unlike numbers of shares and thicknesses")
    whole = positive(np.sum(shares, axis=-1, keepdims=True), "area shares together")
    return np.asarray(shares / whole), floats(relative)

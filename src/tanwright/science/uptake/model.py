"""What happens between vat and pelt, as equations; numbers and time stepping are elsewhere.

Tannin enters a pelt of thickness L at its two faces and goes along x, 0 at the flesh and L at the
grain:

    eps dc/dt + rho dq/dt = d/dx (D dc/dx)                     moving, and held by the hide
    dq/dt = k (q* - q),   q*_s = qmax_s K_s c_s / (1 + sum_r K_r c_r)     sites for all
    flux in at a face = g (C - c_face)                         still liquor, then grain layer
    V dC/dt = - sum over slabs A (flux in) - spoilage V C      what the vat loses

where c is the tannin free to move [g per L of liquid in the pores], q what hide substance has
taken [g/g], and C the tannin of the vat [g/L].  The tannins of a blend differ in D, K and qmax but
fill one and the same set of sites, hence the extended Langmuir law.

Sources: diffusion with reversible binding, Crank (1975) ch. 14; Langmuir uptake of quebracho,
chestnut and myrobalan on hide powder (Nogeikagaku 29:745, abstract); the temperature law is
Stokes-Einstein (D ~ T / viscosity of water).
"""

from __future__ import annotations

import numpy as np

from tanwright.science.belief.unknowns import Floats

GRAIN_LAYER_SHARE = 0.2
"""Share of the thickness taken by the grain layer, whose openness differs (from memory)."""

SPOILAGE_Q10 = 2.5
"""Factor on spoilage per 10 °C (from memory; mould and souring go faster than diffusion)."""

FROZEN_FACTOR = 1e-6
"""Factor on diffusion and spoilage in a frozen vat: nothing moves (common practice)."""

FREEZING_C = -0.5
"""A tan liquor freezes slightly below water (from memory)."""


def equilibrium(free_g_per_l: Floats, capacity_g_per_g: Floats, affinity_l_per_g: Floats) -> Floats:
    """Bound tannin at equilibrium, g per g hide substance; arrays (..., s), broadcast."""
    loaded = affinity_l_per_g * free_g_per_l
    return np.asarray(capacity_g_per_g * loaded / (1.0 + loaded.sum(axis=-1, keepdims=True)))


def face_conductance_mm_per_day(
    diffusivity_mm2_per_day: Floats,
    film_mm_per_day: Floats,
    half_cell_mm: Floats | float,
    grain_openness: Floats | float = 1.0,
    thickness_mm: Floats | float = 0.0,
) -> Floats:
    """Conductance from the vat to the centre of the outermost cell, mm/day; arrays broadcast.

    Film, grain layer and half a cell of pelt in series. An openness of 1 is the flesh side; below
    one the grain layer (a fifth of the thickness) lets through only that share; zero is closed.
    """
    openness = np.asarray(grain_openness, dtype=float)
    with np.errstate(divide="ignore"):
        layer = GRAIN_LAYER_SHARE * thickness_mm * (1.0 / openness - 1.0)
        resistance = 1.0 / film_mm_per_day + (half_cell_mm + layer) / diffusivity_mm2_per_day
    return np.where(openness > 0.0, 1.0 / resistance, 0.0)


def heat_factor(temperature_c: Floats | float, reference_c: float = 20.0) -> Floats:
    """Factor on diffusion against ``reference_c`` (Stokes-Einstein); frozen below -0.5 °C."""
    from tanwright.science.water import diffusion_ratio

    temperature = np.asarray(temperature_c, dtype=float)
    thawed = np.maximum(temperature, 0.0)
    return np.where(temperature < FREEZING_C, FROZEN_FACTOR, diffusion_ratio(thawed, reference_c))


def spoilage_factor(temperature_c: Floats | float, reference_c: float = 15.0) -> Floats:
    """Factor on the loss of tannin in the vat against ``reference_c``; frozen below -0.5 °C."""
    temperature = np.asarray(temperature_c, dtype=float)
    factor = SPOILAGE_Q10 ** ((temperature - reference_c) / 10.0)
    return np.where(temperature < FREEZING_C, FROZEN_FACTOR, factor)


PLUMPED_PH, EASY_PH = 3.3, 4.6
PLUMPED_FACTOR = 0.6
"""Plumping by acid slows entry (Procter 1903, Bennett 1921 by words; the size is from memory)."""


def acidity_factor(ph: Floats | float) -> Floats:
    """Factor on diffusion for the pH of the liquor: 1 at 4.6 and above, 0.6 at 3.3 and below."""
    return np.asarray(np.interp(ph, [PLUMPED_PH, EASY_PH], [PLUMPED_FACTOR, 1.0]))

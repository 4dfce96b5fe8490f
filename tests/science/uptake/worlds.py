"""Ensembles for the tests of uptake: plain ones set by hand, and draws of plausible ones."""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.schedule import Conditions, Pour, Schedule

OPEN_FILM = 1e7
"""Film so open [mm/day] that the face stands at the strength of the vat."""


def plain_world(
    *,
    members: int = 1,
    kinds: int = 1,
    diffusivity: float = 0.5,
    affinity: float = 0.2,
    capacity: float = 0.6,
    rate: float = 5.0,
    pore: float = 0.6,
    hide: float = 235.0,
    thickness: tuple[float, ...] = (2.0,),
    area: tuple[float, ...] = (0.4,),
    film: float = 20.0,
    openness: tuple[float, ...] | float = 0.5,
    spoilage: float = 0.0,
    nontan_diffusivity: float = 2.5,
) -> UptakeParameters:
    """An ensemble of equal worlds; slabs as many as thicknesses are given."""
    slabs = len(thickness)
    per_kind = np.ones((members, kinds))
    per_slab = np.ones((members, slabs))
    one = np.ones(members)
    return UptakeParameters(
        diffusivity_mm2_per_day=diffusivity * per_kind,
        affinity_l_per_g=affinity * per_kind,
        capacity_g_per_g=capacity * per_kind,
        binding_per_day=rate * one,
        pore_share=pore * one,
        hide_g_per_l=hide * one,
        thickness_mm=np.array(thickness) * per_slab,
        area_m2=np.array(area) * per_slab,
        film_mm_per_day=film * one,
        grain_openness=np.array(openness) * per_slab,
        nontan_diffusivity_mm2_per_day=nontan_diffusivity * one,
        spoilage_per_day=spoilage * one,
    )


def plausible_world(
    rng: np.random.Generator, *, members: int = 1, kinds: int = 1, slabs: int = 1
) -> UptakeParameters:
    """Random worlds over the wide ranges that docs/method/uptake.md gives for every parameter.

    Some slabs have a closed grain (hair on).
    """

    def log(low: float, high: float, *shape: int) -> np.ndarray:
        return np.exp(rng.uniform(np.log(low), np.log(high), shape))

    openness = rng.uniform(0.1, 1.0, (members, slabs))
    openness[rng.random((members, slabs)) < 0.3] = 0.0
    return UptakeParameters(
        diffusivity_mm2_per_day=log(0.17, 1.7, members, kinds),
        affinity_l_per_g=log(0.1, 0.33, members, kinds),
        capacity_g_per_g=rng.uniform(0.4, 0.9, (members, kinds)),
        binding_per_day=log(1.0, 50.0, members),
        pore_share=rng.uniform(0.4, 0.75, members),
        hide_g_per_l=rng.uniform(180.0, 300.0, members),
        thickness_mm=log(1.0, 4.0, members, slabs),
        area_m2=log(0.1, 1.0, members, slabs),
        film_mm_per_day=log(5.0, 100.0, members),
        grain_openness=openness,
        nontan_diffusivity_mm2_per_day=log(1.0, 6.0, members),
        spoilage_per_day=rng.uniform(0.0, 0.01, members),
    )


def plain_schedule(
    *,
    members: int = 1,
    kinds: int = 1,
    days: float = 20.0,
    vat_l: float = 20.0,
    tannin: float = 20.0,
    pours: tuple[Pour, ...] = (),
    conditions: tuple[Conditions, ...] = (Conditions(0.0),),
    stops: tuple[float, ...] = (),
) -> Schedule:
    """One liquor whose tannin is shared evenly by its kinds."""
    return Schedule(
        end_day=days,
        vat_l=vat_l,
        tannin_g_per_l=np.full((members, kinds), tannin / kinds),
        nontan_g_per_l=np.full(members, 0.8 * tannin),
        pours=pours,
        conditions=conditions,
        stops=stops,
    )


def pour(
    day: float, out_l: float, in_l: float, tannin: float, *, members: int = 1, kinds: int = 1
) -> Pour:
    """A pour of the same liquor in every world, its tannin shared evenly by its kinds."""
    return Pour(
        day, out_l, in_l, np.full((members, kinds), tannin / kinds), np.full(members, 0.8 * tannin)
    )


def eventful_schedule(
    rng: np.random.Generator,
    *,
    members: int = 1,
    kinds: int = 1,
    slabs: int = 1,
    days: float = 20.0,
) -> Schedule:
    """Random pours (swap, top-up, renewal), heat, frost and skins lifted out for a while."""
    vat_l = float(rng.uniform(10.0, 60.0))
    pours, litres = [], vat_l
    for day in np.sort(rng.uniform(0.5, days, 3)):
        out_l = float(rng.choice([0.0, 0.3, 0.7, 1.0]) * litres)
        in_l = float(rng.uniform(0.2, 0.8) * vat_l)
        litres += in_l - out_l
        tannin = rng.uniform(0.0, 40.0, (members, kinds))
        pours.append(Pour(float(day), out_l, in_l, tannin, rng.uniform(0.0, 30.0, members)))
    changes = [Conditions(0.0)]
    for day in np.sort(rng.uniform(0.5, days, 3)):
        lying = rng.random(slabs) > 0.25
        changes.append(
            Conditions(
                float(day),
                heat=float(rng.choice([1e-6, 0.7, 1.0, 1.5])),
                spoilage=float(rng.choice([1e-6, 0.5, 1.0, 3.0])),
                film=float(rng.choice([0.3, 1.0, 3.0])),
                lying=tuple(bool(x) for x in lying),
            )
        )
    return Schedule(
        end_day=days,
        vat_l=vat_l,
        tannin_g_per_l=rng.uniform(2.0, 30.0, (members, kinds)),
        nontan_g_per_l=rng.uniform(0.0, 30.0, members),
        pours=tuple(pours),
        conditions=tuple(changes),
    )

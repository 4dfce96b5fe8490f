"""Plausible tannages for benchmarks, drawn from the priors of the reference tables."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tanwright.reference.parameters import parameter
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.schedule import Pour, Schedule

STRENGTHEN_DAYS = (2.0, 5.0, 9.0, 14.0, 22.0)
SHARED = (
    "diffusivity",
    "half_saturation",
    "binding_capacity",
    "binding_rate",
    "pore_share",
    "hide_substance_share",
    "grain_openness",
    "film",
    "spoilage",
    "nontan_mobility",
    "thickness_error",
)


def draw_worlds(
    members: int, rng: np.random.Generator, thickness_mm: Sequence[float], *, kinds: int = 1
) -> UptakeParameters:
    """Worlds with a skin of one square metre, its area shared evenly by the given thicknesses."""
    value = {name: parameter(name).value(rng.standard_normal(members)) for name in SHARED}
    slabs = len(thickness_mm)
    per_kind = np.ones((members, kinds))
    return UptakeParameters(
        diffusivity_mm2_per_day=value["diffusivity"][:, None] * per_kind,
        affinity_l_per_g=per_kind / value["half_saturation"][:, None],
        capacity_g_per_g=value["binding_capacity"][:, None] * per_kind,
        binding_per_day=value["binding_rate"],
        pore_share=value["pore_share"],
        hide_g_per_l=value["hide_substance_share"] * 1080.0,
        thickness_mm=value["thickness_error"][:, None] * np.asarray(thickness_mm)[None, :],
        area_m2=np.full((members, slabs), 1.0 / slabs),
        film_mm_per_day=value["film"],
        grain_openness=np.minimum(value["grain_openness"], 1.0)[:, None] * np.ones((1, slabs)),
        nontan_diffusivity_mm2_per_day=value["diffusivity"] * value["nontan_mobility"],
        spoilage_per_day=value["spoilage"],
    )


def strengthened(
    members: int, days: float = 40.0, *, kinds: int = 1, vat_l: float = 60.0
) -> Schedule:
    """A weak liquor, strengthened five times by swapping a quarter of the vat, up to 30 g/L."""
    pours = tuple(
        Pour(
            day * days / 40.0,
            0.25 * vat_l,
            0.25 * vat_l,
            np.full((members, kinds), strength / kinds),
            np.full(members, 0.7 * strength),
        )
        for day, strength in zip(STRENGTHEN_DAYS, (25.0, 35.0, 45.0, 50.0, 55.0), strict=True)
    )
    return Schedule(
        end_day=days,
        vat_l=vat_l,
        tannin_g_per_l=np.full((members, kinds), 10.0 / kinds),
        nontan_g_per_l=np.full(members, 7.0),
        pours=pours,
    )

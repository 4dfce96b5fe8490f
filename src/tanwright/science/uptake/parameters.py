"""The numbers of an ensemble of tannages: one row per plausible world.

Shapes: m worlds, b slabs (a slab is one skin, or one region of a skin, of even thickness), s kinds
of tannin (one per plant material in the liquor).  No equation and no default stands here.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from tanwright.science.belief.unknowns import Floats


@dataclass(frozen=True)
class UptakeParameters:
    """Parameters of the uptake model, all at 20 °C and in a moved liquor.

    Attributes
    ----------
    diffusivity_mm2_per_day:
        Effective diffusion coefficient of each tannin in pelt, (m, s). Flux per pelt area is
        ``D * gradient of the free tannin``. 1e-11 m2/s is 0.864 mm2/day.
    affinity_l_per_g:
        Langmuir constant K, the inverse of the half-saturation strength, (m, s).
    capacity_g_per_g:
        Tannin bound per hide substance at saturation, (m, s).
    binding_per_day:
        Rate at which bound tannin follows its equilibrium, (m,).
    pore_share:
        Litres of tannin-bearing pore liquid per litre of pelt, (m,).
    hide_g_per_l:
        Hide substance per litre of pelt, (m,).
    thickness_mm, area_m2:
        Of each slab, (m, b). Volume in litres is their product.
    film_mm_per_day:
        Mass-transfer coefficient of the liquor film at a face, (m,).
    grain_openness:
        Diffusivity of the grain layer over that of the corium, (m, b). Zero: closed (hair on).
    nontan_diffusivity_mm2_per_day:
        Diffusion coefficient of the non-tans, (m,).
    spoilage_per_day:
        First-order loss of tannin in the vat at 15 °C, (m,).
    """

    diffusivity_mm2_per_day: Floats
    affinity_l_per_g: Floats
    capacity_g_per_g: Floats
    binding_per_day: Floats
    pore_share: Floats
    hide_g_per_l: Floats
    thickness_mm: Floats
    area_m2: Floats
    film_mm_per_day: Floats
    grain_openness: Floats
    nontan_diffusivity_mm2_per_day: Floats
    spoilage_per_day: Floats

    def __post_init__(self) -> None:
        members, kinds = self.diffusivity_mm2_per_day.shape
        slabs = self.thickness_mm.shape[1]
        expected = {
            "affinity_l_per_g": (members, kinds),
            "capacity_g_per_g": (members, kinds),
            "thickness_mm": (members, slabs),
            "area_m2": (members, slabs),
            "grain_openness": (members, slabs),
        }
        for field in fields(self):
            array = getattr(self, field.name)
            shape = expected.get(field.name, (members,))
            if field.name != "diffusivity_mm2_per_day" and array.shape != shape:
                raise ValueError(f"{field.name} has shape {array.shape}, needs {shape}")
            if not np.all(np.isfinite(array)):
                raise ValueError(f"{field.name} holds a value that is not finite")
            if np.any(array < 0.0):
                raise ValueError(f"{field.name} must not be negative")
        for name in ("thickness_mm", "diffusivity_mm2_per_day", "pore_share", "hide_g_per_l"):
            if np.any(getattr(self, name) <= 0.0):
                raise ValueError(f"{name} must be positive")

    @property
    def members(self) -> int:
        """Number of worlds m."""
        return int(self.diffusivity_mm2_per_day.shape[0])

    @property
    def kinds(self) -> int:
        """Number of kinds of tannin s."""
        return int(self.diffusivity_mm2_per_day.shape[1])

    @property
    def slabs(self) -> int:
        """Number of slabs b."""
        return int(self.thickness_mm.shape[1])

    def rows(self, index: np.ndarray | slice) -> UptakeParameters:
        """The worlds picked by ``index``, in that order."""
        return UptakeParameters(**{f.name: getattr(self, f.name)[index] for f in fields(self)})

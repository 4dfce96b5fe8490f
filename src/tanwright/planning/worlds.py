"""From the standard-normal draws of the unknowns to the numbers the engine runs on."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np

from tanwright.planning.setting import LotFacts, Setting
from tanwright.reference import liquors, parameters
from tanwright.science import extraction
from tanwright.science.belief.unknowns import Floats
from tanwright.science.uptake.parameters import UptakeParameters

WATERS = 2
WETTEST = 0.93
"""Fresh leaf and fruit hold no more water (from memory); a draw of the far tail is held to it."""
WATER_L_PER_KG = 4.0
"""Each of the two waters of a cook, per kg of air-dry material (common practice: 4 to 8)."""


@dataclass(frozen=True)
class Worlds:
    """Plausible worlds of one tannage; m worlds, k skin entries, j materials.

    Each skin entry lies in the vat as two slabs: 2 k is its body, 2 k + 1 its thick place.

    Attributes
    ----------
    pelt_kg, hide_kg:
        All skins of an entry together, (m, k).
    thickness_mm:
        Mean thickness, (m, k). ``thick_mm`` that of neck and haunch.
    tannin_share:
        Of air-dry material, (m, j).
    drawn_g_per_kg:
        Tannin that the usual cooks draw, g per kg as the material lies, (m, j).
    contained_g_per_kg:
        Tannin in it, g per kg as it lies, (m, j).
    purity:
        Tannins over solubles of its fresh liquor, (m, j).
    solubles_per_degree:
        g/L for each °Bk, (m,).
    colour_degree, leather_degree:
        Bound tannin [g/g] of a coloured cut and of leather, (m,).
    uptake:
        Parameters of the uptake model.
    """

    pelt_kg: Floats
    hide_kg: Floats
    thickness_mm: Floats
    thick_mm: Floats
    tannin_share: Floats
    drawn_g_per_kg: Floats
    contained_g_per_kg: Floats
    purity: Floats
    solubles_per_degree: Floats
    colour_degree: Floats
    leather_degree: Floats
    uptake: UptakeParameters

    @property
    def members(self) -> int:
        """Number of worlds."""
        return int(self.solubles_per_degree.size)

    def rows(self, index: np.ndarray | slice) -> Worlds:
        """The worlds picked by ``index``."""
        picked = {f.name: getattr(self, f.name)[index] for f in fields(self) if f.name != "uptake"}
        return Worlds(uptake=self.uptake.rows(index), **picked)


def make_worlds(setting: Setting, z: Floats) -> Worlds:
    """Worlds for ``z``, shape (m, unknowns of the setting)."""
    m = z.shape[0]
    known = {name: column for column, name in enumerate(u.name for u in setting.unknowns)}

    def value(unknown_name: str, fallback: float) -> Floats:
        column = known.get(unknown_name)
        if column is None:
            return np.full(m, fallback)
        return setting.unknowns[column].value(z[:, column])

    def shared(name: str) -> Floats:
        return value(name, parameters.parameter(name).median)

    density = parameters.parameter("pelt_density").median
    thick_share = parameters.parameter("thick_area").median
    ratio = np.maximum(shared("thick_place"), 1.0)
    pelt, thickness = [], []
    for index, skin in enumerate(setting.skins):
        pelt.append(value(f"pelt:{index}", skin.pelt.median) * skin.count)
        thick = value(f"thickness:{index}", skin.thickness.median)
        if skin.area_known:
            # The area stays: a heavier pelt on it is a thicker one.
            thick = thick * (pelt[-1] / skin.count / skin.pelt.median)
        thickness.append(thick)
    pelt_kg, mean_mm = np.stack(pelt, axis=1), np.stack(thickness, axis=1)
    area_m2 = pelt_kg / density / mean_mm
    thick_mm = mean_mm * ratio[:, None]
    body_mm = mean_mm * ((1.0 - thick_share * ratio) / (1.0 - thick_share))[:, None]
    hide_share = shared("hide_substance_share")
    count = len(setting.skins)
    slab_mm = np.empty((m, 2 * count))
    slab_m2 = np.empty((m, 2 * count))
    openness = np.empty((m, 2 * count))
    grain = np.minimum(shared("grain_openness"), 1.0)
    for k, skin in enumerate(setting.skins):
        slab_mm[:, 2 * k], slab_mm[:, 2 * k + 1] = body_mm[:, k], thick_mm[:, k]
        slab_m2[:, 2 * k] = area_m2[:, k] * (1.0 - thick_share)
        slab_m2[:, 2 * k + 1] = area_m2[:, k] * thick_share
        openness[:, 2 * k : 2 * k + 2] = 0.0 if skin.hair_on else grain[:, None]
    diffusivity = shared("diffusivity") * setting.moved
    kinds = max(len(setting.lots), 1)
    mobility, affinity = np.ones((m, kinds)), np.ones((m, kinds))
    for j, lot in enumerate(setting.lots):
        mobility[:, j] = value(f"mobility:{lot.material_id}", 1.0)
        affinity[:, j] = value(f"affinity:{lot.material_id}", 1.0)
    tannin, purity, drawn, contained = _supply(setting, value, shared("extraction_factor"), m)
    uptake = UptakeParameters(
        diffusivity_mm2_per_day=diffusivity[:, None] * mobility,
        affinity_l_per_g=affinity / shared("half_saturation")[:, None],
        capacity_g_per_g=np.repeat(shared("binding_capacity")[:, None], kinds, axis=1),
        binding_per_day=shared("binding_rate"),
        pore_share=shared("pore_share"),
        hide_g_per_l=hide_share * density * 1000.0,
        thickness_mm=slab_mm,
        area_m2=slab_m2,
        film_mm_per_day=shared("film") * setting.film,
        grain_openness=openness,
        nontan_diffusivity_mm2_per_day=diffusivity * parameters.parameter("nontan_mobility").median,
        spoilage_per_day=shared("spoilage"),
    )
    return Worlds(
        pelt_kg=pelt_kg,
        hide_kg=pelt_kg * hide_share[:, None],
        thickness_mm=mean_mm,
        thick_mm=thick_mm,
        tannin_share=tannin,
        drawn_g_per_kg=drawn,
        contained_g_per_kg=contained,
        purity=purity,
        solubles_per_degree=shared("solubles_per_degree"),
        colour_degree=shared("colour_degree"),
        leather_degree=shared("leather_degree"),
        uptake=uptake,
    )


def middle_world(setting: Setting, z: Floats | None = None) -> Worlds:
    """One world: the median of every unknown, of the prior or of the worlds ``z``."""
    centre = np.zeros((1, len(setting.unknowns))) if z is None else np.median(z, axis=0)[None, :]
    return make_worlds(setting, centre)


NEAREST_SERIES = {
    "bark": "oak",
    "leaf": "sumac",
    "root": "canaigre",
    "wood": "quebracho",
    "fruit": "myrobalan",
}
"""Published extraction series that stands for a part without one of its own (from memory)."""


def response_of(lot: LotFacts) -> extraction.TemperatureResponse:
    """How far heat draws the tannin of a material, from its own or the nearest series."""
    listed = liquors.extraction_series()
    own = [series for series in listed if series.material_id == lot.material_id]
    nearest = [series for series in listed if series.id == NEAREST_SERIES[_cooked_as(lot.part)]]
    series = (own or nearest)[0]
    bands = {sum(band.temperature_c) / 2.0: band.tannin_pct for band in series.bands}
    warm = sorted(bands)
    return extraction.temperature_response(np.array(warm), np.array([bands[t] for t in warm]))


def cook_c(lot: LotFacts) -> float:
    """Warmth at which the part is cooked, °C."""
    return extraction.SIMMER_C.get(_cooked_as(lot.part), 75.0)


def _cooked_as(part: str) -> str:
    if part in ("leaf", "twig-leaf", "whole-herb"):
        return "leaf"
    if part in ("root", "rhizome", "root-bark"):
        return "root"
    if part == "wood":
        return "wood"
    return "bark" if part == "bark" else "fruit"


def _supply(
    setting: Setting, value: Callable[[str, float], Floats], factor: Floats, m: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """Tannin share, purity, drawn and contained tannin of each material."""
    kinds = max(len(setting.lots), 1)
    tannin, purity = np.full((m, kinds), 0.1), np.full((m, kinds), 0.6)
    drawn, contained = np.full((m, kinds), 50.0), np.full((m, kinds), 100.0)
    held = parameters.parameter("liquor_held").median
    for j, lot in enumerate(setting.lots):
        tannin[:, j] = value(lot.tannin.name, lot.tannin.median)
        purity[:, j] = value(lot.purity.name, lot.purity.median)
        moisture = np.minimum(value(lot.moisture.name, lot.moisture.median), WETTEST)
        series = extraction.cooks(
            1.0,
            tannin[:, j],
            moisture,
            purity[:, j],
            WATER_L_PER_KG,
            WATERS,
            cook_c(lot),
            3.0,
            response=response_of(lot),
            piece_mm=piece_mm(lot),
            held_l_per_kg=held,
        )
        contained[:, j] = series.contained_g
        share = np.minimum(series.drawn_share * factor, 0.98)
        drawn[:, j] = series.contained_g * share
    return tannin, purity, drawn, contained


def piece_mm(lot: LotFacts) -> float:
    """Thickness of the pieces, mm, from how the lot is ground."""
    word = {"coarse": "chopped", "fine": "ground"}
    return extraction.PIECE_MM[word.get(lot.lot.history.grind or "", "chips")]


def log_spread(values: Floats) -> float:
    """Standard deviation of the logarithm of positive values."""
    return float(np.std(np.log(np.maximum(values, 1e-12)))) if values.size else math.nan

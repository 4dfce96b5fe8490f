"""What tanwright itself makes of the inputs of an outside check, by name of the quantity.

Each function takes the inputs of one row and answers with a number, a range or a short text, always
through the functions that the plan uses. Facts held in tables are in :mod:`.outside_facts`.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tanwright.reference.loader import table
from tanwright.science import (
    bark_yield,
    beamhouse,
    demand,
    extraction,
    hide,
    leather,
    mixing,
    strength,
    water,
)
from tanwright.science.belief.unknowns import Unknown
from tanwright.science.uptake import analytic

Ours = float | tuple[float, float] | str


class Inputs(dict[str, str]):
    """Inputs of one row: names and values as text."""

    def number(self, name: str) -> float:
        """A required number. Raises KeyError or ValueError when the row lacks it."""
        return float(self[name])

    def numbers(self, name: str) -> list[float]:
        """Numbers separated by spaces."""
        return [float(part) for part in self[name].split()]


Quantity = Callable[[Inputs], Ours]


def _scale(i: Inputs) -> Ours:
    constant = i.number("constant") if "constant" in i else None
    return float(strength.convert(i.number("sg"), "sg", i["scale"], to_constant=constant))


def _sg(i: Inputs) -> Ours:
    constant = i.number("constant") if "constant" in i else None
    return float(strength.convert(i.number("value"), i["scale"], "sg", from_constant=constant))


def _hydrometer(i: Inputs) -> Ours:
    return float(
        strength.hydrometer_to_sg(
            i.number("reading"),
            i.number("temperature_c"),
            i.number("calibrated_at_c"),
            i.number("glass"),
        )
    )


def _purity_range(part: str) -> tuple[float, float]:
    row = next(
        row
        for row in table("purities")
        if row.text("part") == part and row.text("tannin_class") == "any"
    )
    prior = Unknown(
        "purity", "purity", row.number("purity_median"), row.number("spread"), "logit", "", ()
    )
    low, high = prior.quantile(np.array([0.05, 0.95]))
    return float(low), float(high)


def _tannin_range(i: Inputs) -> Ours:
    low, high = _purity_range(i["part"])
    grams = strength.tannin_g_per_l(i.number("bk"), np.array([low, high])) / 10.0
    return float(grams[0]), float(grams[1])


def _tannin_per_degree(i: Inputs) -> Ours:
    low, high = _purity_range(i["part"])
    grams = strength.tannin_g_per_l(1.0, np.array([low, high]))
    return float(grams[0]), float(grams[1])


def response_of_series(series: str) -> extraction.TemperatureResponse:
    """Temperature response of one series of the extraction table; a band counts at its middle."""
    rows = [row for row in table("extraction") if row.text("series") == series]
    middles = np.array([0.5 * (row.number("low_c") + row.number("high_c")) for row in rows])
    return extraction.temperature_response(
        middles, np.array([row.number("tannin_pct") for row in rows])
    )


def best_tannin_pct(series: str) -> float:
    """Most tannin drawn in a series, % of material."""
    return max(r.number("tannin_pct") for r in table("extraction") if r.text("series") == series)


def purity_of_series(series: str) -> float:
    """Purity at the best band of a series."""
    row = next(row for row in table("extraction_series") if row.text("id") == series)
    return float(extraction.purity_of(best_tannin_pct(series), row.number("nontannin_pct")))


def _row_left(i: Inputs) -> Ours:
    left = extraction.share_left_counter_current(
        i.number("water_l_per_kg"),
        i.number("held_l_per_kg"),
        int(i["stages"]),
        extraction.AIR_DRY_MOISTURE,
    )
    held = best_tannin_pct(i["series"])
    soluble_share = held / 100.0 / purity_of_series(i["series"])
    spent_mass = 1.0 - soluble_share * (1.0 - float(left))
    return float(left) * held / spent_mass


def _first_liquor(i: Inputs) -> Ours:
    row = next(row for row in table("observations") if row.text("id") == i["observation"])
    series = extraction.cooks(
        1.0,
        row.number("high_pct") / 100.0,
        purity=purity_of_series(i["series"]),
        response=response_of_series(i["series"]),
    )
    return float(strength.bk_from_solubles(series.solubles_g_per_l[0]))


def _cold_share(i: Inputs) -> Ours:
    return 100.0 * float(response_of_series(i["series"]).at(15.0))


def _agent_ratio(_: Inputs) -> Ours:
    agents = [beamhouse.DELIMING_AGENTS[name] for name in ("formic", "acetic", "lactic")]
    grams = [float(beamhouse.agent_g_per_g_cao(a.g_per_mol, a.equivalents)) for a in agents]
    return ":".join(f"{4.0 * g / grams[1]:.0f}" for g in grams)


def _softening(i: Inputs) -> Ours:
    days = float(beamhouse.softening_days(i.number("dried_at_c")))
    return days if np.isfinite(days) else "does not soften enough to tan"


def _drench_acid(i: Inputs) -> Ours:
    return float(beamhouse.sum_of_acids_g_per_l(*(float(value) for value in i.values())))


def _combined(i: Inputs) -> Ours:
    names = ("moisture", "fat", "water_soluble", "insol_ash", "hide")
    return float(leather.combined_tannin_pct(*(i.number(name) for name in names)))


def _degree(i: Inputs) -> Ours:
    return float(leather.degree_of_tannage_pct(i.number("fixed_tannin"), i.number("hide")))


def _plain(i: Inputs, per_kg: float = 1.0) -> float:
    return float(
        demand.material_by_exhaustion_kg(
            hide.hide_substance_kg(per_kg, i.number("hide_share")),
            i.number("degree_pct"),
            i.number("tannin_pct") / 100.0,
            i.number("drawn"),
            i.number("exhaustion"),
        )
    )


def _plain_per_leather(i: Inputs) -> Ours:
    hide_pct = 100.0 * i.number("hide_share")
    per_leather = 1.0 / float(leather.leather_kg(1.0, hide_pct))
    return _plain(Inputs(i | {"hide_share": "1"})) * per_leather


def _tree_mass(i: Inputs) -> Ours:
    group = bark_yield.tree_group(i["group"])
    return float(bark_yield.stem_bark_kg(i.number("dbh_cm"), group))


def _ratio(i: Inputs) -> Ours:
    wood: bark_yield.Wood = "softwood" if i["wood"] == "softwood" else "hardwood"
    names = {part: part for part in bark_yield.RATIOS[wood]}
    return float(
        bark_yield.component_ratio(i.number("dbh_cm"), wood, names[_component(i["component"])])
    )


def _component(text: str) -> bark_yield.Component:
    for part in bark_yield.RATIOS["hardwood"]:
        if part == text:
            return part
    raise KeyError(text)


def _volume_ratio(i: Inputs) -> float:
    return float(analytic.volume_ratio_of_final_share(i.number("final_share")))


def _front(i: Inputs) -> analytic.SharpFront:
    return analytic.SharpFront(
        i.number("bound_g_per_l"), i.number("tannin_g_per_l"), i.number("diffusivity_m2_per_s")
    )


def _front_ratio(i: Inputs) -> Ours:
    once = analytic.SharpFront(55.0, 15.0, 1e-11).days_to(1.0)
    again = analytic.SharpFront(55.0, 15.0 * i.number("strength_times"), 1e-11)
    return float(again.days_to(i.number("depth_times")) / once)


def _front_diffusivity(i: Inputs) -> Ours:
    names = ("depth_mm", "days", "tannin_g_per_l", "bound_g_per_l")
    return float(analytic.front_diffusivity_m2_per_s(*(i.number(name) for name in names)))


def _mean_strength(i: Inputs) -> Ours:
    weeks, strengths = np.array(i.numbers("weeks")), np.array(i.numbers("strengths"))
    return float(mixing.mixed_strength(weeks, strengths))


SCIENCE: dict[str, Quantity] = {
    "strength.scale": _scale,
    "strength.sg": _sg,
    "strength.sugar-solids": lambda i: float(strength.sugar_solids_g_per_l(i.number("sg"))),
    "strength.hydrometer": _hydrometer,
    "strength.reference-temperature": lambda _: strength.BARKOMETER_REFERENCE_C,
    "strength.tannin-range": _tannin_range,
    "strength.tannin-per-degree": _tannin_per_degree,
    "water.density": lambda i: float(water.density_kg_per_l(i.number("temperature_c"))),
    "water.viscosity": lambda i: float(water.viscosity_mpa_s(i.number("temperature_c"))),
    "water.diffusion-ratio": lambda i: float(
        water.diffusion_ratio(i.number("temperature_c"), i.number("reference_c"))
    ),
    "extraction.row-left": _row_left,
    "extraction.first-liquor": _first_liquor,
    "extraction.cold-share": _cold_share,
    "extraction.drawn-share": lambda i: (
        100.0 * float(extraction.drawn_share(i.number("before"), i.number("left")))
    ),
    "extraction.by-difference": lambda i: float(
        extraction.tannin_by_difference_pct(i.number("total"), i.number("non_tannin"))
    ),
    "extraction.purity": lambda i: purity_of_series(i["series"]),
    "lime.solubility": lambda i: float(beamhouse.saturated_lime_g_per_l(i.number("temperature_c"))),
    "lime.titre": lambda i: float(
        beamhouse.tenth_normal_acid_ml(i.number("cao_g_per_l"), 1.0, i.number("cao_mg_per_ml"))
    ),
    "lime.enough": lambda _: float(
        beamhouse.bath_g_per_l(beamhouse.quicklime_kg(0.001, 100.0), 100.0)
    ),
    "lime.used": lambda _: beamhouse.LIME_USED_PCT,
    "lime.agent": lambda i: float(
        beamhouse.deliming_agent_g(1.0, beamhouse.DELIMING_AGENTS[i["agent"]])
    ),
    "lime.vinegar": lambda i: float(
        beamhouse.acid_ml_per_g_cao(beamhouse.DELIMING_AGENTS["acetic"], i.number("acid_g_per_l"))
    ),
    "lime.agent-ratio": _agent_ratio,
    "drench.bran": lambda _: (
        min(beamhouse.BRAN_PCT.values()),
        max(beamhouse.BRAN_PCT.values()),
    ),
    "drench.acid": _drench_acid,
    "soak.days": _softening,
    "brine.salt": lambda i: float(beamhouse.brine_salt_pct(strength.sg_from_bk(i.number("bk")))),
    "hide.substance": lambda i: float(hide.hide_substance_pct(i.number("nitrogen_pct"))),
    "hide.leather-factor": lambda _: hide.NITROGEN_FACTOR,
    "hide.thickness": lambda i: float(
        hide.mean_thickness_mm(
            i.number("mass_kg"), i.number("area_m2"), i.number("density_kg_per_l")
        )
    ),
    "leather.closure": lambda i: float(leather.closure_pct(*(float(v) for v in i.values()))),
    "leather.degree": _degree,
    "leather.yield-number": lambda i: float(leather.yield_number(i.number("hide"))),
    "leather.combined": _combined,
    "schedule.weeks": lambda i: float(sum(i.numbers("weeks"))),
    "schedule.share": lambda i: 100.0 * i.number("part") / i.number("whole"),
    "schedule.mean-strength": _mean_strength,
    "demand.plain": lambda i: _plain(i, i.number("pelt_kg")),
    "demand.plain-per-leather": _plain_per_leather,
    "tree.mass": _tree_mass,
    "tree.above-ground": lambda i: float(
        bark_yield.above_ground_kg(i.number("dbh_cm"), bark_yield.tree_group(i["group"]))
    ),
    "tree.ratio": _ratio,
    "tree.tannin": lambda i: (
        float(bark_yield.stem_bark_kg(i.number("dbh_cm"), bark_yield.tree_group(i["group"])))
        * i.number("tannin_pct")
        / 100.0
    ),
    "sheet.uptake": lambda i: float(analytic.sheet_uptake(i.number("fourier"))),
    "sheet.early": lambda i: float(analytic.sheet_uptake_early(i.number("fourier"))),
    "sheet.middle": lambda i: float(analytic.sheet_middle(i.number("fourier"))),
    "bath.root": lambda i: float(analytic.bath_roots(_volume_ratio(i), 1)[0]),
    "bath.uptake": lambda i: float(analytic.bath_uptake(i.number("fourier"), _volume_ratio(i))),
    "front.days": lambda i: float(_front(i).days_to(i.number("depth_mm"))),
    "front.days-ratio": _front_ratio,
    "front.diffusivity": _front_diffusivity,
}
"""Quantities that a function of science/ gives, by the name used in the published tables."""

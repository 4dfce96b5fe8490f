"""Facts that tanwright holds in its tables and units, for the outside checks that ask for them.

A printed value is never compared with the row it was carried from in the same file: the published
file and the reference table were written apart, and a slip in either shows here.
"""

from __future__ import annotations

import numpy as np

from tanwright import units
from tanwright.planning.outside_quantities import Inputs, Ours, Quantity, best_tannin_pct
from tanwright.reference.loader import Row, table
from tanwright.science import bark_yield, beamhouse, hide

_PASCAL_PER_PSI = units.MASS_KG["lb"] * 9.80665 / (units.LENGTH_MM["in"] / 1000.0) ** 2


def _row(name: str, column: str, value: str) -> Row:
    for row in table(name):
        if row.text(column) == value:
            return row
    raise KeyError(f"{name} has no row with {column} = {value}")


def _extraction(i: Inputs) -> Ours:
    band = i["band_c"]
    for row in table("extraction"):
        if row.text("series") != i["series"]:
            continue
        low, high = row.number("low_c"), row.number("high_c")
        name = f"{low:g}" if low == high else f"{low:g}-{high:g}"
        if band == (row.text("way") if row.text("way") == "boiled" else name):
            return row.number("tannin_pct")
    raise KeyError(f"no band {band} in the extraction table")


def _best_band(i: Inputs) -> Ours:
    best = best_tannin_pct(i["series"])
    rows = [row for row in table("extraction") if row.text("series") == i["series"]]
    band = next(row for row in rows if row.number("tannin_pct") == best)
    return band.number("low_c"), band.number("high_c")


def _shrinkage(i: Inputs) -> Ours:
    row = _row("shrinkage", "id", i["row"])
    return row.number("low_c"), row.number("high_c")


def _observation(i: Inputs) -> Ours:
    row = _row("observations", "id", i["row"])
    low, high = row.optional("low_pct"), row.optional("high_pct")
    if low is None or high is None:
        return f"up to {high:g}" if high is not None else f"at least {low:g}"
    return low, high


def _weights(i: Inputs) -> Ours:
    row, per = _row("weights", "id", i["row"]), i.number("per")
    return row.number("ratio_low") / per, row.number("ratio_high") / per


def _factor(i: Inputs) -> Ours:
    return float(
        hide.nitrogen_factor(_row("hide_nitrogen", "animal", i["animal"]).number("nitrogen_pct"))
    )


def _bark(column: str) -> Quantity:
    return lambda i: _row("bark_properties", "species", i["species"]).number(column)


def _bark_water(i: Inputs) -> Ours:
    dry = _row("bark_properties", "species", i["species"]).number("green_moisture_pct")
    return 100.0 * float(bark_yield.wet_basis(dry / 100.0))


def _fresh_moisture(i: Inputs) -> Ours:
    rows = [r for r in table("moistures") if r.text("part") == i["part"]]
    return 100.0 * next(r for r in rows if r.text("state") == "fresh").number("water_median")


def _tree_age(i: Inputs) -> Ours:
    return _row("tree_ages", "scope", i["scope"]).number("old_above_y")


def _butt_thickness(i: Inputs) -> Ours:
    animal = _row("animals", "id", i["animal"])
    rows = table("regions")
    shares = np.array(
        [0.5 * (r.number("area_share_low") + r.number("area_share_high")) for r in rows]
    )
    relative = np.array(
        [0.5 * (r.number("thickness_low") + r.number("thickness_high")) for r in rows]
    )
    at = [row.text("id") for row in rows].index(i["region"])
    means = np.array([animal.number("thickness_low_mm"), animal.number("thickness_high_mm")])
    low, high = hide.region_thickness_mm(means, shares, relative)[:, at]
    return float(low), float(high)


def _per_gallon(gallon: str, name: str) -> Quantity:
    return lambda i: float(
        beamhouse.bath_g_per_l(
            i.number("lb") * units.MASS_KG["lb"], i.number(name) * units.VOLUME_L[gallon]
        )
    )


def _ounces_per_cubic_foot(i: Inputs) -> Ours:
    litres = (units.LENGTH_MM["ft"] / 100.0) ** 3
    return i.number("g_per_l") * litres / (1000.0 * units.MASS_KG["oz"])


def _both(factor: float) -> Quantity:
    return lambda i: (i.number("low") * factor, i.number("high") * factor)


FACTS: dict[str, Quantity] = {
    "extraction.table": _extraction,
    "extraction.best-band": _best_band,
    "reference.shrinkage": _shrinkage,
    "reference.observation": _observation,
    "reference.weights": _weights,
    "reference.tree-age": _tree_age,
    "hide.nitrogen": lambda i: _row("hide_nitrogen", "animal", i["animal"]).number("nitrogen_pct"),
    "hide.nitrogen-factor": _factor,
    "hide.butt-thickness": _butt_thickness,
    "bark.green-moisture": _bark("green_moisture_pct"),
    "bark.basic-density": _bark("basic_sg"),
    "bark.water-share": _bark_water,
    "bark.fresh-moisture": _fresh_moisture,
    "units.lb-to-kg": lambda i: i.number("lb") * units.MASS_KG["lb"],
    "units.in-to-mm": lambda i: i.number("inch") * units.LENGTH_MM["in"],
    "units.ft2": lambda i: i.number("ft2") * units.AREA_M2["sq ft"],
    "units.ft2-to-m2": _both(units.AREA_M2["sq ft"]),
    "units.psi-to-mpa": _both(_PASCAL_PER_PSI / 1e6),
    "units.lb-per-imp-gal": _per_gallon("imp gal", "imp_gal"),
    "units.lb-per-us-gal": _per_gallon("us gal", "us_gal"),
    "units.g-per-l-to-oz-per-ft3": _ounces_per_cubic_foot,
}
"""Facts of the tables and of the units, by the name used in the published tables."""

"""What a leather analysis says: degree of tannage, yield, combined tannin, dry basis.

All figures in % of the leather as analysed. Definitions as the leather chemists' societies use
them (from memory); analyses to hold them against: sciam1881 (eight leathers shown in Paris 1878).
"""

from __future__ import annotations

import numpy as np

from tanwright.errors import InputError
from tanwright.science.values import Floats, Value, not_negative, positive, within


def degree_of_tannage_pct(combined_tannin_pct: Value, hide_substance_pct: Value) -> Floats:
    """Combined tannin per 100 hide substance (both in the same unit, per cent or grams)."""
    bound = not_negative(combined_tannin_pct, "combined tannin")
    return np.asarray(100.0 * bound / positive(hide_substance_pct, "hide substance"))


def combined_tannin_of_degree(degree_pct: Value, hide_substance: Value) -> Floats:
    """Inverse: combined tannin in the unit of ``hide_substance``."""
    degree = not_negative(degree_pct, "degree of tannage")
    return np.asarray(degree / 100.0 * positive(hide_substance, "hide substance"))


def yield_number(hide_substance_pct: Value) -> Floats:
    """Leather from 100 parts of hide substance: 10000 / hide substance %."""
    part = positive(within(hide_substance_pct, 0.0, 100.0, "hide substance"), "hide substance")
    return np.asarray(10000.0 / part)


def closure_pct(*parts_pct: Value) -> Floats:
    """Sum of the parts of an analysis; a full one gives 100 within its rounding."""
    if not parts_pct:
        raise InputError("an analysis without parts cannot be summed")
    total = not_negative(parts_pct[0], "part")
    for part in parts_pct[1:]:
        total = total + not_negative(part, "part")
    return np.asarray(total)


def combined_tannin_pct(
    water_pct: Value,
    fat_pct: Value,
    water_soluble_pct: Value,
    insoluble_ash_pct: Value,
    hide_substance_pct: Value,
) -> Floats:
    """Combined tannin by difference: 100 less everything else.

    Every error of the other figures lands here. Raises InputError when the parts exceed 100.
    """
    rest = closure_pct(water_pct, fat_pct, water_soluble_pct, insoluble_ash_pct, hide_substance_pct)
    return within(
        100.0 - rest, 0.0, 100.0, "combined tannin", remedy="the parts sum to more than 100 %"
    )


def on_dry_basis_pct(value_pct: Value, volatile_pct: Value) -> Floats:
    """A figure on the leather without its volatile matter: 100 x / (100 - volatile)."""
    wet = within(volatile_pct, 0.0, 99.0, "volatile matter")
    return np.asarray(100.0 * not_negative(value_pct, "value") / (100.0 - wet))


def leather_kg(hide_substance_kg: Value, hide_substance_pct: Value) -> Floats:
    """Finished leather from its hide substance and the share of it that an analysis would find."""
    return np.asarray(
        positive(hide_substance_kg, "hide substance") * yield_number(hide_substance_pct) / 100.0
    )

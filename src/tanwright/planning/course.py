"""The course of a tannage: the first liquor, the strengthenings, and what the vat lives through.

A course is the same for all worlds; how strong each liquor turns out is each world's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.planning.setting import Setting
from tanwright.planning.worlds import Worlds
from tanwright.science.belief.unknowns import Floats
from tanwright.science.uptake import model
from tanwright.science.uptake.schedule import Conditions, Pour, Schedule

RETURNED = 0.95
"""Share of the tannin in the liquor a cook was made with that comes back; the rest stays in the
drained bark with the last water (from memory)."""

USUAL_COOK_L_PER_KG = 6.0
"""Liquor that a usual cook gives per kg of dry material: two waters of 4 L, of which the pressed
bark keeps 2 L."""


@dataclass(frozen=True)
class Cook:
    """Material cooked in liquor of the vat and poured back, on one day.

    ``kg`` of each material as it lies; ``litres`` taken out, cooked with, and put back (on day 0
    the vat is filled with it); ``below_bk``: only if the vat stands below this strength.
    """

    day: float
    kg: tuple[float, ...]
    litres: float
    below_bk: float | None = None


@dataclass(frozen=True)
class Poured:
    """Liquor of a known strength put in: a swap (as much taken out first) or a top-up.

    ``strength_bk`` is nought for water and ``None`` when nobody measured it: then it is taken as
    the pooled waters of a usual cook of ``material`` (column).
    """

    day: float
    out_l: float
    in_l: float
    strength_bk: float | None
    material: int = 0


@dataclass(frozen=True)
class Spell:
    """What the vat lives through from ``day`` on."""

    day: float
    temperature_c: float
    film: float = 1.0
    acidity: float = 1.0
    lying: bool = True


def liquor_of(worlds: Worlds, kg: Sequence[float], litres: float) -> tuple[Floats, Floats]:
    """Tannin (m, j) and non-tans (m,) in g/L of ``kg`` of each material cooked into ``litres``."""
    mass = np.asarray(kg, dtype=float)
    tannin = worlds.drawn_g_per_kg * mass / litres
    nontan = (tannin * (1.0 - worlds.purity) / worlds.purity).sum(axis=1)
    return tannin, np.asarray(nontan)


def strength_bk(worlds: Worlds, tannin_g_per_l: Floats, nontan_g_per_l: Floats) -> Floats:
    """Strength of liquors, °Bk; tannin (m, ..., j), non-tans (m, ...)."""
    solubles = tannin_g_per_l.sum(axis=-1) + nontan_g_per_l
    shape = (-1,) + (1,) * (solubles.ndim - 1)
    return np.asarray(solubles / worlds.solubles_per_degree.reshape(shape))


def spells_of(setting: Setting, end_day: float) -> tuple[Spell, ...]:
    """Temperature of the vat as the sheet has it."""
    days = {0.0}
    for spell in setting.sheet.vat.temperature:
        if spell.since is not None:
            days.add(max(0.0, setting.day_of(spell.since)))
    return tuple(
        Spell(day, setting.temperature_c(day), setting.film)
        for day in sorted(days)
        if day < end_day
    )


def schedule_of(
    worlds: Worlds,
    setting: Setting,
    first: Cook,
    changes: Sequence[Cook | Poured],
    spells: Sequence[Spell],
    end_day: float,
    stops: Sequence[float] = (),
    first_litres: float | None = None,
) -> Schedule:
    """The schedule that the solver runs for a course."""
    litres = first_litres or setting.vat_l
    tannin, nontan = liquor_of(worlds, first.kg, litres)
    pours = [
        _cook(worlds, change) if isinstance(change, Cook) else _pour(worlds, change)
        for change in changes
        if change.day <= end_day
    ]
    slabs = worlds.uptake.slabs
    conditions = tuple(
        Conditions(
            day=spell.day,
            heat=float(model.heat_factor(spell.temperature_c)) * spell.acidity,
            spoilage=float(model.spoilage_factor(spell.temperature_c)),
            film=spell.film,
            lying=(spell.lying,) * slabs,
        )
        for spell in spells
    )
    return Schedule(
        end_day=end_day,
        vat_l=litres,
        tannin_g_per_l=tannin,
        nontan_g_per_l=nontan,
        pours=tuple(pours),
        conditions=conditions or (Conditions(0.0),),
        stops=tuple(stops),
    )


def _cook(worlds: Worlds, cook: Cook) -> Pour:
    tannin, nontan = liquor_of(worlds, cook.kg, cook.litres)
    below = None if cook.below_bk is None else cook.below_bk * worlds.solubles_per_degree
    return Pour(
        cook.day,
        cook.litres,
        cook.litres,
        tannin,
        nontan,
        returned=RETURNED,
        only_below_g_per_l=below,
    )


def _pour(worlds: Worlds, poured: Poured) -> Pour:
    tannin = np.zeros_like(worlds.purity)
    purity = worlds.purity[:, poured.material]
    if poured.strength_bk is None:
        # Liquor runs off by the kg of air-dry material, tannin was reckoned as the lot lies.
        air_dry = worlds.contained_g_per_kg / 1000.0 / worlds.tannin_share
        litres = USUAL_COOK_L_PER_KG * air_dry[:, poured.material]
        solubles = worlds.drawn_g_per_kg[:, poured.material] / purity / litres
    else:
        solubles = poured.strength_bk * worlds.solubles_per_degree
    tannin[:, poured.material] = solubles * purity
    return Pour(poured.day, poured.out_l, poured.in_l, tannin, solubles * (1.0 - purity))

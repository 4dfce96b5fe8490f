"""Which cooks to make and when: worked out in the middle world, day by day.

The rule of the trade: begin weak, raise the strength a little at each change, never put raw pelt
into the strongest liquor (Procter 1903, Bennett 1921).  A strengthening is due when the vat has
fallen to ``SPENT`` of what it was after the last one, and raises it by one rung of the ladder; it
never takes more than the stock.  One strengthening takes as many pots as the liquor that can be
spared fills, and at least two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from tanwright.planning.course import (
    USUAL_COOK_L_PER_KG,
    Cook,
    Spell,
    liquor_of,
    strength_bk,
)
from tanwright.planning.setting import Setting
from tanwright.planning.worlds import WATER_L_PER_KG, Worlds
from tanwright.science.belief.unknowns import Floats
from tanwright.science.uptake import model
from tanwright.science.uptake.result import SlabState
from tanwright.science.uptake.schedule import Conditions, Schedule
from tanwright.science.uptake.solver import Resolution, solve

SPENT = 0.72
"""Strengthen when the vat has fallen to this share of its last strength (common practice)."""
BARELY = 0.08
"""A vat that is short of its rung by less than this share is left alone (from memory)."""
ENOUGH_READING = 0.92
"""A vat that reads this share of what it should after a cook can do without the cook."""
FIRST_SHARE = 0.45
"""At most this share of the stock goes into the first liquor, so that the start is weak."""
POT_FILL = 0.85
OVERFULL = 0.1
"""Of a pot: so much more still goes in (from memory)."""
COVERED_L_PER_KG = 2.5
"""Liquor that stays with each kg of pelt while the rest is out in the pots (from memory)."""
MOST_KEPT = 0.6
"""But never more than this share of a tight vat: then the skin is turned in what is left."""
COARSE = Resolution(cells=20, steps_per_root_day=3.0, fewest_steps=3)


@dataclass(frozen=True)
class VatState:
    """The middle world's vat and pelts at one moment."""

    day: float
    tannin_g_per_l: Floats
    nontan_g_per_l: Floats
    pelts: SlabState | None


def pot_kg(setting: Setting, column: int) -> float:
    """Material, kg as it lies, that one cook of the pot takes with 4 L on each kg of it dry."""
    return pot_air_dry_kg(setting) / setting.lots[column].air_dry_part


def pot_air_dry_kg(setting: Setting) -> float:
    """Air-dry material that one cook of the pot takes; a kg of it fills about 1 L."""
    return setting.pot_l * POT_FILL / (WATER_L_PER_KG + 1.0)


def pot_counts(kg: Floats, one_kg: float) -> Floats:
    """Pots of ``one_kg`` that each of the masses ``kg`` takes; a pot may be a tenth over."""
    mass = np.asarray(kg, dtype=float)
    return np.where(mass > 0.0, np.maximum(np.ceil(mass / one_kg - OVERFULL - 1e-6), 1.0), 0.0)


def liquor_to_spare_l(setting: Setting) -> float:
    """Liquor that may be out of the vat at once, in the pots, with the skins still covered."""
    pelt_kg = sum(skin.pelt.median * skin.count for skin in setting.skins)
    return setting.vat_l - min(COVERED_L_PER_KG * pelt_kg, MOST_KEPT * setting.vat_l)


def rungs_bk(setting: Setting) -> list[float]:
    """Strengths of the ladder, °Bk, from the first liquor to the last."""
    target = setting.target
    steps = max(1, math.ceil((target.finish_bk - target.start_bk) / target.step_bk))
    return [target.start_bk + target.step_bk * i for i in range(steps)] + [target.finish_bk]


def live_bk(world: Worlds, state: VatState, mix: Floats) -> float:
    """Strength that the tannin alone would give in a fresh liquor of the blend ``mix`` (j,), °Bk.

    What the instrument reads less the non-tans that pile up in an old liquor.
    """
    purity = float(1.0 / (mix / world.purity[0]).sum()) if mix.sum() > 0.0 else 0.6
    tannin = float(state.tannin_g_per_l.sum())
    return tannin / purity / float(world.solubles_per_degree[0])


def beat_days(worlds: Worlds, setting: Setting) -> float:
    """Days between two looks at the vat: thin skins daily, thick hides weekly."""
    thickness = float(np.median(worlds.thick_mm.max(axis=1)))
    one_sided = any(skin.hair_on for skin in setting.skins)
    way = thickness if one_sided else 0.6 * thickness
    return float(np.clip(math.ceil(way * way / 2.0), 1.0, 7.0))


def plan_cooks(
    world: Worlds,
    setting: Setting,
    stock_kg: Floats,
    spells: tuple[Spell, ...],
    *,
    begin: VatState | None = None,
    horizon_days: float = 500.0,
    last_strength_bk: float | None = None,
    last_cook_day: float | None = None,
) -> tuple[Cook, ...]:
    """Cooks for the middle world ``world`` (one member) from ``stock_kg`` (j,) of the materials.

    Starts a new vat, or goes on from ``begin``, where ``last_strength_bk`` and ``last_cook_day``
    tell of the last strengthening. Every cook after the first carries the strength below which it
    is needed.
    """
    stock = np.array(stock_kg, dtype=float)
    mix = stock / stock.sum() if stock.sum() > 0.0 else stock
    per_kg = float((world.drawn_g_per_kg[0] * mix).sum())
    solids_per_kg = float((world.drawn_g_per_kg[0] * mix / world.purity[0]).sum())
    degree = float(world.solubles_per_degree[0])
    vat = setting.vat_l
    rungs = rungs_bk(setting)
    cooks: list[Cook] = []
    left = float(stock.sum())
    one = _one_pot(setting, mix)
    spare_l = liquor_to_spare_l(setting)
    largest = one * max(2, math.floor(spare_l / (POT_FILL * setting.pot_l)))
    if begin is None:
        wanted = rungs[0] * degree * vat / max(solids_per_kg, 1e-9)
        kg = min(wanted, max(FIRST_SHARE * left, min(left, 0.6 * one)), left)
        cooks.append(Cook(0.0, tuple(kg * mix), vat))
        left -= kg
        tannin, nontan = liquor_of(world, cooks[0].kg, vat)
        begin = VatState(0.0, tannin, nontan, None)
    after = last_strength_bk or live_bk(world, begin, mix)
    rung = int(np.searchsorted(rungs, after + 0.5))
    beat = beat_days(world, setting)
    state, last_cook = begin, begin.day if last_cook_day is None else last_cook_day
    least = min(0.5 * one, 0.12 * float(stock.sum()) + 1e-9)
    while state.day < horizon_days:
        now = live_bk(world, state, mix)
        due = now <= SPENT * after or state.day - last_cook >= 14.0
        if left > 1e-6 and due and state.day > last_cook:
            aim = max(rungs[min(rung, len(rungs) - 1)], now)
            kg = min((aim - now) * degree * vat / max(solids_per_kg, 1e-9), largest, left)
            if left - kg < 0.5 * least:
                kg = min(left, largest)
            worth_it = kg >= least and aim - now >= BARELY * aim
            if worth_it or kg >= left - 1e-9:
                drawn_l = USUAL_COOK_L_PER_KG * pot_air_dry_kg(setting) * kg / one
                litres = min(spare_l, max(drawn_l, 1.0))
                cook = Cook(state.day, tuple(kg * mix), litres)
                state = _stir_in(world, state, cook, vat)
                reads = float(strength_bk(world, state.tannin_g_per_l, state.nontan_g_per_l)[0])
                # An old liquor reads strong by its non-tans alone: the mark is what the vat
                # should read after the cook, not the rung.
                cooks.append(replace(cook, below_bk=ENOUGH_READING * reads))
                left -= kg
                after = live_bk(world, state, mix)
                last_cook, rung = state.day, rung + 1
        if left <= 1e-6 or (per_kg <= 0.0):
            break
        state = _advance(world, setting, state, beat, spells)
    return tuple(cooks)


def _one_pot(setting: Setting, mix: Floats) -> float:
    """One pot of the blend ``mix`` (j,), kg as it lies."""
    return max(float(sum(pot_kg(setting, j) * share for j, share in enumerate(mix))), 1e-3)


def _stir_in(world: Worlds, state: VatState, cook: Cook, vat: float) -> VatState:
    from tanwright.planning.course import RETURNED

    tannin, nontan = liquor_of(world, cook.kg, cook.litres)
    keep = (vat - cook.litres * (1.0 - RETURNED)) / vat
    share = cook.litres / vat
    return VatState(
        state.day,
        state.tannin_g_per_l * keep + tannin * share,
        state.nontan_g_per_l * keep + nontan * share,
        state.pelts,
    )


def _advance(
    world: Worlds, setting: Setting, state: VatState, days: float, spells: tuple[Spell, ...]
) -> VatState:
    spell = [s for s in spells if s.day <= state.day + 1e-9][-1] if spells else Spell(0.0, 14.0)
    schedule = Schedule(
        end_day=days,
        vat_l=setting.vat_l,
        tannin_g_per_l=state.tannin_g_per_l,
        nontan_g_per_l=state.nontan_g_per_l,
        conditions=(
            Conditions(
                0.0,
                heat=float(model.heat_factor(spell.temperature_c)) * spell.acidity,
                spoilage=float(model.spoilage_factor(spell.temperature_c)),
                film=spell.film,
            ),
        ),
    )
    result = solve(world.uptake, schedule, resolution=COARSE, start=state.pelts, threads=1)
    return VatState(
        state.day + days,
        result.vat_tannin_g_per_l[:, -1, :],
        result.vat_nontan_g_per_l[:, -1],
        result.end,
    )

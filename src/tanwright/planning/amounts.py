"""How much tannin the skins need, how much a lot gives, and whether it is enough."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tanwright.planning.setting import Setting
from tanwright.planning.worlds import Worlds
from tanwright.science import demand
from tanwright.science.belief.unknowns import Floats
from tanwright.science.uptake import model

LOST_OVER_FRONTS = 2.0
"""A tannage lasts about twice as long as its front takes to the middle (the engine's own runs)."""
DRAINED_SHARE = 0.035
"""Tannin that stays in the drained bark when the vat's own liquor is cooked with: 2.6 to 4.9 % of
the need in the engine's own runs, at 5 % of what goes through the pots."""
MOST_FILLED = 0.9
"""A degree beyond nine tenths of what the fibre can hold would ask for endless strength."""


@dataclass(frozen=True)
class Amounts:
    """Tannin and material over the worlds; m worlds, j materials.

    Attributes
    ----------
    fixed_g, left_g, lost_g:
        Tannin in the skins at the wanted degree, left in the liquor when that is reached, and lost
        to souring, (m,).
    need_g:
        Their sum. ``supply_g`` what the lots in hand give, (m,).
    need_kg:
        Of each material as it lies, (m, j): see :func:`work_out`.
    break_even_share:
        Tannin share at which the main material's amount is just enough, (m,).
    main:
        Column of the main material.
    """

    fixed_g: Floats
    left_g: Floats
    lost_g: Floats
    need_g: Floats
    supply_g: Floats
    need_kg: Floats
    break_even_share: Floats
    main: int

    @property
    def enough(self) -> Floats:
        """1 in the worlds where the lots in hand are enough, (m,)."""
        return np.asarray((self.supply_g >= self.need_g).astype(float))


def rest_strength_g_per_l(worlds: Worlds, degree: float) -> Floats:
    """Tannin in the liquor that holds the pelt at ``degree`` [g/g], (m,): the Langmuir inverse."""
    capacity = worlds.uptake.capacity_g_per_g.mean(axis=1)
    half = 1.0 / worlds.uptake.affinity_l_per_g.mean(axis=1)
    return demand.end_tannin_g_per_l(100.0 * reached_degree(worlds, degree), capacity, half)


def reached_degree(worlds: Worlds, degree: float) -> Floats:
    """The degree [g/g] that the amounts are worked out for, (m,): what the fibre can well hold."""
    capacity = worlds.uptake.capacity_g_per_g.mean(axis=1)
    return np.asarray(np.minimum(degree, MOST_FILLED * capacity))


def need(worlds: Worlds, setting: Setting, vat_l: float | None = None) -> tuple[Floats, ...]:
    """Tannin fixed, left and lost [g], each (m,), for the wanted leather in this vat."""
    degree = setting.target.degree
    hide_kg = worlds.hide_kg.sum(axis=1)
    fixed = demand.fixed_tannin_g(hide_kg, 100.0 * reached_degree(worlds, degree))
    rest = rest_strength_g_per_l(worlds, degree)
    pelt_l = (worlds.uptake.area_m2 * worlds.uptake.thickness_mm).sum(axis=1)
    left = rest * ((vat_l or setting.vat_l) + worlds.uptake.pore_share * pelt_l)
    days = LOST_OVER_FRONTS * front_days(worlds, setting)
    factor = float(model.spoilage_factor(setting.temperature_c(0.0)))
    share = -np.expm1(-worlds.uptake.spoilage_per_day * factor * days)
    lost = (left + 0.3 * fixed) * share + DRAINED_SHARE * (fixed + left)
    return fixed, np.asarray(left), np.asarray(lost)


def front_days(worlds: Worlds, setting: Setting) -> Floats:
    """Rough days until a liquor of middling strength is through the thick place, (m,).

    The sharp front t = rho q l^2 / (2 D c) from both faces, or one with hair on.
    """
    p = worlds.uptake
    heat = float(model.heat_factor(setting.temperature_c(0.0)))
    purity = worlds.purity.mean(axis=1)
    strength = 0.5 * (setting.target.start_bk + setting.target.finish_bk)
    tannin = strength * worlds.solubles_per_degree * purity
    bound = p.hide_g_per_l * setting.target.degree
    one_sided = any(skin.hair_on for skin in setting.skins)
    way = worlds.thick_mm.max(axis=1) * (1.0 if one_sided else 0.6)
    diffusivity = p.diffusivity_mm2_per_day.mean(axis=1) * heat
    return np.asarray(np.clip(bound * way**2 / (2.0 * diffusivity * tannin), 1.0, 400.0))


def work_out(
    worlds: Worlds,
    setting: Setting,
    vat_l: float | None = None,
    *,
    brought_g: Floats | float = 0.0,
    thrown_g: Floats | float = 0.0,
) -> Amounts:
    """Need, supply and break-even over the worlds.

    Materials in hand count first. With materials wanted as well, these cover what the others leave
    open; otherwise the blend is scaled as it stands (equal masses when nothing is in hand).
    ``brought_g`` (m,) is tannin that came in as ready liquor, ``thrown_g`` (m,) what left the
    vat for good.
    """
    fixed, left, lost = need(worlds, setting, vat_l)
    lost = lost + thrown_g
    whole = fixed + left + lost
    total = np.maximum(whole - brought_g, 1e-6 * whole)
    have = np.array([lot.lot.have_kg or 0.0 for lot in setting.lots])
    supply = worlds.drawn_g_per_kg @ have
    wanted = np.array([lot.lot.have_kg is None for lot in setting.lots])
    need_kg = np.empty_like(worlds.drawn_g_per_kg)
    if wanted.any() and not wanted.all():
        used = np.minimum(total / np.maximum(supply, 1e-9), 1.0)
        need_kg[:] = used[:, None] * have
        gap = np.maximum(total - supply, 0.0)
        share = wanted / wanted.sum()
        scale = gap / (worlds.drawn_g_per_kg @ share)
        need_kg[:, wanted] = scale[:, None] * share[wanted]
    else:
        share = have / have.sum() if have.sum() > 0.0 else np.full(have.size, 1.0 / have.size)
        need_kg[:] = (total / (worlds.drawn_g_per_kg @ share))[:, None] * share
    main = int(np.argmax(have)) if have.sum() > 0.0 else 0
    mass = float(have[main]) if have.sum() > 0.0 else float(np.median(need_kg[:, main]))
    others = supply - worlds.drawn_g_per_kg[:, main] * have[main] if have.sum() > 0.0 else 0.0
    drawn = worlds.drawn_g_per_kg[:, main] / worlds.tannin_share[:, main] / 1000.0
    even = demand.break_even_share(total, max(mass, 1e-9), np.minimum(drawn, 1.0), others)
    return Amounts(fixed, left, lost, whole, supply + brought_g, need_kg, even, main)

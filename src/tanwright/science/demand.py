"""How much tannin skins need, and how much material that is.

Tannin needed = fixed in the leather + left free in the spent liquor and in the pores + spoiled.
The liquor that leaves the skins must still be in balance with what they hold, so the heavier
the tannage, the more stays in the vat. Masses of tannin in g, of skins and material in kg.

Sources: mass balance; the balance with the liquor follows the Langmuir form that hide powder
shows for quebracho, chestnut and myrobalan (Nogeikagaku 29:745, abstract), constants passed in;
the floor of 2 to 3 g/L is from memory. See docs/method/demand.md.
"""

from __future__ import annotations

import numpy as np

from tanwright.science.values import Floats, Value, floats, not_negative, positive, share, within

SPENT_FLOOR_G_PER_L = 2.5
"""A liquor below 2 to 3 g/L tannin is thrown away: skins rot in it (from memory)."""


def fixed_tannin_g(hide_substance_kg: Value, degree_pct: Value) -> Floats:
    """Tannin bound at that degree of tannage (g per 100 g hide substance), in g."""
    degree = within(degree_pct, 0.0, 150.0, "degree of tannage")
    return np.asarray(10.0 * positive(hide_substance_kg, "hide substance") * degree)


def balance_tannin_g_per_l(
    degree_pct: Value, capacity_g_per_g: Value, half_saturation_g_per_l: Value
) -> Floats:
    """Free tannin in balance with hide at that degree: K d / (q_max - d), in g/L.

    ``capacity_g_per_g`` q_max is the most that 1 g hide substance binds. Infinite where the degree
    is at or beyond it: no liquor reaches that.
    """
    bound = not_negative(degree_pct, "degree of tannage") / 100.0
    room = positive(capacity_g_per_g, "capacity") - bound
    half = positive(half_saturation_g_per_l, "half saturation")
    open_room = np.where(room > 0.0, room, 1.0)
    return np.asarray(np.where(room > 0.0, half * bound / open_room, np.inf))


def balance_degree_pct(
    tannin_g_per_l: Value, capacity_g_per_g: Value, half_saturation_g_per_l: Value
) -> Floats:
    """Degree of tannage in balance with that liquor; inverse of :func:`balance_tannin_g_per_l`."""
    free = not_negative(tannin_g_per_l, "tannin")
    half = positive(half_saturation_g_per_l, "half saturation")
    return np.asarray(100.0 * positive(capacity_g_per_g, "capacity") * free / (half + free))


def end_tannin_g_per_l(
    degree_pct: Value,
    capacity_g_per_g: Value,
    half_saturation_g_per_l: Value,
    floor_g_per_l: Value = SPENT_FLOOR_G_PER_L,
) -> Floats:
    """Tannin still in the liquor when the skins are done: the balance, or the floor if higher."""
    balance = balance_tannin_g_per_l(degree_pct, capacity_g_per_g, half_saturation_g_per_l)
    return np.asarray(np.maximum(balance, not_negative(floor_g_per_l, "floor")))


def tannin_need_g(
    hide_substance_kg: Value,
    degree_pct: Value,
    end_g_per_l: Value,
    liquor_l: Value,
    pore_l: Value = 0.0,
    spoiled_share: Value = 0.0,
) -> Floats:
    """Tannin that must be put into liquors, in g.

    (fixed + end strength x (liquor + pores)) / (1 - spoiled). ``liquor_l`` is all liquor thrown
    away in the end, ``pore_l`` the liquid in the pelts, ``spoiled_share`` lost to mould, sour and
    mud. Infinite end strengths give infinite need.
    """
    volumes = not_negative(liquor_l, "liquor") + not_negative(pore_l, "pore volume")
    end = floats(end_g_per_l)
    free = np.where(volumes > 0.0, end, 0.0) * volumes
    lost = within(spoiled_share, 0.0, 0.95, "spoiled share")
    return np.asarray((fixed_tannin_g(hide_substance_kg, degree_pct) + free) / (1.0 - lost))


def material_kg(need_g: Value, tannin_share: Value, drawn_share: Value) -> Floats:
    """Material at the basis of ``tannin_share`` that gives ``need_g`` when that share is drawn."""
    useful = positive(share(tannin_share, "tannin share") * share(drawn_share, "drawn"), "tannin")
    return np.asarray(floats(need_g) / 1000.0 / useful)


def supply_g(mass_kg: Value, tannin_share: Value, drawn_share: Value) -> Floats:
    """Tannin in the liquors of a lot, g; inverse of :func:`material_kg`."""
    useful = share(tannin_share, "tannin share") * share(drawn_share, "drawn share")
    return np.asarray(1000.0 * not_negative(mass_kg, "mass") * useful)


def break_even_share(
    need_g: Value, mass_kg: Value, drawn_share: Value, other_supply_g: Value = 0.0
) -> Floats:
    """Tannin share at which a lot is just enough: it may exceed 1, when no material would do.

    ``other_supply_g`` is what comes from elsewhere; the answer is 0 when that suffices.
    """
    missing = np.maximum(floats(need_g) - not_negative(other_supply_g, "other supply"), 0.0)
    drawn = positive(mass_kg, "mass") * positive(share(drawn_share, "drawn share"), "drawn share")
    return np.asarray(missing / 1000.0 / drawn)


def material_by_exhaustion_kg(
    hide_substance_kg: Value,
    degree_pct: Value,
    tannin_share: Value,
    drawn_share: Value,
    exhaustion_share: Value,
) -> Floats:
    """The plain form: fixed tannin over tannin share, share drawn and share of the liquor used up.

    It is :func:`tannin_need_g` with all losses folded into ``exhaustion_share``.
    """
    used = positive(share(exhaustion_share, "exhaustion"), "exhaustion")
    fixed = fixed_tannin_g(hide_substance_kg, degree_pct)
    return material_kg(fixed / used, tannin_share, drawn_share)

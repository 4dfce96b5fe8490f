"""Sums of the beamhouse: soaking, lime, deliming, bran drench.

Sources: Guthrie (1901) (key ``guthrie1901``), Eitner (1880) (key ``eitner1880``) and von Schroeder,
all as printed in Procter (1903) (key ``procter1903``);
Bennett (1921) (key ``bennett1921``); equivalents by stoichiometry with atomic masses from memory.
Caustic lime and acids, and sulfide with any acid above all, are dangers that the step's page tells.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tanwright.science.values import Floats, Value, floats, not_negative, positive, within

CAO_G_PER_MOL = 56.077
CAOH2_PER_CAO = 74.093 / CAO_G_PER_MOL
"""Slaked lime per quicklime, 1.321."""
LIME_SOLUBILITY = (
    (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 60.0, 100.0),
    (1.350, 1.342, 1.320, 1.293, 1.254, 1.219, 1.119, 0.879, 0.597),
)
"""Temperature in °C, CaO in saturated lime water in g/L (Guthrie in procter1903)."""
SOFTENING = ((15.0, 22.0, 35.0), (1.0, 2.0, 5.0))
"""Drying temperature in °C of calf skin, days to soften it (Eitner in procter1903)."""
LIME_ENOUGH_G_PER_L = 6.0
"""Quicklime in a bath kept stirred that is enough for unhairing (von Schroeder in procter1903)."""
LIME_USED_PCT = (2.0, 3.0)
"""Quicklime that hides really use, % of green weight (procter1903, bennett1921)."""
BRAN_PCT = {"kip": 6.0, "calf": 8.0, "goat": 10.0}
"""Bran of a drench on pelt weight (bennett1921)."""
DRIED_TOO_HOT_C = 60.0
"""Dried at this warmth calf skin did not soften enough to be tanned (Eitner in procter1903)."""
BRINE = (
    (1.0, 1.0053 / 0.9982, 1.0125 / 0.9982, 1.0340 / 0.9982, 1.0707 / 0.9982, 1.1478 / 0.9982),
    (0.0, 1.0, 2.0, 5.0, 10.0, 20.0),
)
"""sg at 20 °C, % of common salt by weight; densities from memory."""


@dataclass(frozen=True)
class DelimingAgent:
    """An acid or ammonium salt that takes lime out of pelt."""

    name: str
    g_per_mol: float
    equivalents: float
    note: str


DELIMING_AGENTS: dict[str, DelimingAgent] = {
    "acetic": DelimingAgent("acetic acid", 60.05, 1.0, "swells the pelt when in excess"),
    "formic": DelimingAgent("formic acid", 46.03, 1.0, "strong: swells and burns"),
    "lactic": DelimingAgent("lactic acid", 90.08, 1.0, "sold at about half strength"),
    "boric": DelimingAgent("boric acid", 61.83, 1.0, "mild, counted with one equivalent"),
    "ammonium_chloride": DelimingAgent("ammonium chloride", 53.49, 1.0, "gives off ammonia"),
    "ammonium_sulfate": DelimingAgent("ammonium sulfate", 132.14, 2.0, "leaves gypsum"),
}


def agent_g_per_g_cao(g_per_mol: Value, equivalents: Value) -> Floats:
    """Grams of an agent that neutralise 1 g of CaO: 2 M / (56.077 n)."""
    held = positive(equivalents, "equivalents") * CAO_G_PER_MOL
    return np.asarray(2.0 * positive(g_per_mol, "molar mass") / held)


def deliming_agent_g(cao_g: Value, agent: DelimingAgent, strength_share: Value = 1.0) -> Floats:
    """Grams of the agent as sold (``strength_share`` pure) for ``cao_g`` of lime in the pelt."""
    pure = not_negative(cao_g, "lime") * agent_g_per_g_cao(agent.g_per_mol, agent.equivalents)
    return np.asarray(pure / positive(within(strength_share, 0.0, 1.0, "strength"), "strength"))


def acid_ml_per_g_cao(agent: DelimingAgent, acid_g_per_l: Value) -> Floats:
    """Millilitres of a dilute acid of ``acid_g_per_l`` (vinegar: 50) that neutralise 1 g CaO."""
    grams = agent_g_per_g_cao(agent.g_per_mol, agent.equivalents)
    return np.asarray(1000.0 * grams / positive(acid_g_per_l, "acid"))


def saturated_lime_g_per_l(temperature_c: Value) -> Floats:
    """CaO in saturated lime water, g/L, linear between Guthrie's points, 5 to 100 °C."""
    at = within(temperature_c, 5.0, 100.0, "temperature")
    return np.asarray(np.interp(at, *LIME_SOLUBILITY))


def tenth_normal_acid_ml(
    cao_g_per_l: Value, volume_l: Value = 1.0, cao_mg_per_ml: Value = CAO_G_PER_MOL / 20.0
) -> Floats:
    """Millilitres of N/10 acid that neutralise so much lime water.

    1 mL takes ``cao_mg_per_ml`` mg of CaO: 2.804, which Procter (1903) rounds to 2.8.
    """
    lime_mg = 1000.0 * not_negative(cao_g_per_l, "lime") * positive(volume_l, "volume")
    return np.asarray(lime_mg / positive(cao_mg_per_ml, "lime per mL"))


def quicklime_kg(hide_kg: Value, water_l: Value) -> Floats:
    """Quicklime CaO in kg that a liming cannot do without.

    The larger of what the hide uses (the upper end of :data:`LIME_USED_PCT`) and what keeps the
    bath at :data:`LIME_ENOUGH_G_PER_L`. Recipes give up to 12 %; the rest lies idle.
    """
    used = positive(hide_kg, "weight") * LIME_USED_PCT[1] / 100.0
    return np.asarray(np.maximum(used, positive(water_l, "water") * LIME_ENOUGH_G_PER_L / 1000.0))


def slaked_lime_kg(hide_kg: Value, quicklime_pct: Value) -> Floats:
    """Slaked lime Ca(OH)2 in kg for a dose of ``quicklime_pct`` CaO on the weight of the hide.

    2 to 3 % is what hides really use (procter1903, bennett1921); the rest only keeps the bath full.
    """
    dose = within(quicklime_pct, 0.0, 50.0, "lime dose in per cent")
    return np.asarray(positive(hide_kg, "weight") * dose / 100.0 * CAOH2_PER_CAO)


def bath_g_per_l(dose_kg: Value, water_l: Value) -> Floats:
    """Strength of a bath from a dose in kg and its water in L, g/L."""
    return np.asarray(1000.0 * not_negative(dose_kg, "dose") / positive(water_l, "water"))


def bran_kg(pelt_kg: Value, bran_pct: Value) -> Floats:
    """Bran for a drench: 5 to 10 % of pelt weight (procter1903; bennett1921: 6 kips to 10 goat)."""
    dose = within(bran_pct, 0.0, 50.0, "bran dose in per cent")
    return np.asarray(positive(pelt_kg, "pelt weight") * dose / 100.0)


def drench_water_l(bran: Value, bran_g_per_l: Value = 4.0) -> Floats:
    """Water for ``bran`` kg of bran at about 4 g/L (procter1903)."""
    grams = 1000.0 * not_negative(bran, "bran")
    return np.asarray(grams / positive(bran_g_per_l, "bran per litre"))


def softening_days(dried_at_c: Value) -> Floats:
    """Days of soaking that soften a calf skin dried at that warmth; infinite from 60 °C on.

    Straight in the logarithm of days between Eitner's points, held below 15 °C, and continued
    beyond 35 °C with the last slope.
    """
    at = within(dried_at_c, -20.0, 120.0, "drying temperature")
    warmth, days = SOFTENING
    logs = np.log(np.asarray(days))
    slope = (logs[2] - logs[1]) / (warmth[2] - warmth[1])
    inside = np.interp(at, warmth, logs)
    beyond = logs[2] + slope * (at - warmth[2])
    value = np.exp(np.where(at > warmth[2], beyond, inside))
    return np.asarray(np.where(at >= DRIED_TOO_HOT_C, np.inf, value))


def brine_salt_pct(sg: Value) -> Floats:
    """Common salt in a brine of that sg, % by weight, linear between points up to 20 %."""
    at = within(sg, 1.0, float(BRINE[0][-1]), "specific gravity of brine")
    return np.asarray(np.interp(at, *BRINE))


def sum_of_acids_g_per_l(*acids_g_per_l: Value) -> Floats:
    """Acid of a drench in all: the sum of its acids, g/L (1 to 3 when it works, procter1903)."""
    total = floats(0.0)
    for acid in acids_g_per_l:
        total = total + not_negative(acid, "acid")
    return np.asarray(total)

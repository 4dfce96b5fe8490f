"""The kinds of reading with their numbers; all from memory unless docs/method/belief.md says more.

Strengths are in °Bk at 15.6 °C after the temperature correction, solids in g/L, weights in kg.
"""

from __future__ import annotations

from tanwright.science.belief.noise import AmountNoise, CutNoise, LooksNoise

HYDROMETER = AmountNoise("strength by hydrometer", "°Bk", sd=0.035, sd_at_zero=0.6, shared_sd=0.015)
"""Half a degree to a degree of reading and about 4 % of uneven mixing."""

REFRACTOMETER = AmountNoise(
    "strength by refractometer", "°Bk", sd=0.05, sd_at_zero=0.8, shared_sd=0.08
)
"""The scale is made for sugar; tannins bend light otherwise, by as much every time."""

LITRE_WEIGHT = AmountNoise(
    "strength by weighing a litre", "°Bk", sd=0.05, sd_at_zero=3.0, shared_sd=0.03
)
"""A kitchen scale and a jug: 2 to 4 g in the litre; the jug's own error comes back each time."""

TOTAL_SOLIDS = AmountNoise("total solids", "g/L", sd=0.10, sd_at_zero=1.0, shared_sd=0.03)

PELT_WEIGHT = AmountNoise("pelt weight", "kg", sd=0.05, shared_sd=0.02)

LEATHER_WEIGHT = AmountNoise("leather weight", "kg", sd=0.08, shared_sd=0.03)
"""5 % of weighing and draining, and the unknown moisture of leather that still shrinks."""

STRIKE_DAYS = AmountNoise("days until a snip struck through", "d", sd=0.20, sd_at_zero=0.5)
"""Looked at once a day at best."""

CUT = CutNoise("share struck through at a cut", middle_sd=0.08, end_sd=0.015)

CUT_IN_WORDS = CutNoise("share struck through, in words", middle_sd=0.12, end_sd=0.02)

LOOKS = LooksNoise(
    "look of the liquor",
    words=("pale tea", "tea", "strong tea", "coffee", "black coffee"),
    cuts_bk=(4.0, 9.0, 18.0, 35.0),
    sd=0.35,
    shared_sd=0.28,
)
"""0.45 in log strength for a single look, of which 0.28 belongs to the eye and the material."""

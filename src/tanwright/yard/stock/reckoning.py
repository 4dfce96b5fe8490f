"""How strong a lot is believed to be and how much skin it tans. Pure, and kept for each lot."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tanwright.planning.answers import Range
from tanwright.planning.one_skin import one_kg
from tanwright.reference.lots import Modifier

YARDSTICK = "goat"
"""The skin that amounts are told in: one of middling size."""


@dataclass(frozen=True)
class Reckoned:
    """What one kg of a lot should give, as 5th, 50th and 95th percentile.

    ``tannin_pct`` is of the lot as it lies; ``skins`` are goat skins made into the leather usual
    for them, with all losses; ``pelt_kg`` the weight of one such skin when it goes into the vat.
    """

    tannin_pct: Range
    skins: Range
    pelt_kg: float
    rule: str
    modifiers: tuple[Modifier, ...]
    sources: tuple[str, ...]


def reckon(table: Mapping[str, object]) -> Reckoned:
    """What 1 kg of the lot ``table`` (a sheet's [[material]]) should give. Raises InputError."""
    facts = {key: value for key, value in table.items() if key not in ("have", "want", "name")}
    return _reckon(json.dumps(facts, sort_keys=True))


@lru_cache(maxsize=2048)
def _reckon(facts: str) -> Reckoned:
    # The engine is heavy to import; a page that reckons nothing should not wait for it.
    from tanwright.planning.phrases import range_of
    from tanwright.reference import priors

    one = one_kg(json.loads(facts), YARDSTICK)
    known = one.setting.lots[0]
    prior = known.prior or priors.tannin_prior(known.material_id, known.lot.history)
    return Reckoned(
        tannin_pct=range_of(one.worlds.contained_g_per_kg[:, 0] / 10.0),
        skins=range_of(one.amounts.supply_g / one.amounts.need_g),
        pelt_kg=float(np.median(one.worlds.pelt_kg[:, 0])),
        rule=prior.rule,
        modifiers=prior.modifiers,
        sources=prior.unknown.sources,
    )

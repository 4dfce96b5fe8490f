"""How much of one plant material one skin takes, when nothing else is known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Literal

import numpy as np

from tanwright.planning.answers import Range

MEMBERS = 600
USUAL = ("rabbit", "goat", "deer", "cattle")
"""Skins that a page tells of when nobody named one: small, middling and large."""


@dataclass(frozen=True)
class ForOneSkin:
    """What one whole skin of ``animal`` takes: 5th, 50th and 95th percentile."""

    animal: str
    kg: Range
    """Of the material as it lies, with all losses."""


@lru_cache(maxsize=4096)
def for_one_skin(
    material_id: str, animal: str, state: Literal["dry", "fresh"] = "dry"
) -> ForOneSkin:
    """Material of ``material_id`` for one skin of usual size, made into its usual leather.

    The same reckoning as a plan's: need of the pelt over what two hot waters draw.  Raises
    InputError for an unknown animal and UnknownMaterialError for an unknown material.
    """
    # The engine is heavy to import; whoever reckons nothing should not wait for it.
    from tanwright.planning.amounts import work_out
    from tanwright.planning.phrases import range_of
    from tanwright.planning.setting import settle
    from tanwright.planning.sheet_reader import sheet_from_options
    from tanwright.planning.worlds import make_worlds
    from tanwright.science.belief.unknowns import draw

    lot = {"id": material_id, "state": state, "have": "1 kg"}
    today = date(2026, 1, 1)  # no part in an amount
    sheet = sheet_from_options({"skin": [{"animal": animal}], "material": [lot]}, today=today)
    setting = settle(sheet)
    z = draw(MEMBERS, setting.unknowns, np.random.default_rng(1))
    amounts = work_out(make_worlds(setting, z), setting)
    return ForOneSkin(animal, range_of(amounts.need_g / amounts.supply_g))

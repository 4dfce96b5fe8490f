"""How much of one plant material one skin takes, when nothing else is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from tanwright.planning.answers import Range

if TYPE_CHECKING:
    from tanwright.planning.amounts import Amounts
    from tanwright.planning.setting import Setting
    from tanwright.planning.worlds import Worlds

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
    from tanwright.planning.phrases import range_of

    amounts = one_kg({"id": material_id, "state": state}, animal).amounts
    return ForOneSkin(animal, range_of(amounts.need_g / amounts.supply_g))


@dataclass(frozen=True)
class OneKg:
    """One kg of a lot and one skin of usual size, settled and worked out in :data:`MEMBERS`."""

    setting: Setting
    worlds: Worlds
    amounts: Amounts


def one_kg(lot: Mapping[str, Any], animal: str) -> OneKg:
    """What one kg of ``lot`` (a sheet's [[material]]) and one skin of ``animal`` are.

    Raises InputError for a lot or an animal that cannot be.
    """
    # The engine is heavy to import; whoever reckons nothing should not wait for it.
    from tanwright.planning.amounts import work_out
    from tanwright.planning.setting import settle
    from tanwright.planning.sheet_reader import sheet_from_options
    from tanwright.planning.worlds import make_worlds
    from tanwright.science.belief.unknowns import draw

    today = date(2026, 1, 1)  # no part in an amount
    tables = {"skin": [{"animal": animal}], "material": [{**lot, "have": "1 kg"}]}
    setting = settle(sheet_from_options(tables, today=today))
    z = draw(MEMBERS, setting.unknowns, np.random.default_rng(1))
    worlds = make_worlds(setting, z)
    return OneKg(setting, worlds, work_out(worlds, setting))

"""How much of each material a skin needs: the engine's own need over the engine's own cooks.

Both sides are kept as quantiles, so that a thousand materials cost no more than one array.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tanwright.errors import InputError
from tanwright.planning import sheet as sheets
from tanwright.planning.amounts import need
from tanwright.planning.setting import LotFacts, Setting, settle
from tanwright.planning.sheet_reader import sheet_from_records
from tanwright.planning.worlds import WETTEST, Worlds, cook_c, make_worlds, piece_mm, response_of
from tanwright.reference import animals, materials, parameters, priors
from tanwright.reference.lots import Lot as History
from tanwright.reference.materials import Material
from tanwright.science import extraction
from tanwright.science.belief.unknowns import Floats, Unknown, draw

LEVELS = 512
"""Quantiles of each side; a power of two, for the pairing."""
MEMBERS = 2048
"""Worlds behind the quantiles of the need."""
_WATER_L_PER_KG, _WATERS, _COOK_H = 4.0, 2, 3.0
"""The usual cooks of a plan; a test holds them against the engine's."""


def kg_quantiles(drawn_g_per_kg: Floats, need_g: Floats) -> Floats:
    """Material in kg, shape (n, 3): 5th, 50th and 95th percentile.

    ``drawn_g_per_kg`` (n, LEVELS) holds rising quantiles of the tannin that the cooks draw,
    ``need_g`` (n, LEVELS) or (LEVELS,) those of the need. The two are independent: every level of
    the one meets a level of the other in bit-reversed order (van der Corput 1935), which spreads
    the pairs evenly.
    """
    kg = need_g[..., _reversed_bits(LEVELS)] / np.maximum(drawn_g_per_kg, 1e-9)
    kg.partition(_RANKS, axis=1)
    return np.asarray(kg[:, _RANKS])


_RANKS = [round(share * LEVELS - 0.5) for share in (0.05, 0.5, 0.95)]


@lru_cache(maxsize=256)
def need_g(animal: str, skin_kg: float, leather: str, part: str) -> Floats:
    """Quantiles of the tannin that skins of ``skin_kg`` green weight need, g, shape (LEVELS,).

    As many skins of the animal's usual weight as make up ``skin_kg``, at least one. The part of the
    plant matters a little: a liquor with many non-tans works longer and so sours more.
    """
    setting, worlds, z = _skins(animal, skin_kg, leather)
    purity = priors.purity_prior(f"unknown-{part}").value(z)
    whole = sum(need(replace(worlds, purity=purity[:, None]), setting))
    return _quantiles(np.asarray(whole))


@lru_cache(maxsize=16)
def _skins(animal: str, skin_kg: float, leather: str) -> tuple[Setting, Worlds, Floats]:
    """Worlds of the skins in a liquor of some bark, and the normals behind its purity."""
    setting = _setting(animal, skin_kg, leather)
    z = draw(MEMBERS, setting.unknowns, np.random.default_rng(1))
    return setting, make_worlds(setting, z), z[:, setting.index(setting.lots[0].purity.name)]


def drawn_g_per_kg(items: Sequence[Material]) -> Floats:
    """Quantiles of the tannin that two hot waters draw, g per kg air-dry, shape (n, LEVELS).

    Materials that are cooked alike are cooked in one go.
    """
    lots = [_lot(item) for item in items]
    alike: dict[tuple[float, ...], list[int]] = {}
    for row, lot in enumerate(lots):
        response = response_of(lot)
        curve = (*response.temperature_c.tolist(), *response.drawn_share.tolist())
        alike.setdefault((cook_c(lot), piece_mm(lot), *curve), []).append(row)
    found = np.empty((len(lots), LEVELS))
    for rows in alike.values():
        found[rows] = _drawn([lots[row] for row in rows])
    return found


def _drawn(lots: Sequence[LotFacts]) -> Floats:
    """Quantiles for lots that are cooked alike, shape (lots, LEVELS)."""
    z = _draws()
    cooked = extraction.cooks(
        1.0,
        np.stack([lot.tannin.value(z[:, 0]) for lot in lots]),
        np.minimum(np.stack([lot.moisture.value(z[:, 1]) for lot in lots]), WETTEST),
        np.stack([lot.purity.value(z[:, 2]) for lot in lots]),
        _WATER_L_PER_KG,
        _WATERS,
        cook_c(lots[0]),
        _COOK_H,
        response=response_of(lots[0]),
        piece_mm=piece_mm(lots[0]),
        held_l_per_kg=parameters.parameter("liquor_held").median,
    )
    factor = parameters.parameter("extraction_factor").value(z[:, 3])
    return _quantiles(cooked.contained_g * np.minimum(cooked.drawn_share * factor, 0.98))


def _lot(item: Material) -> LotFacts:
    tannin, moisture, purity = beliefs(item)
    return LotFacts(
        lot=sheets.Lot(item.id, "", None, True, None, History()),
        label=item.name,
        part=item.part,
        tannin=tannin,
        moisture=moisture,
        purity=purity,
        prior=None,
    )


@lru_cache(maxsize=1)
def _draws() -> Floats:
    """Standard normals for tannin, moisture, purity and the cooks, the same for every material."""
    factor = parameters.parameter("extraction_factor")
    return draw(2 * LEVELS, [factor] * 4, np.random.default_rng(2))


@lru_cache(maxsize=4096)
def beliefs(item: Material) -> tuple[Unknown, Unknown, Unknown]:
    """Priors of tannin, moisture and purity; a material outside the reference is believed to be
    as a plant of its part that nobody named."""
    id = item.id if is_listed(item.id) else f"unknown-{item.part}"
    return (
        priors.tannin_prior(id).unknown,
        priors.moisture_prior(id, "dry"),
        priors.purity_prior(id),
    )


@lru_cache(maxsize=1)
def _ids() -> frozenset[str]:
    return frozenset(item.id for item in materials.materials())


def is_listed(id: str) -> bool:
    """Whether the reference holds the material, ``unknown-<part>`` included."""
    return id in _ids() or id.startswith("unknown-")


@lru_cache(maxsize=64)
def check_skins(animal: str, skin_kg: float, leather: str) -> None:
    """Raises InputError where no such skins are (a goat skin of 100 g), as a plan would."""
    try:
        _setting(animal, skin_kg, leather)
    except InputError as error:
        raise InputError(error.what, place="skin_kg", remedy=error.remedy) from None


def _setting(animal: str, skin_kg: float, leather: str) -> Setting:
    beast = animals.animal(animal)
    usual = (beast.green_low_kg * beast.green_high_kg) ** 0.5
    count = max(round(skin_kg / usual), 1)
    skin = {"animal": beast.id, "weight": f"{skin_kg / count:.6g} kg", "count": count}
    sheet = sheet_from_records(
        {
            "skin": [skin],
            "material": [{"id": "unknown-bark"}],
            "aim": {"leather": leather},
        },
        today=date(2026, 1, 1),  # no part in an amount
    )
    return settle(sheet)


def _quantiles(values: Floats) -> Floats:
    """Means of LEVELS equal slices of the last axis, rising; it holds a multiple of LEVELS."""
    rising = np.sort(values, axis=-1)
    return np.asarray(rising.reshape(*values.shape[:-1], LEVELS, -1).mean(axis=-1))


@lru_cache(maxsize=4)
def _reversed_bits(count: int) -> NDArray[np.intp]:
    bits = count.bit_length() - 1
    return np.array([int(f"{index:0{bits}b}"[::-1], 2) for index in range(count)], dtype=np.intp)

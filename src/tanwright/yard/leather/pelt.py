"""What is known of the skin before it was tanned: the weight its leather is held against."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from tanwright.reference import animals
from tanwright.yard.skins.models import Skin

HIDE_SHARE: Final = (0.20, 0.27)
"""Hide substance over a delimed pelt, as the mass account takes it (from memory)."""
DAMP_OF_PELT: Final = 0.8
"""Pressed leather over pelt: at about half water it weighs 0.7 to 0.9 of it (from memory)."""
_STAGES: Final = ("green", "salted", "dry-salted", "dried", "soaked", "limed", "delimed")
_PELT: Final = ("limed", "delimed")
_RAW: Final = ("green", "salted", "dry-salted", "dried")


@dataclass(frozen=True)
class Pelt:
    """Weight of one pelt, kg (None: nothing to go by), its hide share, and whence it is known."""

    kg: float | None
    hide_share: tuple[float, float] = HIDE_SHARE
    raw_kg: float | None = None
    whence: str = ""


def pelt_of(skin: Skin) -> Pelt:
    """The pelt of ``skin``: as weighed limed or delimed, else reckoned from an earlier weight."""
    stage, kg = skin.weighed_at_stage, skin.weight_kg
    if kg is None or stage not in _STAGES:
        return Pelt(None, whence="The skin was never weighed before the vat.")
    if stage in _PELT:
        row = animals.stage(stage)
        share = (row.hide_share_low, row.hide_share_high)
        return Pelt(kg, share, whence=f"The pelt was weighed {stage}.")
    raw, pelt = animals.stage(stage), animals.stage("delimed")
    low = kg * pelt.to_green_low / raw.to_green_high
    high = kg * pelt.to_green_high / raw.to_green_low
    likely = math.sqrt(low * high)
    # The doubt about the pelt weight is carried by the share of hide in it.
    share = (HIDE_SHARE[0] * low / likely, min(HIDE_SHARE[1] * high / likely, 0.6))
    return Pelt(
        likely,
        share,
        raw_kg=kg if stage in _RAW else None,
        whence=f"The pelt was never weighed; it is reckoned from its weight {raw.label}, which "
        "makes every figure below wider.",
    )


def damp_guess(skin: Skin) -> Pelt:
    """What its leather may weigh pressed damp, from the pelt."""
    pelt = pelt_of(skin)
    return Pelt(None if pelt.kg is None else DAMP_OF_PELT * pelt.kg, whence=pelt.whence)

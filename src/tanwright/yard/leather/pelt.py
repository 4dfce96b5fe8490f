"""What is known of the skin before it was tanned: the weight its leather is held against."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from django.db.models.functions import TruncMinute

from tanwright.reference import animals
from tanwright.reference.work import stage_row
from tanwright.yard.journal.models import Entry
from tanwright.yard.skins.entry_kinds import one_weighs
from tanwright.yard.skins.models import Skin

HIDE_SHARE: Final = (0.20, 0.27)
"""Hide substance over a delimed pelt, as the mass account takes it (from memory)."""
DAMP_OF_PELT: Final = 0.8
"""Pressed leather over pelt: at about half water it weighs 0.7 to 0.9 of it (from memory)."""
_RAW: Final = ("green", "salted", "dry-salted", "dried")
_BEST_FIRST: Final = ("delimed", "limed", "soaked", *_RAW)
"""Stages at which a skin may have been weighed; the nearest to the vat tells most."""


@dataclass(frozen=True)
class Pelt:
    """Weight of one pelt, kg (None: nothing to go by), its hide share, and whence it is known."""

    kg: float | None
    hide_share: tuple[float, float] = HIDE_SHARE
    raw_kg: float | None = None
    whence: str = ""


def pelt_of(skin: Skin) -> Pelt:
    """The pelt of ``skin``: as weighed limed or delimed, else reckoned from an earlier weight."""
    weights = weights_of(skin)
    stage = next((stage for stage in _BEST_FIRST if stage in weights), "")
    raw_kg = next((weights[raw] for raw in _RAW if raw in weights), None)
    if not stage:
        return Pelt(None, whence="The skin was never weighed before the vat.")
    kg, row = weights[stage], animals.stage(stage)
    if stage in ("limed", "delimed"):
        share = (row.hide_share_low, row.hide_share_high)
        return Pelt(kg, share, raw_kg, f"The pelt was weighed {stage}.")
    pelt = animals.stage("delimed")
    low = kg * pelt.to_green_low / row.to_green_high
    high = kg * pelt.to_green_high / row.to_green_low
    likely = math.sqrt(low * high)
    # The doubt about the pelt weight is carried by the share of hide in it.
    share = (HIDE_SHARE[0] * low / likely, min(HIDE_SHARE[1] * high / likely, 0.6))
    return Pelt(
        likely,
        share,
        raw_kg,
        f"The pelt was never weighed; it is reckoned from its weight {row.label}, which makes "
        "every figure below wider.",
    )


def weights_of(skin: Skin) -> dict[str, float]:
    """The latest weight of one such skin at each stage before the vat, kg."""
    found: dict[str, float] = {}
    if skin.weight_kg is not None:
        found[skin.weighed_at_stage] = skin.weight_kg
    entries = Entry.objects.filter(
        record_id=skin.pk,
        standing=Entry.Standing.LIVE,
        kind__in=("skin.weighed", "skin.stage_ended"),
    )
    in_order = entries.order_by(TruncMinute("happened_at"), "written_at")
    for kind, data in in_order.values_list("kind", "data"):
        if kind == "skin.weighed":
            found[data["stage"]] = one_weighs(data)
        elif "kg" in data and (stage := stage_row(data["step"]).reaches):
            found[stage] = float(data["kg"])
    return found


def damp_guess(skin: Skin) -> Pelt:
    """What its leather may weigh pressed damp, from the pelt."""
    pelt = pelt_of(skin)
    return Pelt(None if pelt.kg is None else DAMP_OF_PELT * pelt.kg, whence=pelt.whence)

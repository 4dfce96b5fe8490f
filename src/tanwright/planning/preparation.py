"""From raw skin to pelt: the stages of one skin, their amounts, times, end tests and cautions.

Figures stand in the tables ``work_stages`` and ``work_doses`` with their sources; weights after a
stage come from the table ``stages``.  A pickle of salt and acid for skins with the hair on is left
out: their first liquor holds the salt instead.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tanwright.errors import InputError
from tanwright.planning.beamwork import (
    After,
    Due,
    Hours,
    Quantity,
    WorkStage,
    after,
    due,
    positive_kg,
    work_stage,
)
from tanwright.reference import animals
from tanwright.reference.work import stage_row

__all__ = [
    "DELIME", "STAGES", "UNHAIR", "After", "Due", "Hours", "Quantity", "RawSkin", "WorkStage",
    "after", "check_weight", "due", "expected_kg", "route",
]  # fmt: skip

STAGES = {
    "fresh": "green", "frozen": "green", "salted": "salted", "dry-salted": "dry-salted",
    "dried": "dried",
}  # fmt: skip
"""How a raw skin comes in, and its row in the table of stages."""
UNHAIR = ("lime", "ash", "lime-sulfide", "sweat", "none")
DELIME = ("water", "boric", "vinegar", "lactic", "ammonium", "bran", "none")


@dataclass(frozen=True)
class RawSkin:
    """One skin as it comes in; ``animal`` is a name of the reference or empty."""

    weight_kg: float
    stage: str = "fresh"
    animal: str = ""


def expected_kg(skin: RawSkin, reached: str) -> tuple[float, float]:
    """Usual weight range, kg, of the skin once ``reached`` (soaked, limed or delimed).

    Each end takes the ends of both weight ratios of the table of stages, so it is wide.
    """
    _check(STAGES, skin.stage, "stage")
    start = animals.stage(STAGES[skin.stage])
    end = animals.stage(reached)
    weight = positive_kg(skin.weight_kg, "a skin")
    return (
        weight * end.to_green_low / start.to_green_high,
        weight * end.to_green_high / start.to_green_low,
    )


def route(
    skin: RawSkin,
    *,
    unhair: str = "lime",
    delime: str = "boric",
    hair_on: bool = False,
    bate: bool = False,
    temperature_c: float = 15.0,
) -> tuple[WorkStage, ...]:
    """Stages of this skin up to the vat, in order; the last one's ``next_key`` is empty.

    With ``hair_on`` the defaults of ``unhair`` and ``delime`` are not looked at.

    Raises InputError for an unknown way or one that contradicts itself: a way of unhairing for a
    skin that keeps its hair, lime left in the pelt, acid or salt on a sulfide lime.
    """
    _check(STAGES, skin.stage, "stage")
    keys = _keys(skin.stage, unhair, delime, hair_on, bate)
    weight = positive_kg(skin.weight_kg, "a skin")
    topics = (f"animal:{animals.animal(skin.animal).id}",) if skin.animal else ()
    stages = []
    for place, key in enumerate(keys):
        reached = stage_row(key).reaches
        span = expected_kg(skin, reached) if reached else None
        stages.append(
            work_stage(
                key, weight, temperature_c,
                next_key=keys[place + 1] if place + 1 < len(keys) else "",
                expected_kg=span, more_topics=(*topics, "hygiene"),
            )
        )  # fmt: skip
        if span:
            weight = math.sqrt(span[0] * span[1])
    return tuple(stages)


def check_weight(stage: WorkStage, entered_kg: float) -> str:
    """A plain remark on a weight entered after a stage; empty when it is usual."""
    positive_kg(entered_kg, "a skin")
    if stage.expected_kg is None:
        return ""
    low, high = stage.expected_kg
    if low <= entered_kg <= high:
        return ""
    side = "less" if entered_kg < low else "more"
    return (
        f"{entered_kg:.3g} kg is {side} than usual after this stage "
        f"({low:.2g} to {high:.2g} kg): weigh again, drained for ten minutes; "
        "if it stands, the weight written at the start may be wrong."
    )


def _keys(stage: str, unhair: str, delime: str, hair_on: bool, bate: bool) -> tuple[str, ...]:
    soak = f"soak-{stage}"
    if hair_on:
        if unhair not in ("none", "lime") or bate:
            raise InputError(
                "a skin that keeps its hair is neither unhaired nor bated",
                place="unhair",
                remedy="choose none, or let the hair go",
            )
        return (soak, "flesh-thin", "wash-hair-on", "last-check-hair")
    _check(UNHAIR, unhair, "unhair")
    _check(DELIME, delime, "delime")
    if unhair == "none":
        raise InputError(
            "a skin that is not unhaired keeps its hair",
            place="unhair",
            remedy="choose a way of unhairing, or hair on",
        )
    bating = ("bate",) if bate else ()
    if unhair == "sweat":
        if delime not in ("none", "water"):
            raise InputError(
                "a sweated skin holds no lime to take out",
                place="delime",
                remedy="choose none",
            )
        middle = ("scrape-sweated", "scud-sweated")
        return (soak, "flesh", "unhair-sweat", *middle, *bating, "last-check")
    if delime == "none":
        raise InputError(
            "lime or lye left in a pelt spoils the tan",
            place="delime",
            remedy="choose water at least",
        )
    if unhair == "lime-sulfide" and delime != "water":
        raise InputError(
            "acid, bran or ammonium salt on a sulfide lime gives off deadly hydrogen sulfide",
            place="delime",
            remedy="choose water, or better plain lime; sulfide is for licensed works",
        )
    scrape = "scrape-ash" if unhair == "ash" else "scrape"
    return (
        soak, "flesh", f"unhair-{unhair}", scrape, "rinse-limed", "scud", f"delime-{delime}",
        *bating, "last-check",
    )  # fmt: skip


def _check(known: object, word: str, place: str) -> None:
    names = tuple(known) if isinstance(known, tuple | dict) else ()
    if word not in names:
        raise InputError(
            f'"{word}" is not known here', place=place, remedy="write one of " + ", ".join(names)
        )

"""A trial cook of a lot: from what was weighed and seen to a tannin figure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, cast

from tanwright.errors import InputError
from tanwright.planning.trial_records import GELATIN_SIGNS, IRON_COLOURS, LitreWeight, Snip, Trial
from tanwright.reference import materials
from tanwright.yard.journal.checking import number
from tanwright.yard.journal.kinds import Data
from tanwright.yard.stock.entry_kinds import STATES, tannin_figure

if TYPE_CHECKING:
    from tanwright.planning.readings import Scale
    from tanwright.planning.trial_records import TrialAnswer

SCALES = ("bk", "sg", "tw", "be", "brix", "plato")
_NUMBERS = {
    "mass_kg": (0.001, 100.0),
    "water_l": (0.01, 1000.0),
    "waters": (1.0, 20.0),
    "strength": (0.0, 400.0),
    "liquor_c": (0.0, 60.0),
    "calibrated_at_c": (0.0, 45.0),
    "litre_g": (900.0, 1400.0),
    "snip_days": (0.05, 400.0),
    "snip_mm": (0.1, 20.0),
}


def clean_trial(data: Mapping[str, Any]) -> Data:
    """What was seen, with the figure it leads to (``low_pct``, ``high_pct``, ``verdict``).

    A figure that is there already is kept: an entry says what was told when it was written.
    Raises InputError.
    """
    kept: Data = {
        key: found
        for key, (low, high) in _NUMBERS.items()
        if (found := number(data, key, low, high, needed=False)) is not None
    }
    for key, allowed in (
        ("scale", SCALES),
        ("iron", IRON_COLOURS),
        ("gelatin", GELATIN_SIGNS),
        ("state", STATES),
    ):
        word = data.get(key) or None
        if word is None:
            continue
        if word not in allowed:
            raise InputError(
                f'"{word}" is not known', place=key, remedy="choose " + ", ".join(allowed)
            )
        kept[key] = word
    kept["material_id"] = materials.material(str(data.get("material_id", ""))).id
    if "low_pct" in data:
        kept["low_pct"], kept["high_pct"] = tannin_figure(data)
        kept["verdict"] = str(data.get("verdict", ""))[:300]
        return kept
    answer = assessed(kept)
    kept["low_pct"], kept["high_pct"] = answer.after_pct.p05, answer.after_pct.p95
    kept["verdict"] = answer.verdict[:300]
    return kept


def assessed(data: Mapping[str, Any]) -> TrialAnswer:
    """The engine's answer to a trial's data (about 40 ms). Raises InputError."""
    from tanwright.planning.trial_cook import assess

    trial = trial_of(data)
    if not trial.saw_something:
        raise InputError(
            "nothing was seen yet that tells a strength",
            place="strength",
            remedy="give a strength, the weight of a litre, a sign of iron or gelatin, or a snip",
        )
    return assess(trial)


def trial_of(data: Mapping[str, Any]) -> Trial:
    """The trial that ``data`` tells of."""
    from tanwright.planning.readings import Strength

    liquor_c = data.get("liquor_c")
    strength = None
    if data.get("strength") is not None:
        scale = cast("Scale", data.get("scale") or "bk")
        strength = Strength(float(data["strength"]), scale, liquor_c)
    litre = None
    if data.get("litre_g") is not None:
        litre = LitreWeight(float(data["litre_g"]), 1000.0, liquor_c)
    snip = None
    if data.get("snip_days") is not None:
        snip = Snip(float(data["snip_days"]), data.get("snip_mm"), liquor_c)
    return Trial(
        material_id=str(data["material_id"]),
        state=data.get("state", "dry"),
        mass_kg=data.get("mass_kg"),
        water_l=data.get("water_l"),
        waters=int(data.get("waters", 1)),
        strength=strength,
        calibrated_at_c=data.get("calibrated_at_c"),
        litre=litre,
        iron=data.get("iron"),
        gelatin=data.get("gelatin"),
        snip=snip,
    )

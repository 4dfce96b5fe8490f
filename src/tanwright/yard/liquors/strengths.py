"""From what an instrument showed to °Bk at 15.6 °C and back, and how it looks. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.planning.looks import look_of
from tanwright.science import strength

SCALES: Final = {
    "bk": "degrees barkometer, °Bk",
    "sg": "specific gravity, like 1.020",
    "tw": "degrees Twaddell, °Tw",
    "be": "degrees Baumé, °Bé",
    "brix": "Brix, by refractometer",
    "plato": "Plato, °P",
    "litre": "weight of one litre, g",
}
BREWING_C: Final = 20.0
"""Brewing and lab hydrometers are calibrated at 20 °C unless they say something else."""
TOO_HOT_C: Final = 40.0


GRAVITY_TOLD: Final = (
    "On a barkometer that is nearly water. If a hydrometer shows it, choose specific gravity (SG)."
)


def is_likely_gravity(value: float, scale: str) -> bool:
    """Whether a specific gravity was written down as degrees barkometer."""
    return scale == "bk" and 1.0 < value < 1.2


def corrected_bk(data: Mapping[str, Any]) -> float:
    """°Bk at 15.6 °C of a reading ``{"value", "scale", "liquor_c"?, "calibrated_at_c"?}``.

    Raises InputError for a reading that no tan liquor gives.
    """
    value, scale = data.get("value"), data.get("scale")
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise InputError("this is not a strength", place="value", remedy="write a number, like 12")
    if scale not in SCALES:
        raise InputError(
            f'"{scale}" is not a scale', place="scale", remedy=f"choose one of {', '.join(SCALES)}"
        )
    liquor_c = data.get("liquor_c")
    try:
        sg = _sg(float(value), str(scale), liquor_c, data.get("calibrated_at_c"))
        bk = float(strength.bk_from_sg(sg))
    except InputError as error:
        raise InputError(
            f"{value:g} is no strength of a tan liquor on this scale",
            place="value",
            remedy=error.remedy or "check the scale the number was read on",
        ) from None
    # A hydrometer may stand a degree or two below water's mark in thin, cold liquor.
    if bk < -6.0:
        raise InputError(f"{value:g} is weaker than water", place="value", remedy="check the scale")
    return max(round(bk, 6), 0.0)


def _sg(value: float, scale: str, liquor_c: float | None, calibrated_at_c: float | None) -> float:
    if scale == "litre":
        return float(strength.weighed_to_sg(value, 1000.0, 20.0 if liquor_c is None else liquor_c))
    if scale == "brix":
        return float(strength.refractometer_to_sg(value))
    sg = strength.convert(value, scale, "sg")
    if liquor_c is None:
        return float(sg)
    usual = strength.BARKOMETER_REFERENCE_C if scale == "bk" else BREWING_C
    return float(
        strength.hydrometer_to_sg(
            sg, liquor_c, usual if calibrated_at_c is None else calibrated_at_c
        )
    )


def shown(bk: float, scale: str = "bk") -> str:
    """``bk`` on a scale, with its sign: ``"12 °Bk"``, ``"1.012 SG"``."""
    if scale == "litre":
        return f"{1000.0 + bk:.0f} g a litre"
    if scale == "brix":
        return f"{float(strength.refractometer_reading(strength.sg_from_bk(bk))):.1f} °Bx"
    if scale not in strength.SCALES:
        scale = "bk"
    value = float(strength.convert(bk, "bk", scale))
    sign = strength.scale_of(scale).sign
    if scale == "sg":
        return f"{value:.3f} {sign}"
    return f"{value:.0f} {sign}" if scale == "bk" else f"{value:.1f} {sign}"


def as_read(data: Mapping[str, Any]) -> str:
    """A reading as it was written down: ``"1.012 SG"``."""
    value, scale = float(data["value"]), str(data["scale"])
    if scale == "litre":
        return f"{value:g} g a litre"
    digits = f"{value:.3f}" if scale == "sg" else f"{value:g}"
    return f"{digits} {strength.scale_of(scale).sign}"


def told(bk: float, scale: str = "bk") -> str:
    """A strength in the yard's scale, in °Bk and in looks: ``"1.012 SG (12 °Bk), like tea"``."""
    first = shown(bk, scale)
    rest = "" if scale == "bk" else f" ({shown(bk)})"
    return f"{first}{rest}, like {look_of(bk)}"


def told_range(low: float, high: float, scale: str = "bk") -> str:
    """``"8 to 15 °Bk"`` on a scale."""
    one, other = shown(low, scale), shown(high, scale)
    if one == other:
        return one
    return f"{one.rpartition(' ')[0]} to {other}" if scale != "litre" else f"{one} to {other}"


def against(bk: float, low: float, likely: float, high: float) -> str:
    """What a reading says beside what was expected; one plain sentence."""
    span = f"{low:.0f} to {high:.0f} °Bk was expected, most likely {likely:.0f}"
    if bk < low:
        return (
            f"Reads weaker than expected: {span}. The bark may be weaker than thought, the cook "
            "too short or too cool, or the liquor still warm when it was read."
        )
    if bk > high:
        return (
            f"Reads stronger than expected: {span}. The bark may be richer than thought, water may "
            "have boiled off, or mud and sugar weigh in: let it settle and read again."
        )
    return f"As expected: {span}."

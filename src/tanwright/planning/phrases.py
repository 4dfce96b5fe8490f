"""Amounts, mixtures, days and places in the words that every step of a plan uses."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from tanwright.planning.answers import Range
from tanwright.planning.course import USUAL_COOK_L_PER_KG, Cook, Poured
from tanwright.planning.looks import look_of
from tanwright.planning.setting import Setting
from tanwright.science.belief.summary import percentiles
from tanwright.science.belief.unknowns import Floats
from tanwright.units import format_mass


def range_of(values: Floats) -> Range:
    """5th, 50th and 95th percentile of ``values`` (m,); infinite values count as large."""
    found = percentiles(np.asarray(values, dtype=float))
    return Range(found.p05, found.p50, found.p95)


def on(setting: Setting, day: float) -> date:
    """The date of ``day`` after the start."""
    return setting.start + timedelta(days=int(np.floor(day + 1e-6)))


def is_fish(setting: Setting) -> bool:
    """True when only fish skins lie in the vat."""
    return all(skin.animal == "fish" for skin in setting.sheet.skins)


def cut_places(setting: Setting) -> str:
    """Where the skin is thickest."""
    return "along the back" if is_fish(setting) else "at the neck and at the haunch"


def skins_word(setting: Setting) -> str:
    """``"skin"`` or ``"skins"``."""
    return "skins" if sum(skin.count for skin in setting.skins) > 1 else "skin"


def of_ten(share: float) -> str:
    """A share as ``"3 cases of 10"``, at least one; ``"over 9 cases of 10"`` where ten is meant."""
    number = max(round(10 * share), 1)
    if number >= 10:
        return "over 9 cases of 10"
    return f"{number} case{'' if number == 1 else 's'} of 10"


def about_of_ten(share: float) -> str:
    """As :func:`of_ten` where it is a rough figure: ``"about 3 cases of 10"``."""
    told = of_ten(share)
    return told if told.startswith("over") else f"about {told}"


def mix(setting: Setting, kg: Sequence[float], least_kg: float = 0.0) -> str:
    """Masses ``kg`` of each material (j,) that are above ``least_kg``, by name."""
    parts = [
        f"{format_mass(m)} {lot.label}"
        for m, lot in zip(kg, setting.lots, strict=True)
        if m > least_kg
    ]
    return " and ".join(parts) or "no material"


def pots(setting: Setting, kg: Sequence[float]) -> int:
    """Pots that a cook of ``kg`` (j,) takes, one after the other."""
    # The solver behind it is heavy to import, and most who want words never count pots.
    from tanwright.planning.policy import pot_counts, pot_kg

    full = sum(m / pot_kg(setting, j) for j, m in enumerate(kg))
    return max(int(pot_counts(np.array(full), 1.0)), 1)


def liquor_l(setting: Setting, kg: Sequence[float]) -> float:
    """Strained liquor that the two waters of ``kg`` (j,) give, L."""
    return USUAL_COOK_L_PER_KG * sum(
        m * lot.air_dry_part for m, lot in zip(kg, setting.lots, strict=True)
    )


def litres(volume_l: float) -> str:
    """A volume to about two digits."""
    return f"{volume_l:.0f} L" if volume_l >= 10.0 else f"{volume_l:.2g} L"


def by_eye(setting: Setting) -> bool:
    """True when no instrument shows a strength, so that looks are told first."""
    return setting.sheet.tools.scale is None


def strength_words(setting: Setting, strength_bk: float) -> str:
    """About how strong: degrees for an instrument, first the look without."""
    degrees = f"about {strength_bk:.0f} °Bk"
    return f"{look_of(strength_bk)}, {degrees}" if by_eye(setting) else degrees


def below_words(setting: Setting, strength_bk: float) -> str:
    """``"stands below 8 °Bk (paler than tea)"``, or the look first without an instrument."""
    look = look_of(strength_bk)
    if by_eye(setting):
        return f"looks paler than {look} (about {strength_bk:.0f} °Bk)"
    return f"stands below {strength_bk:.0f} °Bk (paler than {look})"


def described(change: Cook | Poured, setting: Setting) -> str:
    """A change of the vat in a few words, for a mark on a picture."""
    if isinstance(change, Cook):
        return f"{mix(setting, change.kg)} cooked in {litres(change.litres)}"
    if change.strength_bk is None:
        return f"{litres(change.in_l)} of cooked liquor put in"
    if change.strength_bk == 0.0:
        return f"{litres(change.in_l)} of water put in"
    return f"{litres(change.in_l)} of {change.strength_bk:.0f} °Bk put in"

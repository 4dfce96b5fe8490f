"""How amounts of a lot are told."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tanwright.units import System, format_mass, format_range, format_volume
from tanwright.yard.stock.models import Container, Lot
from tanwright.yard.stock.wanting import Claim


def left_words(lot: Lot, system: System) -> str:
    """``"9 kg left"``, ``"nothing left"``, ``"not weighed"``."""
    if lot.left_kg is None:
        return "not weighed"
    if lot.left_kg == 0.0:
        return "nothing left"
    return f"{format_mass(lot.left_kg, system)} left"


def skins_words(low: float, likely: float, high: float) -> str:
    """How many goat skins a lot tans: ``"enough for about 4 goat skins (2 to 9)"``."""
    if high < 1.0:
        return "too little for a goat skin" if likely < 0.85 else "just short of a goat skin"
    if likely < 0.85:
        return "most likely too little for a goat skin; a rabbit or a small skin it may do"
    if likely < 1.2 and low < 1.0:
        return "perhaps enough for a goat skin, perhaps not quite"
    if likely < 1.75:
        return "enough for a goat skin" + ("" if low >= 1.0 else ", most likely")
    count = f"{likely:.0f}" if likely < 20.0 else f"{round(likely, -1):.0f}"
    least, most = max(int(low), 0), max(round(high), 1)
    if likely >= 20.0:
        least, most = int(round(low, -1)), int(round(high, -1))
    return f"enough for about {count} goat skins ({least} to {most})"


def short_words(claim: Claim, system: System) -> str:
    """That there may be too little: what is still needed, what is left, how likely it falls short.

    ``"May be too little: about 6 kg (4 to 9 kg) are still to be cooked and 5 kg are left."``
    """
    need = format_mass(claim.likely_kg, system)
    range_ = format_range(claim.low_kg, claim.high_kg, "mass", system)
    left = format_mass(claim.left_kg, system) if claim.left_kg else "nothing"
    sure = "is too little" if claim.chance_short > 0.8 else "may be too little"
    return (
        f"What is left {sure}: about {need} ({range_}) is still to be cooked, and {left} is left. "
        f"Chance that it falls short: about {_tenths(claim.chance_short)} in 10."
    )


def whom_words(claim: Claim, most: int = 3) -> str:
    """``"Goat in oak, Tannage 3 and 2 others"``."""
    titles = [title for title, _ in claim.whom]
    if len(titles) <= most:
        return ", ".join(titles)
    return f"{', '.join(titles[:most])} and {len(titles) - most} others"


def _tenths(chance: float) -> int:
    return min(max(round(10.0 * chance), 1), 9)


@dataclass(frozen=True)
class ContainerRow:
    """A container on its page."""

    id: int
    name: str
    holds: str


def container_rows(found: Iterable[Container], system: System) -> tuple[ContainerRow, ...]:
    """The yard's own measures in words."""
    rows = []
    for item in found:
        if item.holds_kg is not None:
            holds = format_mass(item.holds_kg, system)
        else:
            holds = format_volume(item.holds_l or 0.0, system)
        of = f" of {item.of}" if item.of else ""
        rows.append(ContainerRow(item.pk, item.name, f"holds {holds}{of}"))
    return tuple(rows)

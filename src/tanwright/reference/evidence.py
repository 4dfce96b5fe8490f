"""Published figures as centres and widths in log-odds, and the spreads that the table shows.

The rule is written out in docs/method/priors.md. Everything here is in log-odds of the tannin
share of air-dry mass.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from tanwright.reference.loader import table
from tanwright.reference.materials import Material, Observation, materials

RANGE_END_SD = 1.3
"""The ends of a printed range lie about this many standard deviations of lots from its middle."""
EXCEPTIONAL_SD = 2.0
"""A lot called exceptional lies about this many standard deviations above the middle."""
AIR_DRY_SOLIDS = 0.87
"""Dry mass in air-dry material (13 % water): turns an oven-dry share into an air-dry one."""

_OWN_ERROR = {"range": 0.15, "average": 0.15, "about": 0.20, "up-to": 0.35, "at-least": 0.40,
              "exceptional": 0.45}  # fmt: skip
_DOUBT = {"group": 0.20, "part": 0.20, "method": 0.20, "species": 0.25, "weak-source": 0.25,
          "statement": 0.30}  # fmt: skip
_MEMORY = 0.30
_BASIS_UNSTATED = 0.07
_SOURCE = 0.20
_PSEUDO_LOTS = 4.0


@dataclass(frozen=True)
class Statement:
    """One independent figure: where it puts the middle of the lots, how surely, how wide."""

    observation: Observation
    group: str
    centre: float
    error: float
    """Standard deviation of ``centre`` as a statement about the mean of all lots."""
    lot_spread: float
    """Spread of lots that the figure itself shows (0 for a single figure)."""


@dataclass(frozen=True)
class Pooled:
    """All independent figures of one material together."""

    statements: tuple[Statement, ...]
    centre: float
    error: float
    lot_spread: float


def logit(share: float) -> float:
    """Log-odds of a share between 0 and 1."""
    return math.log(share / (1.0 - share))


def expit(log_odds: float) -> float:
    """Share for a log-odds."""
    return 1.0 / (1.0 + math.exp(-log_odds))


def pooled(item: Material) -> Pooled | None:
    """Independent figures of a material in one centre and error, or None when there are none.

    Figures of one group of sources share an error of the group, so that repeating a statement
    within the group adds little and copying it adds nothing.
    """
    rows = tuple(row for row in item.observations if row.independent)
    if not rows:
        return None
    floor = lot_spread_floor()
    statements = tuple(_statement(row, floor) for row in rows)
    weight = total = 0.0
    for group in sorted({part.group for part in statements}):
        inside = [part for part in statements if part.group == group]
        own = sum(1.0 / part.error**2 for part in inside)
        centre = sum(part.centre / part.error**2 for part in inside) / own
        precision = 1.0 / (_SOURCE**2 + 1.0 / own)
        weight += precision
        total += precision * centre
    centre = total / weight
    return Pooled(statements, centre, weight**-0.5, _lot_spread(statements, centre, floor))


@lru_cache(maxsize=1)
def lot_spread_floor() -> float:
    """Spread of lots below which no material may go, from the table itself.

    The median, over the materials with three or more independent central figures, of the standard
    deviation of those figures.
    """
    spreads = []
    for item in materials():
        centres = [
            _middle(row)
            for row in item.observations
            if row.independent and row.reading in ("range", "about", "average", "measured")
        ]
        if len(centres) >= 3:
            spreads.append(_deviation(centres))
    spreads.sort()
    half = len(spreads) // 2
    return spreads[half] if len(spreads) % 2 else 0.5 * (spreads[half - 1] + spreads[half])


@lru_cache(maxsize=1)
def source_groups() -> dict[str, str]:
    """Group of each source key: sources of one group copy each other."""
    return {row.text("key"): row.text("group") for row in table("sources")}


def _statement(row: Observation, floor: float) -> Statement:
    if row.reading == "up-to":
        centre = _logit_pct(row.high_pct, row) - RANGE_END_SD * floor
    elif row.reading == "at-least":
        centre = _logit_pct(row.low_pct, row) + RANGE_END_SD * floor
    elif row.reading == "exceptional":
        centre = _middle(row) - EXCEPTIONAL_SD * floor
    else:
        centre = _middle(row)
    error = _OWN_ERROR.get(row.reading, floor) ** 2
    error += sum(_DOUBT[word] ** 2 for word in row.doubts)
    error += _MEMORY**2 if row.provenance == "memory" else 0.0
    error += _BASIS_UNSTATED**2 if row.basis == "unstated" else 0.0
    spread = 0.0
    if row.reading == "range" and row.low_pct is not None and row.high_pct is not None:
        ends = _logit_pct(row.high_pct, row) - _logit_pct(row.low_pct, row)
        spread = ends / (2.0 * RANGE_END_SD)
    return Statement(row, source_groups()[row.source], centre, math.sqrt(error), spread)


def _lot_spread(statements: Iterable[Statement], centre: float, floor: float) -> float:
    total, count = _PSEUDO_LOTS * floor**2, _PSEUDO_LOTS
    for part in statements:
        total += part.lot_spread**2 + (part.centre - centre) ** 2
        count += 1.0
    return max(floor, math.sqrt(total / count))


def _middle(row: Observation) -> float:
    ends = [_logit_pct(pct, row) for pct in (row.low_pct, row.high_pct) if pct is not None]
    return sum(ends) / len(ends)


def _logit_pct(pct: float | None, row: Observation) -> float:
    if pct is None:
        raise ValueError(f"{row.id}: the figure that its reading needs is empty")
    share = pct / 100.0
    return logit(share * AIR_DRY_SOLIDS if row.basis == "oven-dry" else share)


def _deviation(values: list[float]) -> float:
    mean = sum(values) / len(values)
    return math.sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))

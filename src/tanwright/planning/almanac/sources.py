"""What each source contributes to the reference."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tanwright.reference.sources import Source


@dataclass(frozen=True)
class SourceUse:
    """One source and what the tool takes from it.

    Attributes
    ----------
    figures, figures_used:
        Published tannin figures from it, and those of them that count for a prior.
    materials:
        Ids of the materials that it gives figures of, or that name it.
    rows:
        Rows of each table that name it, by the name of the table.
    checks:
        Outside checks (tests against published values) that rest on it.
    words:
        All that in one line.
    """

    source: Source
    figures: int
    figures_used: int
    materials: tuple[str, ...]
    rows: Mapping[str, int]
    checks: int
    words: str


def sources() -> tuple[SourceUse, ...]:
    """Every source, those that give most first."""
    raise NotImplementedError


def source_use(key: str) -> SourceUse:
    """One source. Raises UnknownMaterialError's kin, InputError, for an unknown key."""
    raise NotImplementedError

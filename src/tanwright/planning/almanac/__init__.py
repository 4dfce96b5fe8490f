"""The almanac of evidence: what each source gives, where sources disagree, and all of it as CSV."""

from tanwright.planning.almanac.contradictions import Contradiction, Side, contradictions
from tanwright.planning.almanac.export import export
from tanwright.planning.almanac.sources import SourceUse, source_use, sources

__all__ = [
    "Contradiction",
    "Side",
    "SourceUse",
    "contradictions",
    "export",
    "source_use",
    "sources",
]

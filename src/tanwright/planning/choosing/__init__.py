"""Which plant to gather for a skin: materials ranked by quality, amount, evidence, harm and effort.

The rule of every part is written out in docs/method/choosing.md.
"""

from tanwright.planning.choosing.purpose import Near, Purpose, Weights
from tanwright.planning.choosing.ranking import PARTS, Ranked, rank

__all__ = ["PARTS", "Near", "Purpose", "Ranked", "Weights", "rank"]

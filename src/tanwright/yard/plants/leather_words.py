"""Colours and characters of leather as a few words that one can ask for.

The reference tells them in free words ("pale to khaki", "very quick; alone light"); a plant
is found under each word whose signs its text holds.
"""

from __future__ import annotations

import re
from typing import Final

COLOURS: Final = {
    "pale": r"pale|palest|light|white|colourless|little colour",
    "yellow": r"yellow\w*|buff|khaki",
    "green": r"green\w*|olive",
    "tan or brown": r"\w*brown\w*|tan",
    "red": r"red|redd\w*|red-brown|pink\w*|wine|orange\w*",
    "dark": r"dark|black\w*|deep|brown-violet",
}
CHARACTERS: Final = {
    "soft": r"soft\w*|mellow|supple|pliable|pliant|spongy",
    "firm": r"firm\w*|hard|harder|tough\w*",
    "plump": r"plump\w*",
    "heavy": r"heavy|heavier|sole",
    "light": r"light (?:leather|leathers|morocco)|gloves|skivers|basils",
    "quick": r"(?<!sours )quick\w*|goes in fast|fast and",
    "slow": r"slow(?! to take)",
    "better in a blend": r"blend\w*|alone (?:rather )?(?:brittle|harsh|light)|when used alone"
    r"|if used alone",
}
_BESIDE_IT = re.compile(
    r"(?:darkens?|reddens?|lighter|darker|black(?:-violet)?|yellower|redder)(?: \w+)?"
    r" (?:in|with|than) (?:\w+ )?\w+|\bin light\b|\bblack dye\b|(?:less|without) \w+"
    r"|to light and \w+"
)
"""What is said of light, iron, another plant, or of what the leather is not."""


def colours_of(text: str) -> frozenset[str]:
    """Words of :data:`COLOURS` that fit a description of colour."""
    return _fitting(text, COLOURS)


def characters_of(text: str) -> frozenset[str]:
    """Words of :data:`CHARACTERS` that fit a description of character."""
    return _fitting(text, CHARACTERS)


def _fitting(text: str, signs: dict[str, str]) -> frozenset[str]:
    left = _BESIDE_IT.sub(" ", text.lower())
    return frozenset(word for word, sign in signs.items() if re.search(rf"\b(?:{sign})\b", left))

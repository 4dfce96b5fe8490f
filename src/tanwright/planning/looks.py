"""How a liquor looks in a glass, in the words that the noise model of a look knows."""

from __future__ import annotations

from typing import Final

_ALSO: Final[dict[str, str]] = {
    "water": "pale tea",
    "clear": "pale tea",
    "almost clear": "pale tea",
    "weak tea": "pale tea",
    "straw": "pale tea",
    "black tea": "strong tea",
    "dark tea": "strong tea",
    "strong coffee": "black coffee",
    "ink": "black coffee",
}
_FILLING: Final = ("looks", "look", "like", "the", "a", "of", "more", "as")


def liquor_looks() -> tuple[str, ...]:
    """The looks from palest to darkest."""
    from tanwright.science.belief.kinds import LOOKS

    return LOOKS.words


def find_liquor_look(text: str) -> str | None:
    """The look that ``text`` names ("looks like strong tea"), or ``None``."""
    words = [word for word in text.lower().replace("-", " ").split() if word not in _FILLING]
    plain = " ".join(words)
    if plain in liquor_looks():
        return plain
    return _ALSO.get(plain)


def look_of(strength_bk: float) -> str:
    """The most likely look of a liquor of ``strength_bk`` °Bk."""
    from tanwright.science.belief.kinds import LOOKS

    return LOOKS.word(max(strength_bk, 0.0))

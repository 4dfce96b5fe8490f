"""The reference's keys as a reader's words: the word of a list, and what it means."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from tanwright.reference.sources import Source


@dataclass(frozen=True)
class Word:
    """``short`` stands in lists and chips, ``long`` is the sentence that explains it."""

    short: str
    long: str


def _words(**words: tuple[str, str]) -> Mapping[str, Word]:
    return MappingProxyType({key.replace("_", "-"): Word(*both) for key, both in words.items()})


TRACKS: Final = _words(
    industrial=("used by the trade", "Tanneries have used it on a large scale."),
    traditional=("used by tradition", "People have tanned with it for generations."),
    tried=("tried", "Somebody tanned with it and told of it; it never became usual."),
    content_only=(
        "only its tannin is known",
        "Its tannin was measured; nobody is known to have tanned with it. Try it on an offcut.",
    ),
    avoid=("leave it alone", "Poisonous or protected: do not gather it."),
)
CLASSES: Final = _words(
    condensed=(
        "condensed tannin",
        "Tannin of the bark kind: goes in fast, makes firm and reddish leather, darkens in light.",
    ),
    ellagitannin=(
        "ellagitannin",
        "Tannin of the oak and chestnut kind: makes firm, durable leather, may leave a pale bloom.",
    ),
    gallotannin=(
        "gallotannin",
        "Tannin of the gall and sumac kind: makes soft, pale leather that keeps its colour.",
    ),
    hydrolysable=(
        "hydrolysable tannin",
        "Tannin that water and acid take apart: pale, and a liquor that sours and moulds sooner.",
    ),
    mixed=("mixed tannin", "Holds condensed and hydrolysable tannin side by side."),
    unknown=("kind not known", "Nobody has said what kind of tannin it holds."),
)
"""What each class is like is common practice in the trade."""
EFFECTS: Final = _words(
    kills=(
        "kills the plant",
        "Taking it kills the plant: use what is felled, fallen or cleared anyway.",
    ),
    recoverable=("it grows again", "The plant recovers when a small share is taken."),
    byproduct=("left over", "It is left over when wood is felled or food is made."),
    harmless=("no harm", "Taking it does the plant no harm."),
)
HAZARDS: Final = _words(
    poisonous=("poisonous", "The plant or a part of it is poisonous."),
    irritant=("irritates the skin", "Sap, resin or dust may irritate the skin."),
    allergen=("allergen", "Some people are badly allergic to it."),
    look_alike=("dangerous look-alike", "It may be taken for a plant that does harm."),
    protected=("protected in places", "The plant or where it grows is protected in places."),
    quarantine=("under quarantine", "Moving it may spread a disease of trees."),
    invasive=("invasive", "It spreads where it does not belong: carry no seed or root away."),
)
PROVENANCES: Final = _words(
    read=("sources were read", "Every source of this plant was read for this reference."),
    mixed=("partly from memory", "Sources were read for some of it; the rest is from memory."),
    memory=("from memory", "No source was read for it: treat it as hearsay."),
)
SERIOUS: Final = frozenset({"poisonous", "look-alike", "protected", "quarantine"})
"""Hazards that stand at the top of a page."""


def part_words(part: str) -> str:
    """``"twig-leaf"`` as ``"twigs with leaves"``."""
    return {"twig-leaf": "twigs with leaves", "whole-herb": "whole herb"}.get(
        part, part.replace("-", " ")
    )


def sentence(text: str) -> str:
    """With a capital letter and one full stop."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def citation(source: Source) -> str:
    """Author, year and title in one line; a work without an author begins with its title."""
    return source.short.removeprefix(", ")

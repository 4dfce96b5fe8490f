"""What of a material does not depend on the purpose, kept as arrays for the whole table.

Every number here is a judgement from memory unless a source is named beside it; the rules are
written out in docs/method/choosing.md.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tanwright.planning.answers import Range
from tanwright.planning.choosing import amount
from tanwright.planning.skin_facts import Z95
from tanwright.reference import leathers
from tanwright.reference import materials as reference
from tanwright.reference.cautions import cautions_for
from tanwright.reference.evidence import source_groups
from tanwright.reference.materials import Material
from tanwright.reference.sources import source
from tanwright.science.belief.unknowns import Floats

PROVEN = ("industrial", "traditional")
"""Track records of materials that people are known to have tanned with."""

RECORD = {"industrial": 1.0, "traditional": 0.85, "tried": 0.55, "content-only": 0.3}
"""How far a track record vouches for the leather."""

FIT = {
    "light": {"gallotannin": 1.0, "hydrolysable": 0.95, "mixed": 0.9, "ellagitannin": 0.85,
              "condensed": 0.8, "unknown": 0.65},
    "heavy": {"mixed": 1.0, "condensed": 0.95, "ellagitannin": 0.95, "hydrolysable": 0.85,
              "gallotannin": 0.7, "unknown": 0.65},
}  # fmt: skip
"""How a class of tannin suits light (soft, bag) and heavy (firm, sole) leather: pyrogallols make
pale soft leather and do alone, heavy leather wants reds or a blend (adcock); figures from memory.
"""
WEIGHT_OF = {"soft": "light", "bag": "light", "firm": "heavy", "sole": "heavy"}

SOFT_WORDS = ("soft", "supple", "pliable", "pliant", "mellow", "light leather", "morocco", "basils")
FIRM_WORDS = ("firm", "heavy", "heavier", "hard", "sole", "plump", "saddle", "tougher")
_DENIED = re.compile(r"\b(?:less|without|not|no) [a-z]+")
"""What is denied counts for neither: "less pliable than oak", "without firmness"."""
POOR_WORDS = ("brittle", "harsh", "poor leather", "spongy", "bad smell", "without firmness")

HARM = {"harmless": 1.0, "byproduct": 0.9, "recoverable": 0.7, "kills": 0.2}
"""What is left of the source when the part is taken."""

EASE = {
    "leaf": 0.9, "pod": 0.9, "nut": 0.9, "cup": 0.85, "fruit": 0.85, "fruit-hull": 0.85,
    "twig-leaf": 0.8, "whole-herb": 0.8, "gall": 0.6, "bark": 0.55, "wood": 0.35, "exudate": 0.3,
    "root": 0.3, "rhizome": 0.3, "root-bark": 0.2,
}  # fmt: skip
"""How easily a kg of the part is taken and made ready: plucked, peeled, chipped or dug."""

READ = {"read": 1.0, "measured": 1.0, "weak": 0.5, "memory": 0.25}
"""What one independent figure counts by the strength of its source."""


@dataclass(frozen=True)
class Facts:
    """Columns over n materials, in their order.

    ``fit`` (n, aims) holds quality for each leather of the reference, ``drawn`` (n, levels) the
    quantiles of tannin drawn, g per kg; the others have shape (n,).
    """

    items: tuple[Material, ...]
    quality: dict[str, Floats]
    evidence: Floats
    source: Floats
    ease: Floats
    drawn: Floats
    proven: np.ndarray
    parts: tuple[str, ...]
    part: np.ndarray
    """Index into ``parts``."""
    tannin_pct: tuple[Range, ...]
    figures: tuple[int, ...]
    """Independent groups of sources that give a figure."""
    warnings: tuple[tuple[str, ...], ...]


@lru_cache(maxsize=8)
def facts_of(items: tuple[Material, ...]) -> Facts:
    """Columns for ``items``; what must be avoided is left out before."""
    aims = [leather.id for leather in leathers.leathers()]
    parts = tuple(sorted({item.part for item in items}))
    return Facts(
        items=items,
        quality={aim: np.array([quality(item, aim) for item in items]) for aim in aims},
        evidence=np.array([evidence(item) for item in items]),
        source=np.array([harm(item) for item in items]),
        ease=np.array([EASE[item.part] for item in items]),
        drawn=amount.drawn_g_per_kg(items),
        proven=np.array([item.track_record in PROVEN for item in items], dtype=bool),
        parts=parts,
        part=np.array([parts.index(item.part) for item in items], dtype=int),
        tannin_pct=tuple(_tannin_pct(item) for item in items),
        figures=tuple(len(_groups(item)) for item in items),
        warnings=tuple(warnings_of(item) for item in items),
    )


def quality(item: Material, aim: str) -> float:
    """Expected quality of the leather for ``aim``, 0 to 1.

    Track record times fit of the tannin class times what is said of the leather: right for the aim
    1, wrong for it 0.8, nothing said 0.9, and 0.8 again for a fault (brittle, harsh, spongy).
    """
    weight = WEIGHT_OF[aim]
    said = item.leather_character.lower()
    granted = _DENIED.sub("", said)
    soft, firm = _any(SOFT_WORDS, granted), _any(FIRM_WORDS, granted)
    right, wrong = (soft, firm) if weight == "light" else (firm, soft)
    character = 1.0 if right else 0.8 if wrong else 0.9
    if _any(POOR_WORDS, said):
        character *= 0.8
    return RECORD[item.track_record] * FIT[weight][item.tannin_class] * character


def evidence(item: Material) -> float:
    """How sure the figures are, 0 to 1.

    Seven tenths g/(g + 1), where g counts the independent groups of sources with a figure (read 1,
    weak 0.5, from memory 0.25), and three tenths the track record, less where all is from memory.
    """
    counted = sum(_groups(item).values())
    record = {"industrial": 1.0, "traditional": 0.8, "tried": 0.5}.get(item.track_record, 0.0)
    told = {"read": 1.0, "mixed": 0.9}.get(item.provenance, 0.7)
    return 0.7 * counted / (counted + 1.0) + 0.3 * record * told


def harm(item: Material) -> float:
    """What is left of the source, 0 to 1: the effect of gathering, halved for a plant that is
    protected in places, 0.7 of it in a quarantine; a weed that spreads may be taken freely."""
    left = HARM[item.gather_effect]
    if "invasive" in item.hazards:
        left = max(left, 0.9)
    if "protected" in item.hazards:
        left *= 0.5
    if "quarantine" in item.hazards:
        left *= 0.7
    return left


@lru_cache(maxsize=4096)
def warnings_of(item: Material) -> tuple[str, ...]:
    """Poison, look-alikes, protection and the rest that its hazards call for, then its kin that
    must be left alone."""
    topics = [f"hazard:{name}" for name in item.hazards if name != "invasive"]
    found = [caution.text for caution in cautions_for([*topics, f"genus:{item.genus}"])]
    if item.cautions and item.hazards:
        found.append(f"{item.name[:1].upper()}{item.name[1:]}: {item.cautions}.")
    for other in _by_genus().get(item.genus, ()):
        if other.id == item.id:
            continue
        named = f"{other.name} ({other.scientific_name})"
        if not other.may_be_suggested:
            found.append(f"Leave its kin {named} alone: {other.cautions}.")
        elif "poisonous" in other.hazards and "poisonous" not in item.hazards:
            found.append(f"Be sure which you have, its kin {named} may harm: {other.cautions}.")
    return tuple(dict.fromkeys(found))


@lru_cache(maxsize=1)
def _by_genus() -> dict[str, tuple[Material, ...]]:
    found: dict[str, tuple[Material, ...]] = {}
    for item in reference.materials():
        found[item.genus] = (*found.get(item.genus, ()), item)
    return found


def _groups(item: Material) -> dict[str, float]:
    """The best weight of a figure in each group of sources that copy each other."""
    found: dict[str, float] = {}
    for row in item.observations:
        if row.independent:
            strength = "memory" if row.provenance == "memory" else source(row.source).strength
            group = source_groups()[row.source]
            found[group] = max(found.get(group, 0.0), READ.get(strength, 0.25))
    return found


def _tannin_pct(item: Material) -> Range:
    tannin = amount.beliefs(item)[0]
    low, middle, high = (100.0 * float(tannin.value(z)) for z in (-Z95, 0.0, Z95))
    return Range(low, middle, high)


def _any(words: tuple[str, ...], text: str) -> bool:
    return any(word in text for word in words)

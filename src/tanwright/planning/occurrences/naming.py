"""Names of plants as records write them, matched to the plants of the reference.

A name counts for a plant when it is its accepted name, a synonym that means no other plant of the
reference, or a species that its sources' figures include; authors, ranks, hybrid signs and Latin
spellings that differ by habit are set aside.  A variety without an entry of its own counts for its
species.  What is doubtful ("cf.", "sp.", a cross of two species) and any other species of a known
genus matches the genus alone.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from tanwright.reference.materials import Material, materials

Level = Literal["species", "genus"]
Key = tuple[str, ...]

_RANKS: Final = frozenset(
    ("subsp.", "subsp", "ssp.", "ssp", "var.", "var", "f.", "fo.", "forma", "subvar.", "convar.",
     "nothosubsp.", "nothovar.")
)  # fmt: skip
_IN_DOUBT: Final = frozenset(
    ("cf.", "cf", "aff.", "aff", "sp.", "sp", "spp.", "spp", "nr.", "?", "species", "indet.",
     "hybrid")
)  # fmt: skip
_OF_AUTHORS: Final = frozenset(
    ("ex", "et", "in", "and", "de", "du", "da", "del", "della", "di", "le", "la", "van", "von",
     "der", "den", "af", "auct", "auct.", "non", "nec", "sensu", "emend", "emend.", "fil", "fil.",
     "bis", "hort", "hort.", "pro", "agg.", "agg", "s.l.", "s.str.", "s.lat.", "nom", "nom.")
)  # fmt: skip
_EPITHET: Final = re.compile(r"[a-z][a-z-]+$")
_IN_BRACKETS: Final = re.compile(r"\(([^)]*)\)\s*$")


@dataclass(frozen=True)
class Match:
    """What a written name stands for: a scientific name of the reference, or a genus of it."""

    taxon: str
    level: Level


@dataclass(frozen=True)
class Written:
    """A name taken apart; ``key`` holds genus, epithet and, of a variety, its own epithet."""

    key: Key
    authors: str
    in_doubt: bool = False


def taken_apart(text: str) -> Written | None:
    """The parts of a written name, or None when it is no name of a plant."""
    words = _plain(text).split()
    crossed = [at for at, word in enumerate(words) if word in ("×", "x", "X")]
    words = [word for word in words if word not in ("×", "x", "X")]
    if not words or not re.match(r"[A-Za-z][a-z-]+$", words[0]):
        return None
    genus, rest = words[0].lower(), words[1:]
    if rest and re.match(r"\([A-Z][a-z-]+\)$", rest[0]) and rest[1:] and _is_epithet(rest[1]):
        rest = rest[1:]  # a subgenus
    # A sign before the epithet marks a hybrid with a name; a later one joins two parents.
    if any(at > 1 for at in crossed) or (rest and rest[0].lower() in _IN_DOUBT):
        return Written((genus,), "", in_doubt=True)
    if not rest or not _is_epithet(rest[0]):
        return Written((genus,), "")
    species, rest = rest[0], rest[1:]
    if any(word in ("cf.", "aff.", "?") for word in rest):
        return Written((genus,), "", in_doubt=True)
    variety = _variety(rest)
    key: Key = (genus, _spelled(species))
    if variety and _spelled(variety) != key[1]:
        key = (*key, _spelled(variety))
    return Written(key, re.sub(r"[^a-z]", "", " ".join(rest).lower()))


def _variety(rest: list[str]) -> str:
    """The last epithet below the species, or nothing."""
    found = ""
    for at, word in enumerate(rest):
        after_rank = at > 0 and rest[at - 1] in _RANKS
        if _is_epithet(word) and (after_rank or at == 0 or (found and rest[at - 1] == found)):
            found = word
    return found


def _is_epithet(word: str) -> bool:
    return (
        len(word) > 2
        and bool(_EPITHET.match(word))
        and word not in _OF_AUTHORS | _RANKS | _IN_DOUBT
    )


def _plain(text: str) -> str:
    """Without diacritics and quoted names of cultivars, signs set apart."""
    text = re.sub(r"['‘’\"“”][^'‘’\"“”]*['‘’\"“”]", " ", text.strip("\"' "))
    text = text.replace("æ", "ae").replace("œ", "oe").replace("×", " × ").replace("_", " ")
    text = text.lower() if text.isupper() else text
    marks = unicodedata.normalize("NFKD", text)
    return "".join(mark for mark in marks if not unicodedata.combining(mark))


def _spelled(epithet: str) -> str:
    """An epithet with the endings that differ by habit made one: sieboldii, sieboldi."""
    word = epithet.replace("-", "")
    return word[:-1] if word.endswith("ii") else word


class Names:
    """Names of plants by which records are matched; those of the reference by default."""

    def __init__(self, plants: Iterable[Material]) -> None:
        accepted: dict[Key, str] = {}
        synonyms: dict[Key, dict[str, str]] = {}
        self._genera: dict[str, str] = {}
        for plant in plants:
            written = taken_apart(plant.scientific_name)
            if written is None or len(written.key) < 2:
                continue
            accepted[written.key] = plant.scientific_name
            self._genera[written.key[0]] = plant.genus
            for synonym in (*plant.synonyms, *plant.counted_with):
                key, author = _of_synonym(synonym)
                if key:
                    synonyms.setdefault(key, {})[plant.scientific_name] = author
        self._accepted = accepted
        self._synonyms = {
            key: next(iter(meant.items())) for key, meant in synonyms.items() if len(meant) == 1
        }

    def match(self, *names: str, genus: str = "") -> Match | None:
        """What a record with these names is of; the first that names a known plant counts.

        ``genus`` is looked at when none does.
        """
        genera = []
        for text in names:
            written = taken_apart(text) if text else None
            if written is None:
                continue
            found = self._species(written)
            if found is not None:
                return Match(found, "species")
            genera.append(written.key[0])
        genera.append(genus.strip().lower())
        known = next((self._genera[name] for name in genera if name in self._genera), "")
        return Match(known, "genus") if known else None

    def _species(self, written: Written) -> str | None:
        for key in (written.key, written.key[:2]):
            if len(key) < 2:
                return None
            if key in self._accepted:
                return self._accepted[key]
            if key in self._synonyms:
                name, author = self._synonyms[key]
                if author in written.authors:
                    return name
        return None


def _of_synonym(synonym: str) -> tuple[Key, str]:
    """Key of a synonym and the author that must be written with it (mostly none).

    One with a remark behind it ("as printed") was a slip of its source and matches nothing.
    """
    author = ""
    if found := _IN_BRACKETS.search(synonym):
        if not found[1][:1].isupper():
            return (), ""
        author = re.sub(r"[^a-z]", "", found[1].lower())
        synonym = synonym[: found.start()]
    written = taken_apart(synonym)
    return (written.key, author) if written and len(written.key) > 1 else ((), "")


@lru_cache(maxsize=1)
def reference_names() -> Names:
    """Names of the plants of the reference."""
    return Names(materials())

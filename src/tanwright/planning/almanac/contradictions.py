"""Where the sources cannot both be right, and what the tool makes of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from tanwright.planning.skin_facts import Z95
from tanwright.reference import materials, priors
from tanwright.reference.evidence import Statement, pooled
from tanwright.reference.home_tests import iron_colours
from tanwright.reference.materials import Material
from tanwright.reference.questions import Position, positions, questions, words_of

FAR = 2.0
"""Figures this many standard deviations apart cannot both stand for the common run of lots."""
SOURCE_ERROR = 0.2
"""Error that a source shares in all its figures, in log-odds (docs/method/priors.md)."""
COLOURS = {
    "condensed": ("green-black",),
    "gallotannin": ("blue-black",),
    "ellagitannin": ("blue-black",),
    "hydrolysable": ("blue-black",),
    "mixed": ("blue-black", "green-black", "violet-black"),
}
"""Colours with iron that go with a class."""
_WHY = {
    "group": "a figure for a group of species",
    "part": "perhaps of another part of the plant",
    "method": "found by another method",
    "species": "perhaps of another species",
    "weak-source": "from a weak source",
    "statement": "a statement that the source itself doubts",
}


@dataclass(frozen=True)
class Side:
    """One side: what is said, by which sources (keys), and whether it was read or remembered."""

    says: str
    sources: tuple[str, ...]
    provenance: str


@dataclass(frozen=True)
class Contradiction:
    """Two sides or more that do not go together.

    ``kind`` is "figures" (tannin contents), "statements" (what makes a lot stronger or weaker, or
    of which class it is) or "rules" (of thumb, of the work); ``material_id`` is empty where none is
    meant. ``reason`` is the likely one.
    """

    id: str
    kind: str
    about: str
    material_id: str
    sides: tuple[Side, ...]
    reason: str
    what_is_done: str


@lru_cache(maxsize=1)
def contradictions() -> tuple[Contradiction, ...]:
    """All of them: figures first, the widest apart leading, then statements, then rules."""
    disputed = _disputed()
    return (
        *_figures(),
        *_classes(),
        *(each for each in disputed if each.kind == "statements"),
        *(each for each in disputed if each.kind == "rules"),
    )


def distance(one: Statement, other: Statement) -> float:
    """How many standard deviations lie between two figures as statements of the middle of lots.

    Each carries its own error, in which a single lot counts with the spread of lots, and that of
    its source.
    """
    error = one.error**2 + other.error**2 + 2.0 * SOURCE_ERROR**2
    return abs(one.centre - other.centre) / math.sqrt(error)


def _figures() -> list[Contradiction]:
    found: list[tuple[float, Contradiction]] = []
    for item in materials.materials():
        own = pooled(item)
        statements = own.statements if own else ()
        read = [part for part in statements if part.observation.provenance == "read"]
        pairs = [
            (distance(one, other), one, other)
            for one, other in combinations(read, 2)
            if one.group != other.group
        ]
        if not pairs:
            continue
        apart, one, other = max(pairs, key=lambda pair: pair[0])
        if apart >= FAR:
            low, high = sorted((one, other), key=lambda part: part.centre)
            found.append((apart, _of_figures(item, low, high, read)))
    return [each for _, each in sorted(found, key=lambda pair: -pair[0])]


def _of_figures(
    item: Material, low: Statement, high: Statement, read: list[Statement]
) -> Contradiction:
    sides: tuple[list[Statement], list[Statement]] = ([low], [high])
    for part in read:
        if part not in (low, high):
            sides[distance(part, high) < distance(part, low)].append(part)
    unknown = priors.tannin_prior(item.id).unknown
    ends = [f"{100.0 * float(unknown.value(z)):.2g}" for z in (-Z95, Z95)]
    return Contradiction(
        id=f"figures-{item.id}",
        kind="figures",
        about=f"how much tannin is in {item.name}",
        material_id=item.id,
        sides=(_side(sides[0]), _side(sides[1])),
        reason=_why(low, high),
        what_is_done=f"all count, and one lot is believed to hold {ends[0]} to {ends[1]} %",
    )


def _side(parts: list[Statement]) -> Side:
    told = [
        f"{row.figure} ({', '.join(word for word in (row.as_given, row.note) if word)})"
        if row.as_given or row.note
        else row.figure
        for row in (part.observation for part in parts)
    ]
    sources = dict.fromkeys(part.observation.source for part in parts)
    return Side("; ".join(told), tuple(sources), "read")


def _why(low: Statement, high: Statement) -> str:
    reasons = []
    for part, which in ((low, "the lower"), (high, "the higher")):
        row = part.observation
        doubts = [_WHY[word] for word in row.doubts]
        if row.reading == "measured" and not doubts:
            doubts = ["one lot that was measured"]
        if doubts:
            reasons.append(f"{which} is {' and '.join(doubts)}")
    bases = {row.basis for row in (low.observation, high.observation)} - {"unstated"}
    if len(bases) > 1:
        reasons.append("one is of dry, the other of moist stuff")
    if not reasons:
        reasons.append("nobody says; age, kind, part of the trunk and method may all differ")
    return "; ".join(reasons)


def _classes() -> list[Contradiction]:
    """Printed colours with iron that differ, or that do not go with the class in the table."""
    found = []
    for item in materials.materials():
        printed = [row for row in iron_colours() if row.material_id == item.id]
        colours = {row.colour for row in printed}
        fits = COLOURS.get(item.tannin_class, tuple(colours))
        if not printed or (len(colours - {"both"}) < 2 and colours - {"both"} <= set(fits)):
            continue
        sides = [
            Side(
                f"{'stands between the classes' if colour == 'both' else f'{colour} with iron'}",
                tuple(dict.fromkeys(row.source for row in printed if row.colour == colour)),
                "read",
            )
            for colour in dict.fromkeys(row.colour for row in printed)
        ]
        if not colours <= {*fits, "both"}:
            sides.append(Side(f"{item.tannin_class} tannin, in the table", ("memory",), "memory"))
        found.append(
            Contradiction(
                id=f"class-{item.id}",
                kind="statements",
                about=f"of which class the tannin of {item.name} is",
                material_id=item.id,
                sides=tuple(sides),
                reason="companions of the tannin colour with iron as well, so that the test does "
                "not decide, and many plants hold tannin of both kinds",
                what_is_done=f"it is listed as {item.tannin_class}; the iron test alone moves the "
                "class only a part of the way",
            )
        )
    return found


def _disputed() -> list[Contradiction]:
    by_question: dict[str, list[Position]] = {}
    for position in positions():
        by_question.setdefault(position.question, []).append(position)
    return [
        Contradiction(
            id=question.id,
            kind=question.kind,
            about=question.about,
            material_id=question.material_id,
            sides=tuple(
                _position(answer, [row for row in by_question[question.id] if row.answer == answer])
                for answer in dict.fromkeys(row.answer for row in by_question[question.id])
            ),
            reason=question.reason,
            what_is_done=question.what_is_done,
        )
        for question in questions()
    ]


def _position(answer: str, rows: list[Position]) -> Side:
    said = " ".join(words_of(row) for row in rows)
    memory = all(row.provenance == "memory" for row in rows)
    return Side(
        f"{answer[:1].upper()}{answer[1:]}. {said}",
        tuple(dict.fromkeys(row.source for row in rows)),
        "memory" if memory else "read",
    )

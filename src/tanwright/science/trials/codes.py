"""Codes cut into the edge of a patch, which tell it apart after months in a vat.

A code is a set of nicks.  Each side of a patch has three places for one: near its first corner, in
the middle, near its last corner, going round.  A patch may come out of the vat turned any way and
lying on either face, so codes that a turn or a flip carries into each other are one and the same:
bracelets under the symmetries of the square, or of the rectangle.  Every code has an even number of
nicks.  One nick torn away, missed, or made by a tear leaves an odd number, so it is noticed and
never read as another patch.  As long as there are enough of them, the codes of one trial differ in
four nicks, so that two mishaps on one patch are noticed too.  Codes with few cuts come first.

How many there are follows from counting by Burnside's lemma (:func:`burnside`).
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError

PLACES = 3
"""Places for a nick on one side: near the first corner, the middle, near the last corner."""

SPOTS = 4 * PLACES
_SHARES = (0.2, 0.5, 0.8)
LEAST_NICKS = 2
FAR_NICKS = 4
"""Nicks in which codes of a small trial differ."""

Nicks = tuple[bool, ...]


@dataclass(frozen=True)
class Reading:
    """What a patch's nicks say: its code, or ``""`` and the codes one nick away from it."""

    code: str
    closest: tuple[str, ...] = ()
    why: str = ""
    """Why it cannot be read; empty when it can."""

    @property
    def words(self) -> str:
        """The code, or ``unreadable:`` with the reason and what is closest."""
        if self.code:
            return self.code
        closest = f"closest {', '.join(self.closest)}" if self.closest else "none is close"
        return f"unreadable: {self.why}; {closest}"


def place_share(place: int) -> float:
    """Where the place 1, 2 or 3 lies along its side, as a share of the side."""
    return _SHARES[place - 1]


@lru_cache(maxsize=2)
def symmetries(square: bool = True) -> tuple[tuple[int, ...], ...]:
    """Where each of the twelve spots goes: eight ways for a square, four for a rectangle."""
    turns = range(4) if square else (0, 2)
    ways = []
    for turn in turns:
        ways.append(tuple((spot + PLACES * turn) % SPOTS for spot in range(SPOTS)))
        # Seen from the back, going round the same way, the spots come in the opposite order.
        ways.append(tuple((PLACES - 1 - spot + PLACES * turn) % SPOTS for spot in range(SPOTS)))
    return tuple(ways)


def canonical(nicks: Nicks, square: bool = True) -> Nicks:
    """The one way of writing down these nicks, whichever way the patch lies."""
    return max(_carried(nicks, way) for way in symmetries(square))


@lru_cache(maxsize=2)
def all_codes(square: bool = True) -> tuple[str, ...]:
    """Every code, few cuts first: 297 for a square, 559 for a rectangle."""
    found = set()
    for number in range(1, 2**SPOTS):
        if number.bit_count() % 2 == 0:
            found.add(canonical(tuple(bool(number >> k & 1) for k in range(SPOTS)), square))
    ordered = sorted(found, key=lambda nicks: (sum(nicks), [not nick for nick in nicks]))
    return tuple(written(nicks) for nicks in ordered)


def codes_for(count: int, square: bool = True, taken: Collection[str] = ()) -> tuple[str, ...]:
    """``count`` codes that are not among ``taken``, the same ones for the same arguments.

    Codes that differ in :data:`FAR_NICKS` from each other and from those taken, few cuts first, as
    long as there are enough (22 for a square, 35 for a rectangle); else those with the fewest cuts.

    Raises
    ------
    InputError
        If there are not as many.
    """
    used = frozenset(written(canonical(nicks_of(code), square)) for code in taken)
    apart = _far_apart(square, used)
    if count <= len(apart):
        return apart[:count]
    free = [code for code in all_codes(square) if code not in used]
    if count > len(free):
        raise InputError(
            f"there are only {len(free)} codes left for {count} patches",
            remedy="cut fewer patches in one trial",
        )
    return tuple(free[:count])


@lru_cache(maxsize=32)
def _far_apart(square: bool, taken: frozenset[str]) -> tuple[str, ...]:
    """Codes at least FAR_NICKS away from ``taken`` and from each other, taken greedily."""
    images = {image for code in taken for image in _images(code, square)}
    found = []
    for code in all_codes(square):
        mark = _mark(nicks_of(code))
        if all((mark ^ image).bit_count() >= FAR_NICKS for image in images):
            found.append(code)
            images |= _images(code, square)
    return tuple(found)


def _images(code: str, square: bool) -> set[int]:
    """The nicks of a code as bits, whichever way the patch lies."""
    nicks = nicks_of(code)
    return {_mark(_carried(nicks, way)) for way in symmetries(square)}


def _mark(nicks: Nicks) -> int:
    return sum(1 << spot for spot, nick in enumerate(nicks) if nick)


def written(nicks: Nicks) -> str:
    """Nicks as text, side by side going round: ``13-2-0-0`` has 1 and 3 on its first side."""
    sides = (nicks[at : at + PLACES] for at in range(0, SPOTS, PLACES))
    return "-".join(
        "".join(str(place) for place, nick in enumerate(side, 1) if nick) or "0" for side in sides
    )


def nicks_of(text: str) -> Nicks:
    """Nicks from text as :func:`written` writes it, in any order of reading.

    Raises
    ------
    InputError
        If it is not four sides with places 1, 2 and 3, or 0 for a side without a nick.
    """
    sides = re.split(r"[\s,;/–-]+", text.strip())
    if len(sides) != 4 or not all(re.fullmatch(r"0|1?2?3?", side) and side for side in sides):
        raise InputError(
            f'"{text[:40]}" is not a code',
            remedy="write the nicks of the four sides going round, like 13-2-0-0: 1 near the first"
            " corner, 2 in the middle, 3 near the last corner, 0 for none",
        )
    return tuple(str(place) in side for side in sides for place in range(1, PLACES + 1))


def read(nicks: Nicks | str, known: Sequence[str], square: bool = True) -> Reading:
    """Which of the ``known`` codes these nicks are, or that they cannot be read and what is near.

    ``nicks`` may be read from either face and any side first.
    """
    seen = canonical(nicks_of(nicks) if isinstance(nicks, str) else nicks, square)
    text = written(seen)
    if text in known:
        return Reading(text)
    beside = {written(canonical(_flipped(seen, spot), square)) for spot in range(SPOTS)}
    near = tuple(code for code in known if code in beside)
    if sum(seen) % 2:
        why = "the nicks are odd in number, so one is torn, missed or was never cut"
    else:
        why = "no patch of this trial has these nicks"
    return Reading("", near, why)


def distance(one: Nicks, other: Nicks, square: bool = True) -> int:
    """Fewest nicks added or lost that make one patch look like the other."""
    return min(
        sum(a != b for a, b in zip(_carried(one, way), other, strict=True))
        for way in symmetries(square)
    )


def burnside(square: bool = True, *, even: bool = False) -> int:
    """Number of kinds of nicks under the symmetries, all or those even in number, by Burnside.

    The mean over the symmetries of how many sets of nicks each leaves as it is; a cycle of spots is
    nicked as a whole or not at all.  Counted without listing a single code.
    """
    total = 0
    ways = symmetries(square)
    for way in ways:
        lengths = _cycles(way)
        fixed = 2 ** len(lengths)
        # Half of (value at 1 + value at -1) of the product of (1 + x^length) counts even sets.
        balance = 0 if any(length % 2 for length in lengths) else fixed
        total += (fixed + balance) // 2 if even else fixed
    return total // len(ways)


def _carried(nicks: Nicks, way: tuple[int, ...]) -> Nicks:
    moved = [False] * SPOTS
    for spot, to in enumerate(way):
        moved[to] = nicks[spot]
    return tuple(moved)


def _flipped(nicks: Nicks, spot: int) -> Nicks:
    return tuple(nick != (at == spot) for at, nick in enumerate(nicks))


def _cycles(way: tuple[int, ...]) -> list[int]:
    left, lengths = set(range(SPOTS)), []
    while left:
        spot, length = min(left), 0
        while spot in left:
            left.remove(spot)
            spot, length = way[spot], length + 1
        lengths.append(length)
    return lengths

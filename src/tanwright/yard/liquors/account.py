"""The account of liquors: litres, strength and material, followed from entry to entry.

Pure: no database, no clock. Liquors that were ever joined, split or cooked in one another are
followed together, in the order of their entries, so that a correction anywhere reaches them all.
Strengths are taken to add by volume (see science.mixing).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final
from uuid import UUID

import numpy as np

from tanwright.science.mixing import mixed_strength

POURED: Final = "poured into vat"
JOINED: Final = "joined from"
SPLIT: Final = "split from"
COOKED_IN: Final = "cooked in"
GIVERS: Final = (JOINED, SPLIT, COOKED_IN)
"""Roles in which an entry of one liquor touches the one that its litres came from."""
NOTHING_L: Final = 1e-6
CONCERNS: Final = frozenset({POURED, *GIVERS})
"""Roles that change the touched liquor."""


@dataclass(frozen=True)
class Happening:
    """One live entry. ``record`` is the liquor it is about (``None`` for another record's), and
    ``giver`` the liquor that litres were taken of."""

    at: datetime
    kind: str
    data: Mapping[str, Any]
    record: UUID | None = None
    giver: UUID | None = None
    role: str = ""


@dataclass
class Tub:
    """State of one liquor. ``raw_l`` falls below nought when more was poured than was noted."""

    raw_l: float | None = None
    bk: float | None = None
    how: str = ""
    at: datetime | None = None
    liquor_c: float | None = None
    expected: tuple[float, float, float] | None = None
    materials: dict[str, float] = field(default_factory=dict)
    where: str = ""
    made_at: datetime | None = None
    spent_at: datetime | None = None
    ended: bool = False
    poured_l: float = 0.0
    thrown_l: float = 0.0

    @property
    def volume_l(self) -> float | None:
        """Litres that are left, never below nought."""
        return None if self.raw_l is None else max(self.raw_l, 0.0)

    @property
    def over_l(self) -> float:
        """Litres poured out beyond all that had been noted."""
        return max(-(self.raw_l or 0.0), 0.0)

    @property
    def gone(self) -> bool:
        """Nothing is left, or it was said to be used up."""
        return self.ended or (self.raw_l is not None and self.raw_l <= NOTHING_L)

    @property
    def belief(self) -> tuple[float, float, float] | None:
        """Low, likely and high °Bk: its reading, else what is expected."""
        return self.expected if self.bk is None else (self.bk, self.bk, self.bk)


def follow(happenings: Iterable[Happening]) -> dict[UUID, Tub]:
    """State of every liquor that the happenings, in their order, speak of."""
    tubs: dict[UUID, Tub] = {}
    for happening in happenings:
        for id in (happening.record, happening.giver):
            if id is not None:
                tubs.setdefault(id, Tub())
        _take(tubs, happening)
    return tubs


def _take(tubs: dict[UUID, Tub], happening: Happening) -> None:
    data, kind = happening.data, happening.kind
    if happening.record is None:
        if happening.giver is not None and happening.role == POURED:
            giver = tubs[happening.giver]
            litres = _litres(data, giver, str(happening.giver))
            giver.poured_l += litres
            _draw(giver, litres)
        return
    tub = tubs[happening.record]
    if tub.made_at is None:
        tub.made_at = happening.at
    if where := data.get("where"):
        tub.where = str(where)
    if kind in ("liquor.joined", "liquor.split") and happening.giver is not None:
        giver = tubs[happening.giver]
        litres = _litres(data, giver)
        _pour_in(tub, litres, giver.belief, _draw(giver, litres), _read_at(giver, happening.at))
    elif kind == "liquor.cooked":
        _cooked(tubs, tub, happening)
    elif kind == "liquor.from_vat":
        bk = data.get("bk")
        belief = None if bk is None else (float(bk),) * 3
        share = {str(k): float(v) for k, v in (data.get("materials") or {}).items()}
        _pour_in(tub, float(data["litres"]), belief, share, None if bk is None else happening.at)
    elif kind == "liquor.strength":
        tub.bk, tub.how, tub.at = float(data["bk"]), "read", happening.at
        if data.get("liquor_c") is not None:
            tub.liquor_c = float(data["liquor_c"])
    elif kind == "liquor.look" and tub.bk is None:
        tub.expected = _narrowed(tub.expected, data)
    elif kind == "liquor.thinned":
        _pour_in(tub, float(data["litres"]), (0.0, 0.0, 0.0), {}, happening.at)
    elif kind == "liquor.measured":
        tub.raw_l, tub.ended = float(data["litres"]), False
    elif kind == "liquor.thrown":
        litres = _litres(data, tub)
        tub.thrown_l += litres
        _draw(tub, litres)
        tub.ended = tub.ended or "litres" not in data
    elif kind == "liquor.used_up":
        _draw(tub, max(tub.raw_l or 0.0, 0.0))
        tub.ended = True
    elif kind == "liquor.spent":
        tub.spent_at = happening.at


def _cooked(tubs: dict[UUID, Tub], tub: Tub, happening: Happening) -> None:
    data = happening.data
    own = data.get("expected") or {}
    belief: tuple[float, float, float] | None = None
    if "likely" in own:
        belief = (float(own["low"]), float(own["likely"]), float(own["high"]))
    share = {str(k): float(v) for k, v in (data.get("materials") or {}).items()}
    if happening.giver is not None:
        giver = tubs[happening.giver]
        litres = _litres(data, giver, key="in_litres")
        old, whole = giver.belief, litres + float(data.get("water_l") or 0.0)
        for id, kg in _draw(giver, litres).items():
            share[id] = share.get(id, 0.0) + kg
        # What the older liquor brought stands in all the water there is.
        if belief is not None and old is not None and whole > NOTHING_L:
            part = litres / whole
            low, likely, high = (a + part * b for a, b in zip(belief, old, strict=True))
            belief = (low, likely, high)
        else:
            belief = None
    volume = data.get("volume_l", own.get("volume_l"))
    _pour_in(tub, None if volume is None else float(volume), belief, share, None)


def _pour_in(
    tub: Tub,
    litres: float | None,
    belief: tuple[float, float, float] | None,
    materials: Mapping[str, float],
    read_at: datetime | None,
) -> None:
    """Litres of another liquor in; ``read_at`` is set when their strength was read or mixed."""
    for id, kg in materials.items():
        tub.materials[id] = tub.materials.get(id, 0.0) + kg
    tub.ended = False
    old, old_l = tub.belief, tub.volume_l or 0.0
    if old_l <= NOTHING_L:
        mixed = belief
        surely = read_at is not None
    elif old is None or belief is None or litres is None:
        mixed, surely = None, False
    else:
        low, likely, high = (
            float(mixed_strength(np.array([old_l, litres]), np.array([a, b])))
            for a, b in zip(old, belief, strict=True)
        )
        mixed = (low, likely, high)
        surely = read_at is not None and tub.bk is not None
    if litres is None or litres > NOTHING_L:
        if surely and mixed is not None:
            tub.bk, tub.how, tub.at, tub.expected = mixed[1], "mixed", read_at, None
        else:
            tub.how = "mixed" if old_l > NOTHING_L else ""
            tub.bk, tub.at, tub.expected = None, None, mixed
    if litres is None:
        tub.raw_l = None
    else:
        tub.raw_l = litres if tub.raw_l is None else tub.raw_l + litres


def _draw(tub: Tub, litres: float) -> dict[str, float]:
    """Take ``litres`` out; gives the material that goes with them."""
    if tub.raw_l is None:
        return {}
    have = max(tub.raw_l, 0.0)
    part = min(litres / have, 1.0) if have > NOTHING_L else 0.0
    taken = {id: part * kg for id, kg in tub.materials.items()}
    tub.materials = {id: kg - taken[id] for id, kg in tub.materials.items() if part < 1.0}
    tub.raw_l -= litres
    return taken


def _litres(data: Mapping[str, Any], tub: Tub, id: str = "", *, key: str = "litres") -> float:
    """Litres that an entry takes of ``tub``; all that is left when it names none."""
    of_each = data.get("liquors")
    if id and isinstance(of_each, dict) and id in of_each:
        return float(of_each[id])
    litres = data.get(key)
    return (tub.volume_l or 0.0) if litres is None else float(litres)


def _read_at(giver: Tub, now: datetime) -> datetime | None:
    return None if giver.bk is None else now


def _narrowed(
    expected: tuple[float, float, float] | None, data: Mapping[str, Any]
) -> tuple[float, float, float]:
    """The part of the expected range that a look allows; the look alone where they part."""
    low, high = float(data["low_bk"]), float(data["high_bk"])
    seen = (low, 0.5 * (low + high), high)
    if expected is None or expected[0] >= high or expected[2] <= low:
        return seen
    low, high = max(low, expected[0]), min(high, expected[2])
    return (low, min(max(expected[1], low), high), high)

"""To bring a vat to another strength with a stronger liquor (or to thin it with water).

Strengths are degrees barkometer at the reference temperature and add by volume; how is in
docs/method/strength.md.  What cannot be reached with the stock is never promised: the answer says
how far the stock brings the vat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tanwright.errors import InputError
from tanwright.science import mixing

_NOTHING_L = 1e-9


@dataclass(frozen=True)
class Liquor:
    """A volume of liquor in L and its true strength in °Bk."""

    volume_l: float
    strength_bk: float


@dataclass(frozen=True)
class Way:
    """One way to do it: so many litres out of the vat, then so many of the other liquor in.

    Attributes
    ----------
    name:
        ``swap`` (the vat stays as full), ``top-up`` (nothing is taken out) or ``top-up-and-swap``.
    out_l, in_l:
        Litres to take out first, and to put in afterwards.
    reaches_bk:
        Strength of the vat afterwards, °Bk.
    vat_l, stock_left_l:
        Litres in the vat and litres of the other liquor left over, afterwards.
    enough:
        False when the stock ends before the wanted strength.
    """

    name: str
    out_l: float
    in_l: float
    reaches_bk: float
    vat_l: float
    stock_left_l: float
    enough: bool


def ways(
    vat: Liquor, to_bk: float, stock: Liquor, *, room_l: float | None = None
) -> tuple[Way, ...]:
    """The ways to bring ``vat`` to ``to_bk`` with ``stock``, the one that needs least stock first.

    Parameters
    ----------
    vat, stock:
        What is in the vat, and all there is of the liquor to put in.
    to_bk:
        Wanted strength, °Bk.
    room_l:
        Litres that the vat could still take; ``None`` when nobody said, 0 when it is full.

    A stock of infinite volume asks how much is needed; ways that no amount can finish are then
    left out.

    Raises
    ------
    InputError
        When the vat already stands there, or no amount of that liquor can bring it there.
    """
    _possible(vat.strength_bk, to_bk, stock.strength_bk)
    swap = _with_room("swap", vat, to_bk, stock, 0.0)
    if room_l == 0.0:
        return (swap,)
    if to_bk == stock.strength_bk:
        top_up_l = float("inf")
    else:
        top_up_l = float(
            mixing.litres_to_top_up(vat.volume_l, vat.strength_bk, to_bk, stock.strength_bk)
        )
    endless = math.isinf(top_up_l) and math.isinf(stock.volume_l)
    if endless and room_l is None:
        return (swap,)
    if not endless and (room_l is None or room_l >= top_up_l):
        return (swap, _with_room("top-up", vat, to_bk, stock, top_up_l))
    return (swap, _with_room("top-up-and-swap", vat, to_bk, stock, room_l or 0.0))


def _possible(from_bk: float, to_bk: float, with_bk: float) -> None:
    if to_bk == from_bk:
        raise InputError(
            f"the vat already stands at {from_bk:.3g} °Bk", remedy="ask for another strength"
        )
    word = "stronger" if to_bk > from_bk else "weaker"
    reaches = (with_bk >= to_bk) if to_bk > from_bk else (with_bk <= to_bk)
    if not reaches:
        raise InputError(
            f"a liquor of {with_bk:.3g} °Bk cannot bring a vat from {from_bk:.3g} to "
            f"{to_bk:.3g} °Bk",
            remedy=f"use a liquor {word} than {to_bk:.3g} °Bk, or ask for less",
        )


def _with_room(name: str, vat: Liquor, to_bk: float, stock: Liquor, room_l: float) -> Way:
    """Fill ``room_l`` litres more than are taken out; the litres out follow from the balance
    (V - out) from + (out + room) with = (V + room) to."""
    if room_l == float("inf"):
        out_l, in_l = 0.0, float("inf")
    else:
        excess = (vat.volume_l + room_l) * to_bk - vat.volume_l * vat.strength_bk
        excess -= room_l * stock.strength_bk
        out_l = excess / (stock.strength_bk - vat.strength_bk)
        # What rounding leaves over is not taken out.
        out_l = out_l if out_l > 1e-6 * vat.volume_l else 0.0
        in_l = out_l + room_l
    enough = in_l <= stock.volume_l + _NOTHING_L
    if not enough:
        in_l = stock.volume_l
        out_l = max(0.0, in_l - room_l)
    left_l = max(vat.volume_l - out_l, 0.0)
    reaches = float(
        mixing.mixed_strength(
            np.array([left_l, in_l]), np.array([vat.strength_bk, stock.strength_bk])
        )
    )
    return Way(name, out_l, in_l, reaches, left_l + in_l, stock.volume_l - in_l, enough)

"""Mixing liquors: swap, top up, thin, and what comes of it.

Strengths (°Bk, or tannins or solubles in g/L; one kind in one call) are taken to add by volume.
Each function broadcasts its arguments. Source: mass balance; common practice for the two ways.
"""

from __future__ import annotations

import numpy as np

from tanwright.errors import InputError
from tanwright.science.values import Floats, Value, floats, not_negative, positive


def mixed_strength(volumes_l: Value, strengths: Value) -> Floats:
    """Strength of liquors poured together: mean by volume over the last axis of both arrays.

    Also the mean strength of a schedule when the weights are days. Raises InputError when the
    volumes are negative or all zero.
    """
    volumes, values = np.broadcast_arrays(not_negative(volumes_l, "volume"), floats(strengths))
    whole = positive(np.sum(volumes, axis=-1), "volume in all")
    return np.asarray(np.sum(volumes * values, axis=-1) / whole)


def strength_after_swap(
    volume_l: Value, strength: Value, swapped_l: Value, strong: Value
) -> Floats:
    """Strength after ``swapped_l`` of the vat was taken out and as much strong liquor put in."""
    part = not_negative(swapped_l, "litres swapped") / positive(volume_l, "volume")
    if np.any(part > 1.0):
        raise InputError("more is swapped than the vat holds", remedy="swap the whole vat at most")
    return np.asarray(floats(strength) * (1.0 - part) + floats(strong) * part)


def litres_to_swap(
    volume_l: Value, from_g_per_l: Value, to_g_per_l: Value, strong_g_per_l: Value
) -> Floats:
    """Litres to take out and replace by stronger (or weaker) liquor so that the vat stands at
    ``to_g_per_l``; the volume stays.

    V (to - from) / (strong - from). Inverse of :func:`strength_after_swap`. Raises InputError when
    the target does not lie between the vat and the liquor that is put in.
    """
    volume = positive(volume_l, "volume")
    start, target, strong = np.broadcast_arrays(
        floats(from_g_per_l), floats(to_g_per_l), floats(strong_g_per_l)
    )
    _between(start, target, strong, open_end=False)
    gap = np.where(strong == start, 1.0, strong - start)
    return np.asarray(volume * (target - start) / gap)


def strength_after_top_up(
    volume_l: Value, strength: Value, added_l: Value, strong: Value
) -> Floats:
    """Strength after ``added_l`` of strong liquor was poured in on top."""
    volume, added = positive(volume_l, "volume"), not_negative(added_l, "litres added")
    return np.asarray((volume * floats(strength) + added * floats(strong)) / (volume + added))


def litres_to_top_up(
    volume_l: Value, from_g_per_l: Value, to_g_per_l: Value, strong_g_per_l: Value
) -> Floats:
    """Litres of stronger liquor to pour in on top so that the vat stands at ``to_g_per_l``.

    V (to - from) / (strong - to). Inverse of :func:`strength_after_top_up`. With ``strong`` 0 it
    gives the water that thins a liquor. Raises InputError when the target does not lie between the
    two, or equals the strong liquor (no amount would reach it).
    """
    volume = positive(volume_l, "volume")
    start, target, strong = np.broadcast_arrays(
        floats(from_g_per_l), floats(to_g_per_l), floats(strong_g_per_l)
    )
    _between(start, target, strong, open_end=True)
    gap = np.where(strong == target, 1.0, strong - target)
    return np.asarray(volume * (target - start) / gap)


def _between(start: Floats, target: Floats, strong: Floats, *, open_end: bool) -> None:
    inside = (target - start) * (strong - target) >= 0.0
    if open_end:
        inside &= (strong != target) | (start == target)
    if np.all(inside):
        return
    at = int(np.argmin(np.ravel(inside)))
    vat, aim, put_in = (float(np.ravel(a)[at]) for a in (start, target, strong))
    raise InputError(
        f"a vat at {vat:.4g} cannot be brought to {aim:.4g} with a liquor of {put_in:.4g}",
        remedy="the aim must lie between the vat and the liquor that is put in",
    )

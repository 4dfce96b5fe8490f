"""What a run of the uptake model gives: arrays over worlds, time and slabs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tanwright.science.belief.unknowns import Floats


@dataclass(frozen=True)
class SlabState:
    """The pelts of an ensemble at one moment, to go on from: (m, b, cells, s) and (m, b, cells).

    ``total_g_per_l``: tannin, bound and free, per litre of pelt; ``free_g_per_l`` and
    ``nontan_g_per_l``: per litre of pore liquid.
    """

    total_g_per_l: Floats
    free_g_per_l: Floats
    nontan_g_per_l: Floats


@dataclass(frozen=True)
class UptakeResult:
    """An ensemble's tannage over time.

    ``day`` (t,) grows, and repeats where a pour happens: first the vat before it, then after.

    Attributes
    ----------
    vat_tannin_g_per_l:
        (m, t, s). ``vat_nontan_g_per_l`` (m, t). ``vat_l`` (t,).
    flesh_front, grain_front:
        Share of the thickness coloured from either face, (m, t, b). Their sum is what a cut shows.
    flesh_leather, grain_leather:
        The same for the threshold of leather instead of colour.
    mean_degree, least_degree, face_degree:
        Bound tannin per hide substance, g/g: mean over the thickness, at the rawest place, at the
        richer face, (m, t, b).
    free_g:
        Free tannin in the pores of each slab, g, (m, t, b).
    poured_in_g, poured_out_g, spoiled_g:
        Running tannin account, g, (m, t). What the vat held on day 0 is not in ``poured_in_g``.
    hide_g:
        Hide substance of each slab, g, (m, b).
    profile:
        Bound tannin per hide substance in each cell, (m, t, b, cells); empty unless asked for.
    euler_steps:
        Steps redone by implicit Euler to keep signs, (m,).
    newton_steps:
        Newton steps of the world's group over the whole run, (m,).
    poured:
        1 where a pour happened, 0 where the vat was strong enough without it, (m, pours by day).
    end:
        The pelts at the end.
    """

    day: Floats
    vat_l: Floats
    vat_tannin_g_per_l: Floats
    vat_nontan_g_per_l: Floats
    flesh_front: Floats
    grain_front: Floats
    flesh_leather: Floats
    grain_leather: Floats
    mean_degree: Floats
    least_degree: Floats
    face_degree: Floats
    free_g: Floats
    poured_in_g: Floats
    poured_out_g: Floats
    spoiled_g: Floats
    hide_g: Floats
    profile: Floats
    euler_steps: Floats
    newton_steps: Floats
    poured: Floats
    end: SlabState

    @property
    def struck_through(self) -> Floats:
        """Share of the thickness coloured, (m, t, b), 0 to 1."""
        return np.asarray(np.minimum(self.flesh_front + self.grain_front, 1.0))

    @property
    def bound_g(self) -> Floats:
        """Tannin bound in each slab, g, (m, t, b)."""
        return np.asarray(self.mean_degree * self.hide_g[:, None, :])

    @property
    def vat_g(self) -> Floats:
        """Tannin in the vat, g, (m, t)."""
        return np.asarray(self.vat_tannin_g_per_l.sum(axis=2) * self.vat_l)

    @property
    def imbalance_g(self) -> Floats:
        """Tannin that cannot be accounted for since the first record, g, (m, t); rounding only."""
        held = self.vat_g + (self.bound_g + self.free_g).sum(axis=2)
        moved = self.poured_in_g - self.poured_out_g - self.spoiled_g
        return np.asarray(held - held[:, :1] - moved)

    def at(self, day: Floats | float, series: Floats) -> Floats:
        """``series`` (m, t, ...) at ``day`` (scalar or (k,)), after any pour of that moment."""
        days = np.atleast_1d(np.asarray(day, dtype=float))
        right = np.clip(np.searchsorted(self.day, days, side="right"), 1, self.day.size - 1)
        left = right - 1
        width = self.day[right] - self.day[left]
        share = np.where(
            width > 0.0, (days - self.day[left]) / np.where(width > 0, width, 1.0), 1.0
        )
        share = np.clip(share, 0.0, 1.0)
        shape = (1, -1) + (1,) * (series.ndim - 2)
        weight = share.reshape(shape)
        out = series[:, left] * (1.0 - weight) + series[:, right] * weight
        return np.asarray(out[:, 0] if np.ndim(day) == 0 else out)

    def first_day(self, reached: Floats) -> Floats:
        """First day on which ``reached`` (m, t) rises to zero or above, (m,); inf if never."""
        hit = reached >= 0.0
        any_hit = hit.any(axis=1)
        index = np.argmax(hit, axis=1)
        rows = np.arange(reached.shape[0])
        before = np.maximum(index - 1, 0)
        low, high = reached[rows, before], reached[rows, index]
        rise = high - low
        share = np.where(rise > 0.0, -low / np.where(rise > 0.0, rise, 1.0), 1.0)
        share = np.where(index == 0, 0.0, np.clip(share, 0.0, 1.0))
        day = self.day[before] + share * (self.day[index] - self.day[before])
        return np.where(any_hit, day, np.inf)

"""Closed forms of diffusion into a sheet, against which the solver is held.

A sheet of half thickness ``l`` (both faces open) or of full thickness ``l`` (one face closed).
``fourier`` is D t / l squared, without unit, any shape.

Source: Crank, The Mathematics of Diffusion, 2nd ed. 1975 (key ``crank1975``): plane sheet with a
constant surface, and with a well-stirred solution of limited volume. The equations are from memory;
their values agree with the printed roots that are kept among the outside checks.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tanwright.science.values import Floats, Value, floats, not_negative, positive, within

SERIES_TERMS = 400
"""Terms kept of a series; enough for 1e-9 at a Fourier number of 1e-4."""
SECONDS_PER_DAY = 86400.0


def _odd_terms() -> Floats:
    return np.asarray(2.0 * np.arange(SERIES_TERMS) + 1.0)


def sheet_uptake(fourier: Value) -> Floats:
    """Share of the final uptake taken up by a sheet whose faces are held at a constant strength.

    1 - sum of 8 / ((2n+1)^2 pi^2) exp(-(2n+1)^2 pi^2 F / 4). Below F = 1e-4 the short-time form,
    which is then exact to 1e-12, is used. Raises InputError for a negative Fourier number.
    """
    f = not_negative(fourier, "Fourier number")
    odd = _odd_terms()
    decay = np.exp(-(odd**2) * np.pi**2 * f[..., np.newaxis] / 4.0)
    series = 1.0 - np.sum(8.0 / (odd**2 * np.pi**2) * decay, axis=-1)
    return np.asarray(np.where(f < 1e-4, sheet_uptake_early(f), series))


def sheet_uptake_early(fourier: Value) -> Floats:
    """Short-time form 2 sqrt(F / pi); good to a share of about one half."""
    return np.asarray(2.0 * np.sqrt(not_negative(fourier, "Fourier number") / np.pi))


def sheet_profile(fourier: Value, position: Value) -> Floats:
    """Concentration over that of the surface; ``position`` runs from the middle (0) to a face (1).

    1 - 4/pi sum of (-1)^n / (2n+1) exp(-(2n+1)^2 pi^2 F / 4) cos((2n+1) pi x / 2); shapes
    broadcast. Not for F below 1e-4. Raises InputError for a position outside -1 to 1.
    """
    f, x = np.broadcast_arrays(
        not_negative(fourier, "Fourier number"), within(position, -1.0, 1.0, "position")
    )
    odd = _odd_terms()
    sign = np.where(np.arange(SERIES_TERMS) % 2 == 0, 1.0, -1.0)
    decay = np.exp(-(odd**2) * np.pi**2 * f[..., np.newaxis] / 4.0)
    wave = np.cos(odd * np.pi * x[..., np.newaxis] / 2.0)
    return np.asarray(1.0 - 4.0 / np.pi * np.sum(sign / odd * decay * wave, axis=-1))


def sheet_middle(fourier: Value) -> Floats:
    """Concentration in the middle plane over that of the surface."""
    return sheet_profile(fourier, 0.0)


def bath_roots(volume_ratio: float, count: int = SERIES_TERMS) -> Floats:
    """The first ``count`` positive roots of tan q = -a q, shape (count,).

    ``volume_ratio`` a is liquor volume over (sheet volume x partition). One root lies in each
    interval (n - 1/2) pi to n pi; it is found by bisection to the last bit.
    """
    a = float(positive(volume_ratio, "volume ratio"))
    n = np.arange(1, count + 1, dtype=float)
    low, high = (n - 0.5) * np.pi, n * np.pi
    for _ in range(60):
        middle = 0.5 * (low + high)
        below = np.sin(middle) + a * middle * np.cos(middle)
        # the function changes sign once in the interval; compare with its sign at the left end
        left = np.sin(low) + a * low * np.cos(low)
        same = np.sign(below) == np.sign(left)
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return np.asarray(0.5 * (low + high))


def bath_uptake(fourier: Value, volume_ratio: float) -> Floats:
    """Share of the final uptake taken from a well-stirred bath of limited volume.

    1 - sum of 2a(1+a) / (1 + a + a^2 q^2) exp(-q^2 F), with the roots of :func:`bath_roots`.
    The share of the bath's tannin taken in the end is 1 / (1 + a). Not for F below 1e-4.
    """
    f = not_negative(fourier, "Fourier number")
    a = float(positive(volume_ratio, "volume ratio"))
    q = bath_roots(a)
    weight = 2.0 * a * (1.0 + a) / (1.0 + a + a**2 * q**2)
    return np.asarray(1.0 - np.sum(weight * np.exp(-(q**2) * f[..., np.newaxis]), axis=-1))


def bath_final_share(volume_ratio: Value) -> Floats:
    """Share of what the bath held that the sheet holds in the end: 1 / (1 + a)."""
    return np.asarray(1.0 / (1.0 + positive(volume_ratio, "volume ratio")))


def volume_ratio_of_final_share(final_share: Value) -> Floats:
    """Inverse of :func:`bath_final_share`; the share lies above 0 and below 1."""
    share = within(final_share, 1e-9, 1.0 - 1e-9, "final share")
    return np.asarray(1.0 / share - 1.0)


@dataclass(frozen=True)
class SharpFront:
    """A tanned front that moves into raw pelt, for binding much stronger than transport.

    x^2 = 2 De c t / q. ``bound_g_per_l`` q is tannin held per litre of pelt behind the front,
    ``tannin_g_per_l`` c the strength of the liquor, ``diffusivity_m2_per_s`` De the effective
    diffusivity on the pelt's whole section. g/L equals kg/m3. Attributes broadcast.
    """

    bound_g_per_l: Value
    tannin_g_per_l: Value
    diffusivity_m2_per_s: Value

    def depth_mm(self, days: Value) -> Floats:
        """Depth of the front in mm after ``days``."""
        seconds = not_negative(days, "days") * SECONDS_PER_DAY
        speed = 2.0 * floats(self.diffusivity_m2_per_s) * floats(self.tannin_g_per_l)
        return np.asarray(1000.0 * np.sqrt(speed * seconds / positive(self.bound_g_per_l, "q")))

    def days_to(self, depth_mm: Value) -> Floats:
        """Days until the front stands at ``depth_mm`` (inverse of :meth:`depth_mm`)."""
        depth_m = not_negative(depth_mm, "depth") / 1000.0
        speed = 2.0 * positive(self.diffusivity_m2_per_s, "diffusivity")
        speed = speed * positive(self.tannin_g_per_l, "tannin")
        return np.asarray(floats(self.bound_g_per_l) * depth_m**2 / speed / SECONDS_PER_DAY)


def front_diffusivity_m2_per_s(
    depth_mm: Value, days: Value, tannin_g_per_l: Value, bound_g_per_l: Value
) -> Floats:
    """Effective diffusivity in m2/s implied by a front seen at ``depth_mm`` after ``days``."""
    depth_m = positive(depth_mm, "depth") / 1000.0
    seconds = positive(days, "days") * SECONDS_PER_DAY
    held = positive(bound_g_per_l, "bound tannin")
    return np.asarray(held * depth_m**2 / (2.0 * positive(tannin_g_per_l, "tannin") * seconds))

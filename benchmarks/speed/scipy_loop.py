"""A loop of SciPy's BDF over worlds, one kind of tannin: the peer that a scientist would write.

The right side is vectorised over slabs and cells, everything constant is worked out beforehand, and
the sparsity of the Jacobian is given. The non-tans, which the ensemble solver carries along, are
left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import csc_matrix, lil_matrix

from tanwright.science.uptake.model import face_conductance_mm_per_day
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.schedule import Schedule


@dataclass(frozen=True)
class Curves:
    """Vat [g/L] (k,) and mean degree [g/g] (k, b) of one world at k days."""

    vat: np.ndarray
    degree: np.ndarray


def sparsity(slabs: int, cells: int) -> csc_matrix:
    """Which rates depend on which of free (b, n), bound (b, n) and vat."""
    half = slabs * cells
    free = np.arange(half).reshape(slabs, cells)
    pattern = lil_matrix((2 * half + 1, 2 * half + 1), dtype=np.int8)
    for rows in (free.ravel(), half + free.ravel()):
        pattern[rows, free.ravel()] = 1
        pattern[rows, half + free.ravel()] = 1
    for left, right in ((free[:, :-1], free[:, 1:]), (free[:, 1:], free[:, :-1])):
        pattern[left.ravel(), right.ravel()] = 1
    for face in (free[:, 0], free[:, -1]):
        pattern[face, 2 * half] = 1
        pattern[2 * half, face] = 1
    pattern[2 * half, 2 * half] = 1
    return pattern.tocsc()


def one_world(
    p: UptakeParameters, m: int, schedule: Schedule, days: np.ndarray, cells: int, rtol: float
) -> Curves:
    """World ``m`` at ``days``, on ``cells`` cells per slab, to the relative tolerance ``rtol``."""
    slabs = p.slabs
    half = slabs * cells
    d = p.diffusivity_mm2_per_day[m, 0]
    dx = p.thickness_mm[m] / cells
    film = p.film_mm_per_day[m]
    flesh = face_conductance_mm_per_day(d, film, dx / 2) / dx
    grain = (
        face_conductance_mm_per_day(d, film, dx / 2, p.grain_openness[m], p.thickness_mm[m]) / dx
    )
    inner = (d / dx**2)[:, None]
    litres = p.area_m2[m] * dx
    affinity, capacity = p.affinity_l_per_g[m, 0], p.capacity_g_per_g[m, 0]
    rate, loss = p.binding_per_day[m], p.spoilage_per_day[m]
    hide, pore = p.hide_g_per_l[m], p.pore_share[m]
    pattern = sparsity(slabs, cells)

    def rates(_t: float, y: np.ndarray, volume: float) -> np.ndarray:
        free, bound, vat = y[:half].reshape(slabs, cells), y[half : 2 * half], y[2 * half]
        into = np.empty((slabs, cells + 1))
        np.multiply(inner, free[:, :-1] - free[:, 1:], out=into[:, 1:-1])
        into[:, 0] = flesh * (vat - free[:, 0])
        into[:, -1] = grain * (free[:, -1] - vat)
        loaded = affinity * free.ravel()
        fixing = rate * (capacity * loaded / (1.0 + loaded) - bound)
        change = np.empty_like(y)
        change[:half] = ((into[:, :-1] - into[:, 1:]).ravel() - hide * fixing) / pore
        change[half : 2 * half] = fixing
        change[2 * half] = -(litres @ (into[:, 0] - into[:, -1])) / volume - loss * vat
        return change

    y = np.zeros(2 * half + 1)
    y[-1] = schedule.tannin_g_per_l[m, 0]
    volume = schedule.vat_l
    pours = {q.day: q for q in schedule.pours}
    breaks = sorted({0.0, schedule.end_day, *pours})
    vat, degree = np.empty(days.size), np.empty((days.size, slabs))
    for begin, end in pairwise(breaks):
        if begin in pours:
            q = pours[begin]
            y[-1] = y[-1] * (volume - q.out_l) + q.in_l * q.tannin_g_per_l[m, 0]
            volume += q.in_l - q.out_l
            y[-1] /= volume
        inside = (days > begin) & (days <= end)
        run = solve_ivp(
            rates,
            (begin, end),
            y,
            method="BDF",
            args=(volume,),
            t_eval=np.unique(np.append(days[inside], end)),
            rtol=rtol,
            atol=rtol * 0.1,
            jac_sparsity=pattern,
        )
        kept = run.y[:, : np.count_nonzero(inside)]
        vat[inside] = kept[-1]
        degree[inside] = kept[half : 2 * half].reshape(slabs, cells, -1).mean(axis=1).T
        y = run.y[:, -1]
    return Curves(vat, degree)

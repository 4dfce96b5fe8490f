"""The same equations as ordinary differential equations, handed to SciPy; it shares no code.

State: per slab the free and the bound tannin of every cell, then the vat. Face and binding laws
come from ``model``; cells, fluxes, events and time integration are written here anew.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import lil_matrix

from tanwright.science.uptake.model import equilibrium, face_conductance_mm_per_day
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.schedule import Conditions, Schedule


@dataclass(frozen=True)
class Trace:
    """One world at the asked days: vat (k, s), bound and free g (k, b), profile at the end."""

    vat_g_per_l: np.ndarray
    bound_g: np.ndarray
    free_g: np.ndarray
    profile: np.ndarray


class OneWorld:
    """Rates of change of world ``m`` of an ensemble on ``cells`` equal cells per slab."""

    def __init__(self, p: UptakeParameters, m: int, cells: int) -> None:
        self.p, self.m, self.cells = p, m, cells
        self.shape = (p.slabs, 2, cells, p.kinds)
        self.size = int(np.prod(self.shape))
        self.dx = p.thickness_mm[m] / cells

    def pattern(self) -> np.ndarray:
        """Which rates depend on which unknowns."""
        b, n, s = self.p.slabs, self.cells, self.p.kinds
        index = np.arange(self.size).reshape(self.shape)
        vat = self.size + np.arange(s)
        wide = lil_matrix((self.size + s, self.size + s))
        for slab in range(b):
            for i in range(n):
                here = index[slab, :, i].ravel()
                wide[np.ix_(here, here)] = 1
                for j in (i - 1, i + 1):
                    if 0 <= j < n:
                        wide[np.ix_(here, index[slab, 0, j])] = 1
            for face in (0, n - 1):
                wide[np.ix_(index[slab, :, face].ravel(), vat)] = 1
                wide[np.ix_(vat, index[slab, 0, face])] = 1
        wide[np.ix_(vat, vat)] = 1
        return wide.tocsc()

    def rates(self, y: np.ndarray, volume: float, now: Conditions) -> np.ndarray:
        p, m = self.p, self.m
        pelt, vat = y[: self.size].reshape(self.shape), y[self.size :]
        change = np.zeros_like(y)
        d_pelt, d_vat = change[: self.size].reshape(self.shape), change[self.size :]
        d_vat -= p.spoilage_per_day[m] * now.spoilage * vat
        diffusivity = p.diffusivity_mm2_per_day[m] * now.heat
        film = p.film_mm_per_day[m] * now.film
        for b in range(p.slabs):
            if now.lying is not None and not now.lying[b]:
                continue
            free, bound, dx = pelt[b, 0], pelt[b, 1], self.dx[b]
            flesh = face_conductance_mm_per_day(diffusivity, film, dx / 2)
            grain = face_conductance_mm_per_day(
                diffusivity, film, dx / 2, p.grain_openness[m, b], p.thickness_mm[m, b]
            )
            flux = np.empty((self.cells + 1, p.kinds))  # towards the grain
            flux[0] = flesh * (vat - free[0])
            flux[1:-1] = -diffusivity * np.diff(free, axis=0) / dx
            flux[-1] = grain * (free[-1] - vat)
            target = equilibrium(free, p.capacity_g_per_g[m], p.affinity_l_per_g[m])
            d_pelt[b, 1] = p.binding_per_day[m] * (target - bound)
            arriving = -np.diff(flux, axis=0) / dx
            d_pelt[b, 0] = (arriving - p.hide_g_per_l[m] * d_pelt[b, 1]) / p.pore_share[m]
            d_vat -= p.area_m2[m, b] * (flux[0] - flux[-1]) / volume
        return change


def trace(
    p: UptakeParameters,
    schedule: Schedule,
    days: np.ndarray,
    *,
    member: int = 0,
    cells: int = 32,
    method: str = "BDF",
    rtol: float = 1e-5,
) -> Trace:
    """World ``member`` through ``schedule``, read at ``days``."""
    world = OneWorld(p, member, cells)
    y = np.zeros(world.size + p.kinds)
    y[world.size :] = schedule.tannin_g_per_l[member]
    volume = schedule.vat_l
    pours = sorted(schedule.pours, key=lambda q: q.day)
    changes = sorted(schedule.conditions, key=lambda c: c.day)
    breaks = np.unique([0.0, schedule.end_day, *(q.day for q in pours), *(c.day for c in changes)])
    options = {"jac_sparsity": world.pattern()} if method == "BDF" else {}
    kept = np.empty((days.size, y.size))
    for begin, end in pairwise(breaks):
        for q in pours:
            if q.day == begin:
                vat = y[world.size :] * (volume - q.out_l) + q.in_l * q.tannin_g_per_l[member]
                volume += q.in_l - q.out_l
                y[world.size :] = vat / volume
        now = next(c for c in reversed(changes) if c.day <= begin)
        inside = (days > begin) & (days <= end)
        solution = solve_ivp(
            lambda _t, state, v=volume, c=now: world.rates(state, v, c),
            (begin, end),
            y,
            method=method,
            t_eval=np.unique(np.append(days[inside], end)),
            rtol=rtol,
            atol=rtol * 1e-3,
            **options,
        )
        kept[inside] = solution.y[:, : np.count_nonzero(inside)].T
        y = solution.y[:, -1]
    pelt = kept[:, : world.size].reshape(days.size, *world.shape)
    litres = p.thickness_mm[member] * p.area_m2[member] / cells
    return Trace(
        vat_g_per_l=kept[:, world.size :],
        bound_g=pelt[:, :, 1].sum(axis=(2, 3)) * litres * p.hide_g_per_l[member],
        free_g=pelt[:, :, 0].sum(axis=(2, 3)) * litres * p.pore_share[member],
        profile=y[: world.size].reshape(world.shape)[:, 1].sum(axis=2),
    )

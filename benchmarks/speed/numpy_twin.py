"""The same scheme in vectorised NumPy, one kind of tannin, all worlds and slabs at once.

SDIRK2, Newton with the same tolerance and the same start values, the same elimination with the vat
at the border; work arrays are made once and reused. It keeps no record but the vat and the mean
degree, carries no non-tans and never needs implicit Euler in the benchmark's draws.
"""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.model import face_conductance_mm_per_day
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.schedule import Schedule, cut_into_steps
from tanwright.science.uptake.solver import Resolution
from tanwright.science.uptake.stage import MAX_NEWTON, NEWTON_TOLERANCE
from tanwright.science.uptake.step import GAMMA


class Twin:
    """Work arrays (cells + 2, m, b), cells first so that a cell's worlds lie together."""

    def __init__(self, p: UptakeParameters, cells: int) -> None:
        m, b = p.members, p.slabs
        self.p, self.cells = p, cells
        self.dx = p.thickness_mm / cells
        self.litres = p.area_m2 * self.dx
        self.affinity = p.affinity_l_per_g[:, :1]
        self.capacity = p.capacity_g_per_g[:, :1]
        self.pore, self.hide = p.pore_share[:, None], p.hide_g_per_l[:, None]
        d = p.diffusivity_mm2_per_day[:, :1]
        film = p.film_mm_per_day[:, None]
        self.per_h = np.empty((cells + 2, m, b))
        self.per_h[:] = d / self.dx**2
        self.per_h[1] = face_conductance_mm_per_day(d, film, self.dx / 2) / self.dx
        self.per_h[cells + 1] = (
            face_conductance_mm_per_day(d, film, self.dx / 2, p.grain_openness, p.thickness_mm)
            / self.dx
        )
        self.step, self.to_vat, self.to_next = (np.zeros((cells + 2, m, b)) for _ in range(3))
        self.to_vat[0] = 1.0

    def stage(
        self,
        h: float,
        free: np.ndarray,
        vat: np.ndarray,
        total_base: np.ndarray,
        bound_base: np.ndarray,
        vat_base: np.ndarray,
        volume: float,
        scale: np.ndarray,
    ) -> None:
        """``free`` (cells + 2, m, b) and ``vat`` (m,) from guess to solution, in place."""
        n = self.cells
        p = self.p
        gate = h * self.per_h
        keep = 1.0 / (1.0 + h * p.binding_per_day)[:, None]
        grip = self.hide * (1.0 - keep) * self.capacity * self.affinity
        known = total_base - self.hide * keep * bound_base
        decay = 1.0 + h * p.spoilage_per_day
        flesh, grain = self.litres * gate[1], self.litres * gate[n + 1]
        for _ in range(MAX_NEWTON):
            free[0] = vat[:, None]
            free[n + 1] = vat[:, None]
            change = volume * (vat_base - vat * decay) + (
                flesh * (free[1] - free[0]) + grain * (free[n] - free[0])
            ).sum(axis=1)
            border = volume * decay + (flesh + grain).sum(axis=1)
            inner = free[1 : n + 1]
            share = 1.0 / (1.0 + self.affinity * inner)
            hold = grip * share
            right_side = (
                known
                - (self.pore + hold) * inner
                + gate[1 : n + 1] * (free[:n] - inner)
                + gate[2:] * (free[2:] - inner)
            )
            diagonal = self.pore + hold * share + gate[1 : n + 1] + gate[2:]
            reach = flesh.copy()
            change_of, border_of = np.zeros_like(reach), np.zeros_like(reach)
            for i in range(1, n + 1):
                left = gate[i]
                pivot = 1.0 / (diagonal[i - 1] - left * self.to_next[i - 1])
                np.multiply(left, self.step[i - 1], out=self.step[i])
                self.step[i] += right_side[i - 1]
                self.step[i] *= pivot
                np.multiply(left, self.to_vat[i - 1], out=self.to_vat[i])
                self.to_vat[i] *= pivot
                np.multiply(gate[i + 1], pivot, out=self.to_next[i])
                if i == n:
                    reach += grain
                change_of += reach * self.step[i]
                border_of += reach * self.to_vat[i]
                reach *= self.to_next[i]
            change += change_of.sum(axis=1)
            border -= (border_of + reach).sum(axis=1)
            change /= border
            self.step[1:] += self.to_vat[1:] * change[:, None]
            self.step[n + 1] = change[:, None]
            for i in range(n, 0, -1):
                self.step[i] += self.to_next[i] * self.step[i + 1]
            largest = np.maximum(np.abs(self.step[1 : n + 1]).max(axis=(0, 2)), np.abs(change))
            inner += self.step[1 : n + 1]
            np.maximum(inner, 0.0, out=inner)
            vat += change
            np.maximum(vat, 0.0, out=vat)
            self.step[0] = 0.0
            if np.all(largest < NEWTON_TOLERANCE * scale):
                break
        free[0] = vat[:, None]
        free[n + 1] = vat[:, None]

    def fluxes(self, h: float, free: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """What each cell gained (cells, m, b) per litre, and what the vat lost, g (m,)."""
        through = h * self.per_h[1:] * np.diff(free, axis=0)
        gained = np.diff(through, axis=0)
        lost = (self.litres * (through[-1] - through[0])).sum(axis=1)
        return gained, lost


def solve_in_numpy(
    p: UptakeParameters, schedule: Schedule, resolution: Resolution
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Days (t,), vat (t, m) and mean degree (t, m, b) after every step."""
    twin = Twin(p, resolution.cells)
    steps = cut_into_steps(
        schedule, p.slabs, resolution.steps_per_root_day, resolution.fewest_steps
    )
    pours = sorted(schedule.pours, key=lambda q: q.day)
    shape = (resolution.cells, p.members, p.slabs)
    free = np.zeros((resolution.cells + 2, p.members, p.slabs))
    total = np.zeros(shape)
    vat = schedule.tannin_g_per_l[:, 0].copy()
    scale = np.maximum.reduce([vat, *(q.tannin_g_per_l[:, 0] for q in pours)])
    volume, done = schedule.vat_l, 0
    ratio = (1.0 - GAMMA) / GAMMA
    vats, degrees = [], []
    for t, length in enumerate(steps.length):
        while done < steps.pour_before[t]:
            q = pours[done]
            fresh = volume - q.out_l + q.in_l
            vat = ((volume - q.out_l) * vat + q.in_l * q.tannin_g_per_l[:, 0]) / fresh
            volume, done = fresh, done + 1
        h = GAMMA * length
        loss = h * p.spoilage_per_day
        start = free[1:-1].copy()
        bound = (total - twin.pore * start) / twin.hide
        vat1 = vat.copy()
        twin.stage(h, free, vat1, total, bound, vat, volume, scale)
        gained, lost = twin.fluxes(h, free)
        first = free[1:-1]
        base = total + ratio * gained
        total1 = total + gained
        bound_base = bound + ratio * ((total1 - twin.pore * first) / twin.hide - bound)
        vat_end = vat - lost / volume - loss * vat1
        vat_base = vat + ratio * (vat_end - vat)
        np.maximum(first + ratio * (first - start), 0.0, out=free[1:-1])
        vat2 = np.maximum(vat_base, 0.0)
        twin.stage(h, free, vat2, base, bound_base, vat_base, volume, scale)
        gained, lost = twin.fluxes(h, free)
        total = base + gained
        vat = vat_base - lost / volume - loss * vat2
        vats.append(vat)
        degrees.append(((total - twin.pore * free[1:-1]) / twin.hide).mean(axis=0))
    return steps.start + steps.length, np.array(vats), np.array(degrees)

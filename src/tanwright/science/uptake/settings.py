"""Loads the work arrays of a group of worlds: what depends on the worlds, and on each step."""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.compiled import njit
from tanwright.science.uptake.lanes import (
    AFFINITY,
    CELL_L,
    DECAY,
    FREE,
    GATE,
    GRIP,
    HIDE,
    KEEP,
    LANES,
    PORE,
    ROW_PAIRS,
    ROW_RUNS,
    SCALE,
    SLAB_RUNS,
    TOTAL,
    VAT_PAIRS,
    VAT_RUNS,
    VAT_START,
    Kinds,
)
from tanwright.science.uptake.nontans import DOOR, OLD, RUNS

# Columns of the arrays that come from outside: worlds (m, .), ...
W_RATE, W_PORE, W_HIDE, W_FILM, W_NONTAN, W_SPOILAGE, W_COLOUR, W_LEATHER = range(8)
# ... kinds (m, ., s), slabs (m, ., b), ...
K_DIFFUSIVITY, K_AFFINITY, K_CAPACITY = range(3)
S_THICKNESS, S_AREA, S_OPENNESS = range(3)
# ... steps (t, .) and pours (p, .).
T_LENGTH, T_HEAT, T_SPOILAGE, T_FILM = range(4)
P_OUT, P_IN, P_RETURNED = range(3)


@njit
def conductance(diffusivity: float, film: float, half: float, layer: float, open_: float) -> float:
    """As :func:`.model.face_conductance_mm_per_day`, one number."""
    if open_ <= 0.0:
        return 0.0
    return 1.0 / (1.0 / film + (half + layer * (1.0 / open_ - 1.0)) / diffusivity)


@njit
def load_group(
    kinds: Kinds,
    cells: int,
    members: np.ndarray,
    worlds: np.ndarray,
    skins: np.ndarray,
    vat0: np.ndarray,
    pour_tannin: np.ndarray,
    start_total: np.ndarray,
    start_free: np.ndarray,
    start_nontan: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    vat: np.ndarray,
    doors: np.ndarray,
) -> None:
    """State on day 0, and what stays constant, of the worlds ``members`` (LANES,)."""
    k = len(kinds)
    n = LANES
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    one = k * SLAB_RUNS * n
    for w in range(n):
        m = members[w]
        scale = 1e-12
        for s in range(k):
            vat[(k * VAT_START + s) * n + w] = vat0[m, s]
            scale = max(scale, vat0[m, s])
            for p in range(pour_tannin.shape[0]):
                scale = max(scale, pour_tannin[p, m, s])
        for b in range(pelt.shape[0]):
            slab[b, one + PORE * n + w] = worlds[m, W_PORE]
            slab[b, one + HIDE * n + w] = worlds[m, W_HIDE]
            slab[b, one + CELL_L * n + w] = skins[m, S_AREA, b] * skins[m, S_THICKNESS, b] / cells
            for i in range(cells):
                doors[b, ((i + 1) * RUNS + OLD) * n + w] = start_nontan[m, b, i]
                for s in range(k):
                    at = (i + 1) * size + s * n + w
                    pelt[b, at + k * FREE * n] = start_free[m, b, i, s]
                    pelt[b, at + k * TOTAL * n] = start_total[m, b, i, s]
                    scale = max(scale, start_free[m, b, i, s])
        for b in range(pelt.shape[0]):
            slab[b, one + SCALE * n + w] = scale


@njit
def set_stage(
    kinds: Kinds,
    cells: int,
    h: float,
    now: np.ndarray,
    members: np.ndarray,
    worlds: np.ndarray,
    matter: np.ndarray,
    skins: np.ndarray,
    grain_layer: float,
    pelt: np.ndarray,
    slab: np.ndarray,
    vat: np.ndarray,
) -> None:
    """Everything that depends on the length ``h`` of a stage and the conditions ``now``."""
    k = len(kinds)
    n = LANES
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    end = (cells + 1) * size
    one = k * SLAB_RUNS * n
    decay = (k * VAT_RUNS + k * k * VAT_PAIRS + DECAY) * n
    for w in range(n):
        m = members[w]
        vat[decay + w] = 1.0 + h * worlds[m, W_SPOILAGE] * now[T_SPOILAGE]
        keep = 1.0 / (1.0 + h * worlds[m, W_RATE])
        film = worlds[m, W_FILM] * now[T_FILM]
        for b in range(pelt.shape[0]):
            thickness = skins[m, S_THICKNESS, b]
            dx = thickness / cells
            slab[b, one + KEEP * n + w] = worlds[m, W_HIDE] * keep
            for s in range(k):
                d = matter[m, K_DIFFUSIVITY, s] * now[T_HEAT]
                at = s * n + w
                slab[b, k * AFFINITY * n + at] = matter[m, K_AFFINITY, s]
                grip = worlds[m, W_HIDE] * (1.0 - keep) * matter[m, K_CAPACITY, s]
                slab[b, k * GRIP * n + at] = grip
                at += k * GATE * n
                pelt[b, size + at] = h / dx * conductance(d, film, 0.5 * dx, 0.0, 1.0)
                pelt[b, end + at] = (
                    h
                    / dx
                    * conductance(
                        d, film, 0.5 * dx, grain_layer * thickness, skins[m, S_OPENNESS, b]
                    )
                )
                for i in range(2, cells + 1):
                    pelt[b, i * size + at] = h * d / (dx * dx)


@njit
def set_doors(
    cells: int,
    h: float,
    now: np.ndarray,
    members: np.ndarray,
    worlds: np.ndarray,
    skins: np.ndarray,
    grain_layer: float,
    doors: np.ndarray,
) -> None:
    """The same for the non-tans, whose rows ``doors`` are laid out in :mod:`.nontans`."""
    n = LANES
    size = RUNS * n
    for w in range(n):
        m = members[w]
        d = worlds[m, W_NONTAN] * now[T_HEAT]
        film = worlds[m, W_FILM] * now[T_FILM]
        at = DOOR * n + w
        for b in range(doors.shape[0]):
            thickness = skins[m, S_THICKNESS, b]
            dx = thickness / cells
            doors[b, size + at] = h / dx * conductance(d, film, 0.5 * dx, 0.0, 1.0)
            doors[b, (cells + 1) * size + at] = (
                h
                / dx
                * conductance(d, film, 0.5 * dx, grain_layer * thickness, skins[m, S_OPENNESS, b])
            )
            for i in range(2, cells + 1):
                doors[b, i * size + at] = h * d / (dx * dx)

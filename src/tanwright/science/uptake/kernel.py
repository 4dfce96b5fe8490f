"""The compiled loop over time: sixteen worlds at once, all slabs and kinds of tannin coupled.

Scheme.  Finite volumes on equal cells; time by the two-stage, stiffly accurate, L-stable SDIRK
method of order 2 (Alexander 1977).  A world whose second stage would turn negative has the step
redone by implicit Euler, which keeps signs.  What one world comes to does not depend on the
others of its group.
"""

from __future__ import annotations

import numpy as np

from tanwright.science.uptake.compiled import njit
from tanwright.science.uptake.lanes import (
    ACTIVE,
    BAD,
    FREE,
    LANES,
    LOST,
    ROW_PAIRS,
    ROW_RUNS,
    SLAB_RUNS,
    SLAB_SINGLES,
    TOTAL,
    VAT,
    VAT_BASE,
    VAT_PAIRS,
    VAT_RUNS,
    VAT_SINGLES,
    VAT_START,
    Kinds,
)
from tanwright.science.uptake.nontans import OLD, RUNS, step_nontans
from tanwright.science.uptake.record import record_slab
from tanwright.science.uptake.settings import (
    P_IN,
    P_OUT,
    P_RETURNED,
    S_OPENNESS,
    T_LENGTH,
    load_group,
    set_doors,
    set_stage,
)
from tanwright.science.uptake.stage import begin, solve_stage
from tanwright.science.uptake.step import GAMMA, accept, advance, finish

# Rows of the running account of a group.
POURED_IN, POURED_OUT, SPOILED, REDONE, NEWTON = range(5)


@njit
def pour_into(
    kinds: Kinds,
    litres: np.ndarray,
    volume: float,
    members: np.ndarray,
    tannin: np.ndarray,
    nontans: np.ndarray,
    below: np.ndarray,
    vat: np.ndarray,
    nontan: np.ndarray,
    account: np.ndarray,
    happened: np.ndarray,
) -> float:
    """One pour: ``tannin`` (m, s), ``nontans`` (m,), ``below`` (m,). Returns the new volume."""
    k = len(kinds)
    n = LANES
    fresh: float = volume - litres[P_OUT] + litres[P_IN]
    back = litres[P_OUT] * litres[P_RETURNED]
    stays = volume - litres[P_OUT] + back
    for w in range(n):
        m = members[w]
        standing = nontan[w]
        for s in range(k):
            standing += vat[(k * VAT_START + s) * n + w]
        if standing >= below[m]:
            # Strong enough without it: only the volume follows the plan.
            happened[w] = 0.0
            continue
        happened[w] = 1.0
        for s in range(k):
            at = (k * VAT_START + s) * n + w
            account[POURED_OUT, w] += (litres[P_OUT] - back) * vat[at]
            account[POURED_IN, w] += litres[P_IN] * tannin[m, s]
            vat[at] = (stays * vat[at] + litres[P_IN] * tannin[m, s]) / fresh
        nontan[w] = (stays * nontan[w] + litres[P_IN] * nontans[m]) / fresh
    return fresh


@njit
def redo_by_euler(
    kinds: Kinds,
    cells: int,
    lying: np.ndarray,
    pelt: np.ndarray,
    slab: np.ndarray,
    vat: np.ndarray,
    volume: float,
    only: np.ndarray,
    lanes: int,
) -> None:
    """The step anew by implicit Euler in the lanes where ``only`` is 1; the stage is the step."""
    k = len(kinds)
    n = LANES
    active = (k * VAT_RUNS + k * k * VAT_PAIRS + ACTIVE) * n
    for w in range(n):
        for s in range(k):
            start = vat[(k * VAT_START + s) * n + w]
            vat[(k * VAT + s) * n + w] = start
            vat[(k * VAT_BASE + s) * n + w] = start
        vat[active + w] = only[w]
    solve_stage(kinds, cells, lying, pelt, slab, vat, volume, lanes)
    finish(kinds, cells, lying, pelt, slab, vat, volume, 0.0, lanes)
    accept(kinds, cells, lying, pelt, slab, vat, only, lanes)


@njit
def run(
    kinds: Kinds,
    first: int,
    last: int,
    cells: int,
    worlds: np.ndarray,
    matter: np.ndarray,
    skins: np.ndarray,
    grain_layer: float,
    vat0: np.ndarray,
    nontan0: np.ndarray,
    vat_l: float,
    steps: np.ndarray,
    lying: np.ndarray,
    pour_before: np.ndarray,
    pours: np.ndarray,
    pour_tannin: np.ndarray,
    pour_nontan: np.ndarray,
    pour_below: np.ndarray,
    start_total: np.ndarray,
    start_free: np.ndarray,
    start_nontan: np.ndarray,
    out_vat: np.ndarray,
    out_nontan: np.ndarray,
    out_slab: np.ndarray,
    out_profile: np.ndarray,
    out_account: np.ndarray,
    out_effort: np.ndarray,
    end_total: np.ndarray,
    end_free: np.ndarray,
    end_nontan: np.ndarray,
    poured: np.ndarray,
    lanes: int,
) -> None:
    """Worlds ``first`` to ``last`` through all steps.

    Columns of ``worlds`` (m, 8), ``matter`` (m, 3, s), ``skins`` (m, 3, b), ``steps`` (t, 4) and
    ``pours`` (p, 3) are named in :mod:`.settings`; other arrays as :func:`.solver.solve` lays them
    out. ``lanes`` is LANES, from outside so that the compiler keeps the loops over lanes whole.
    """
    k = len(kinds)
    n = LANES
    slabs = skins.shape[2]
    size = (k * ROW_RUNS + k * k * ROW_PAIRS) * n
    single = (k * VAT_RUNS + k * k * VAT_PAIRS) * n
    pelt = np.zeros((slabs, (cells + 2) * size))
    slab = np.zeros((slabs, (k * SLAB_RUNS + SLAB_SINGLES) * n))
    vat = np.zeros(single + VAT_SINGLES * n)
    doors = np.zeros((slabs, (cells + 2) * RUNS * n))
    nontan = np.zeros(n)
    work = np.zeros(7 * n)
    degree = np.zeros(cells * n)
    account = np.zeros((5, n))
    good = np.ones(n)
    happened = np.zeros(n)
    members = np.zeros(n, np.int64)
    no_profile = np.zeros((0, 0))
    bad = vat[single + BAD * n : single + (BAD + 1) * n]
    lost = vat[single + LOST * n : single + (LOST + 1) * n]
    for group in range(first, last, n):
        live = min(n, last - group)
        volume = vat_l
        account[:, :] = 0.0
        for w in range(n):
            members[w] = min(group + w, last - 1)
            nontan[w] = nontan0[members[w]]
        load_group(
            kinds, cells, members, worlds, skins, vat0, pour_tannin, start_total, start_free,
            start_nontan, pelt, slab, vat, doors,
        )  # fmt: skip
        for b in range(slabs):
            for i in range(1, cells + 1):
                begin(kinds, pelt[b, i * size : (i + 1) * size], slab[b], lanes)
        record = 0
        done = 0
        # Two turns per step: the pours before it, then the step itself.
        for turn in range(-1, 2 * steps.shape[0] + 1):
            t = turn // 2
            if turn >= 0 and turn % 2 == 0:
                if done == pour_before[t]:
                    continue
                while done < pour_before[t]:
                    volume = pour_into(
                        kinds, pours[done], volume, members, pour_tannin[done], pour_nontan[done],
                        pour_below[done], vat, nontan, account, happened,
                    )  # fmt: skip
                    for w in range(live):
                        poured[group + w, done] = happened[w]
                    done += 1
            elif turn >= 0:
                h = GAMMA * steps[t, T_LENGTH]
                set_stage(
                    kinds, cells, h, steps[t], members, worlds, matter, skins, grain_layer, pelt,
                    slab, vat,
                )  # fmt: skip
                newton = advance(kinds, cells, lying[t], pelt, slab, vat, volume, lanes)
                worst = 0.0
                for w in range(n):
                    worst += bad[w]
                    good[w] = 1.0 - bad[w]
                    account[REDONE, w] += bad[w]
                    account[NEWTON, w] += newton
                    account[SPOILED, w] += lost[w] * good[w]
                accept(kinds, cells, lying[t], pelt, slab, vat, good, lanes)
                if worst > 0.0:
                    set_stage(
                        kinds, cells, steps[t, T_LENGTH], steps[t], members, worlds, matter, skins,
                        grain_layer, pelt, slab, vat,
                    )  # fmt: skip
                    only = 1.0 - good
                    redo_by_euler(kinds, cells, lying[t], pelt, slab, vat, volume, only, lanes)
                    for w in range(n):
                        account[SPOILED, w] += lost[w] * only[w]
                set_doors(cells, h, steps[t], members, worlds, skins, grain_layer, doors)
                step_nontans(cells, lying[t], doors, slab, k, volume, nontan, GAMMA, work, lanes)
            for w in range(live):
                m = group + w
                for s in range(k):
                    out_vat[m, record, s] = max(vat[(k * VAT_START + s) * n + w], 0.0)
                out_nontan[m, record] = nontan[w]
                for j in range(3):
                    out_account[m, record, j] = account[j, w]
            for b in range(slabs):
                profile = no_profile
                if out_profile.shape[0] > 0:
                    profile = out_profile[group : group + live, record, b]
                record_slab(
                    kinds, cells, pelt[b], slab[b], worlds, skins[:, S_OPENNESS, b], group, degree,
                    work, out_slab[group : group + live, record, b], profile, lanes, live,
                )  # fmt: skip
            record += 1
        for w in range(live):
            m = group + w
            out_effort[m, 0] = account[REDONE, w]
            out_effort[m, 1] = account[NEWTON, w]
            for b in range(slabs):
                for i in range(cells):
                    end_nontan[m, b, i] = doors[b, ((i + 1) * RUNS + OLD) * n + w]
                    for s in range(k):
                        at = (i + 1) * size + s * n + w
                        end_total[m, b, i, s] = max(pelt[b, at + k * TOTAL * n], 0.0)
                        end_free[m, b, i, s] = pelt[b, at + k * FREE * n]

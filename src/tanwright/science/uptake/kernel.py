"""The compiled inner loop: one world at a time, all slabs and kinds of tannin coupled.

Scheme.  Finite volumes on equal cells; time by the two-stage, stiffly accurate, L-stable SDIRK
method of order 2 (Alexander 1977, gamma = 1 - 1/sqrt 2).  Each stage is an implicit solve of the
same form, with the binding eliminated cell by cell:

    q_s = (q_base_s + h k q*_s(c)) / (1 + h k)

so that Newton works on the free tannin and the vat alone: block tridiagonal per slab (blocks of
kinds x kinds), bordered by the vat, which is removed by its Schur complement.  After Newton the totals
are set from the fluxes, never from the solution, so tannin is conserved to rounding whatever
the tolerance.  A step whose second stage would turn negative is redone by implicit Euler, which
keeps signs.

``kinds`` is a tuple with one entry per kind of tannin. Its length is part of its type, so that the
code is compiled (and kept on disk) once for each number of kinds and its small loops unroll.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

Kinds = tuple[int, ...]

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
MAX_NEWTON = 40
NEWTON_TOLERANCE = 1e-7
"""Largest change of free tannin in the last Newton step, relative to the strongest liquor."""

# Columns of the record of a world, per slab.
SLAB_COLUMNS = (
    "flesh_front",
    "grain_front",
    "flesh_leather",
    "grain_leather",
    "mean_degree",
    "least_degree",
    "face_degree",
    "free_g",
)


@njit(cache=True, nogil=True, error_model="numpy")
def invert(kinds: Kinds, m: np.ndarray, out: np.ndarray) -> None:
    S = len(kinds)
    # Gauss-Jordan without pivoting: the blocks are diagonally dominant M-matrices.
    if S == 1:
        out[0, 0] = 1.0 / m[0, 0]
        return
    for a in range(S):
        for b in range(S):
            out[a, b] = 1.0 if a == b else 0.0
    for p in range(S):
        pivot = 1.0 / m[p, p]
        for b in range(S):
            m[p, b] *= pivot
            out[p, b] *= pivot
        for a in range(S):
            if a != p:
                factor = m[a, p]
                for b in range(S):
                    m[a, b] -= factor * m[p, b]
                    out[a, b] -= factor * out[p, b]


@njit(cache=True, nogil=True, error_model="numpy")
def conductances(
    kinds: Kinds,
    diff: np.ndarray,
    heat: float,
    film: float,
    half: float,
    openness: float,
    layer: float,
) -> tuple[np.ndarray, np.ndarray]:
    S = len(kinds)
    flesh = np.empty(S)
    grain = np.empty(S)
    for s in range(S):
        d = diff[s] * heat
        flesh[s] = 1.0 / (1.0 / film + half / d)
        grain[s] = 0.0
        if openness > 0.0:
            grain[s] = 1.0 / (1.0 / film + (half + layer * (1.0 / openness - 1.0)) / d)
    return flesh, grain


@njit(cache=True, nogil=True, error_model="numpy")
def stage(
    kinds: Kinds,
    h: float,
    volume: float,
    spoil: float,
    c: np.ndarray,
    total: np.ndarray,
    vat: np.ndarray,
    total_base: np.ndarray,
    bound_base: np.ndarray,
    vat_base: np.ndarray,
    lying: np.ndarray,
    area: np.ndarray,
    dx: np.ndarray,
    diff: np.ndarray,
    heat: float,
    gf: np.ndarray,
    gg: np.ndarray,
    affinity: np.ndarray,
    capacity: np.ndarray,
    rate: float,
    eps: float,
    rho: float,
    scale: float,
    y: np.ndarray,
    z: np.ndarray,
    inv: np.ndarray,
    work: np.ndarray,
) -> float:
    """One implicit stage: c and vat guess in, solution out; total out. Returns grams spoiled."""
    S = len(kinds)
    B, N = c.shape[0], c.shape[1]
    a = h * rate / (1.0 + h * rate)
    keep = 1.0 / (1.0 + h * rate)
    block = work[0]
    tmp = work[1]
    border = work[2]
    rhs = np.empty(S)
    loaded = np.empty(S)
    for _ in range(MAX_NEWTON):
        for s in range(S):
            for r in range(S):
                border[s, r] = 0.0
            border[s, s] = volume * (1.0 + h * spoil)
            rhs[s] = volume * (vat_base[s] - vat[s] * (1.0 + h * spoil))
        for b in range(B):
            if not lying[b]:
                continue
            hx = h / dx[b]
            # Forward elimination.
            for i in range(N):
                sigma = 1.0
                for s in range(S):
                    loaded[s] = affinity[s] * c[b, i, s]
                    sigma += loaded[s]
                inv_sigma = 1.0 / sigma
                for s in range(S):
                    lam = hx * diff[s] * heat / dx[b]
                    q = keep * bound_base[b, i, s] + a * capacity[s] * loaded[s] * inv_sigma
                    res = eps * c[b, i, s] + rho * q - total_base[b, i, s]
                    dia = eps
                    if i > 0:
                        res += lam * (c[b, i, s] - c[b, i - 1, s])
                        dia += lam
                    else:
                        res += hx * gf[b, s] * (c[b, i, s] - vat[s])
                        dia += hx * gf[b, s]
                    if i < N - 1:
                        res += lam * (c[b, i, s] - c[b, i + 1, s])
                        dia += lam
                    else:
                        res += hx * gg[b, s] * (c[b, i, s] - vat[s])
                        dia += hx * gg[b, s]
                    y[b, i, s] = -res
                    slope = rho * a * capacity[s] * affinity[s] * inv_sigma
                    for r in range(S):
                        block[s, r] = -slope * c[b, i, s] * affinity[r] * inv_sigma
                        z[b, i, s, r] = 0.0
                    block[s, s] += dia + slope
                    if i == 0:
                        z[b, i, s, s] += hx * gf[b, s]
                    if i == N - 1:
                        z[b, i, s, s] += hx * gg[b, s]
                if i > 0:
                    for s in range(S):
                        lam = hx * diff[s] * heat / dx[b]
                        for r in range(S):
                            lam_r = hx * diff[r] * heat / dx[b]
                            block[s, r] -= lam * inv[b, i - 1, s, r] * lam_r
                    for s in range(S):
                        lam = hx * diff[s] * heat / dx[b]
                        y[b, i, s] += lam * y[b, i - 1, s]
                        for r in range(S):
                            z[b, i, s, r] += lam * z[b, i - 1, s, r]
                invert(kinds, block, inv[b, i])
                # y and z are kept as inverse(block) times the reduced right-hand sides.
                for s in range(S):
                    acc = 0.0
                    for r in range(S):
                        acc += inv[b, i, s, r] * y[b, i, r]
                    loaded[s] = acc
                    for t in range(S):
                        acc = 0.0
                        for r in range(S):
                            acc += inv[b, i, s, r] * z[b, i, r, t]
                        tmp[s, t] = acc
                for s in range(S):
                    y[b, i, s] = loaded[s]
                    for t in range(S):
                        z[b, i, s, t] = tmp[s, t]
            # Back substitution.
            for i in range(N - 2, -1, -1):
                for s in range(S):
                    for r in range(S):
                        lam = hx * diff[r] * heat / dx[b]
                        f = inv[b, i, s, r] * lam
                        y[b, i, s] += f * y[b, i + 1, r]
                        for t in range(S):
                            z[b, i, s, t] += f * z[b, i + 1, r, t]
            ha = h * area[b]
            for s in range(S):
                border[s, s] += ha * (gf[b, s] + gg[b, s])
                rhs[s] += ha * (
                    gf[b, s] * (c[b, 0, s] + y[b, 0, s] - vat[s])
                    + gg[b, s] * (c[b, N - 1, s] + y[b, N - 1, s] - vat[s])
                )
                for t in range(S):
                    border[s, t] -= ha * (gf[b, s] * z[b, 0, s, t] + gg[b, s] * z[b, N - 1, s, t])
        invert(kinds, border, tmp)
        largest = 0.0
        for s in range(S):
            acc = 0.0
            for r in range(S):
                acc += tmp[s, r] * rhs[r]
            loaded[s] = acc
        for s in range(S):
            vat[s] = max(vat[s] + loaded[s], 0.0)
            largest = max(largest, abs(loaded[s]))
        for b in range(B):
            if not lying[b]:
                continue
            for i in range(N):
                for s in range(S):
                    step = y[b, i, s]
                    for t in range(S):
                        step += z[b, i, s, t] * loaded[t]
                    largest = max(largest, abs(step))
                    # A Newton step from the saturated side may overshoot zero.
                    c[b, i, s] = max(c[b, i, s] + step, 0.0)
        if largest < NEWTON_TOLERANCE * scale:
            break
    # Totals from the fluxes of the solution: conservative whatever the tolerance.
    spoiled = 0.0
    for s in range(S):
        spoiled += volume * h * spoil * vat[s]
        mass = volume * (vat_base[s] - h * spoil * vat[s])
        for b in range(B):
            if not lying[b]:
                for i in range(N):
                    total[b, i, s] = total_base[b, i, s]
                continue
            hx = h / dx[b]
            into = gf[b, s] * (vat[s] - c[b, 0, s])
            for i in range(N):
                if i < N - 1:
                    out = diff[s] * heat / dx[b] * (c[b, i, s] - c[b, i + 1, s])
                else:
                    out = gg[b, s] * (c[b, i, s] - vat[s])
                total[b, i, s] = total_base[b, i, s] + hx * (into - out)
                if i == 0:
                    mass -= h * area[b] * into
                if i == N - 1:
                    mass += h * area[b] * out
                into = out
        tmp[0, s] = mass / volume
    for s in range(S):
        vat[s] = tmp[0, s]
    return spoiled


@njit(cache=True, nogil=True, error_model="numpy")
def nontan_stage(
    h: float,
    volume: float,
    n: np.ndarray,
    total: np.ndarray,
    vat_base: float,
    total_base: np.ndarray,
    lying: np.ndarray,
    area: np.ndarray,
    dx: np.ndarray,
    d: float,
    gf: np.ndarray,
    gg: np.ndarray,
    eps: float,
    y: np.ndarray,
    z: np.ndarray,
) -> float:
    """One implicit stage of the unbound non-tans (linear). Returns the vat's strength."""
    B, N = n.shape[0], n.shape[1]
    border = volume
    rhs = volume * vat_base
    for b in range(B):
        if not lying[b]:
            continue
        hx = h / dx[b]
        lam = hx * d / dx[b]
        before = 0.0
        for i in range(N):
            dia = eps
            zz = 0.0
            if i > 0:
                dia += lam
            else:
                dia += hx * gf[b]
                zz += hx * gf[b]
            if i < N - 1:
                dia += lam
            else:
                dia += hx * gg[b]
                zz += hx * gg[b]
            yy = total_base[b, i]
            if i > 0:
                dia -= lam * before * lam
                yy += lam * y[b, i - 1, 0]
                zz += lam * z[b, i - 1, 0, 0]
            before = 1.0 / dia
            n[b, i] = before
            y[b, i, 0] = yy * before
            z[b, i, 0, 0] = zz * before
        for i in range(N - 2, -1, -1):
            f = n[b, i] * lam
            y[b, i, 0] += f * y[b, i + 1, 0]
            z[b, i, 0, 0] += f * z[b, i + 1, 0, 0]
        ha = h * area[b]
        border += ha * (gf[b] + gg[b] - gf[b] * z[b, 0, 0, 0] - gg[b] * z[b, N - 1, 0, 0])
        rhs += ha * (gf[b] * y[b, 0, 0] + gg[b] * y[b, N - 1, 0])
    vat = rhs / border
    mass = volume * vat_base
    for b in range(B):
        if not lying[b]:
            continue
        hx = h / dx[b]
        for i in range(N):
            n[b, i] = y[b, i, 0] + z[b, i, 0, 0] * vat
        into = gf[b] * (vat - n[b, 0])
        mass -= h * area[b] * into
        for i in range(N):
            if i < N - 1:
                out = d / dx[b] * (n[b, i] - n[b, i + 1])
            else:
                out = gg[b] * (n[b, i] - vat)
                mass += h * area[b] * out
            total[b, i] = total_base[b, i] + hx * (into - out)
            into = out
    return mass / volume


@njit(cache=True, nogil=True, error_model="numpy")
def front(q: np.ndarray, threshold: float) -> tuple[float, float]:
    """Shares of the thickness at or above ``threshold`` from either face, cells interpolated."""
    N = q.size
    low = 0
    for i in range(N):
        if q[i] < q[low]:
            low = i
    if q[low] >= threshold:
        share = (low + 0.5) / N
        return share, 1.0 - share
    flesh = 0.0
    i = 0
    while q[i] >= threshold:
        i += 1
    if i == 0:
        face = q[0] + 0.5 * (q[0] - q[min(1, N - 1)])
        if face > threshold:
            flesh = 0.5 * (face - threshold) / (face - q[0])
    else:
        flesh = i - 0.5 + (q[i - 1] - threshold) / (q[i - 1] - q[i])
    grain = 0.0
    j = N - 1
    while q[j] >= threshold:
        j -= 1
    if j == N - 1:
        face = q[j] + 0.5 * (q[j] - q[max(j - 1, 0)])
        if face > threshold:
            grain = 0.5 * (face - threshold) / (face - q[j])
    else:
        grain = N - 1.5 - j + (q[j + 1] - threshold) / (q[j + 1] - q[j])
    return flesh / N, grain / N


@njit(cache=True, nogil=True, error_model="numpy")
def record(
    kinds: Kinds,
    k: int,
    vat: np.ndarray,
    nontan: float,
    c: np.ndarray,
    total: np.ndarray,
    eps: float,
    rho: float,
    area: np.ndarray,
    dx: np.ndarray,
    colour: float,
    leather: float,
    out_vat: np.ndarray,
    out_nontan: np.ndarray,
    out_slab: np.ndarray,
    out_profile: np.ndarray,
    q: np.ndarray,
) -> None:
    S = len(kinds)
    B, N = c.shape[0], c.shape[1]
    for s in range(S):
        out_vat[k, s] = vat[s]
    out_nontan[k] = nontan
    for b in range(B):
        mean = 0.0
        free = 0.0
        least = np.inf
        for i in range(N):
            q[i] = 0.0
            for s in range(S):
                q[i] += (total[b, i, s] - eps * c[b, i, s]) / rho
                free += eps * c[b, i, s]
            mean += q[i]
            least = min(least, q[i])
        f, g = front(q, colour)
        fl, gl = front(q, leather)
        out_slab[k, b, 0] = f
        out_slab[k, b, 1] = g
        out_slab[k, b, 2] = fl
        out_slab[k, b, 3] = gl
        out_slab[k, b, 4] = mean / N
        out_slab[k, b, 5] = least
        out_slab[k, b, 6] = max(q[0], q[N - 1])
        out_slab[k, b, 7] = free * area[b] * dx[b]
        if out_profile.shape[0] > 0:
            for i in range(N):
                out_profile[k, b, i] = q[i]


@njit(cache=True, nogil=True, error_model="numpy")
def run(
    kinds: Kinds,
    first: int,
    last: int,
    cells: int,
    diff: np.ndarray,
    affinity: np.ndarray,
    capacity: np.ndarray,
    rate: np.ndarray,
    pore: np.ndarray,
    hide: np.ndarray,
    thickness: np.ndarray,
    area: np.ndarray,
    film: np.ndarray,
    openness: np.ndarray,
    nontan_diff: np.ndarray,
    spoilage: np.ndarray,
    colour: np.ndarray,
    leather: np.ndarray,
    grain_layer: float,
    vat0: np.ndarray,
    nontan0: np.ndarray,
    vat_l: float,
    step_len: np.ndarray,
    heat: np.ndarray,
    spoil_f: np.ndarray,
    film_f: np.ndarray,
    lying: np.ndarray,
    pour_before: np.ndarray,
    pour_out: np.ndarray,
    pour_in: np.ndarray,
    pour_returned: np.ndarray,
    pour_below: np.ndarray,
    pour_tannin: np.ndarray,
    pour_nontan: np.ndarray,
    start_total: np.ndarray,
    start_free: np.ndarray,
    start_nontan: np.ndarray,
    out_vat: np.ndarray,
    out_nontan: np.ndarray,
    out_slab: np.ndarray,
    out_profile: np.ndarray,
    out_account: np.ndarray,
    end_total: np.ndarray,
    end_free: np.ndarray,
    end_nontan: np.ndarray,
    poured: np.ndarray,
) -> None:
    S = len(kinds)
    B = thickness.shape[1]
    N = cells
    T = step_len.size
    g = GAMMA
    ratio = (1.0 - g) / g
    c = np.zeros((B, N, S))
    c_try = np.zeros((B, N, S))
    total = np.zeros((B, N, S))
    total1 = np.zeros((B, N, S))
    base = np.zeros((B, N, S))
    bound = np.zeros((B, N, S))
    n = np.zeros((B, N))
    ntotal = np.zeros((B, N))
    ntotal1 = np.zeros((B, N))
    nbase = np.zeros((B, N))
    y = np.zeros((B, N, S))
    z = np.zeros((B, N, S, S))
    inv = np.zeros((B, N, S, S))
    work = np.zeros((3, S, S))
    gf = np.zeros((B, S))
    gg = np.zeros((B, S))
    ngf = np.zeros(B)
    ngg = np.zeros(B)
    dx = np.zeros(B)
    vat = np.zeros(S)
    vat1 = np.zeros(S)
    vatb = np.zeros(S)
    vat_sol = np.zeros(S)
    q = np.zeros(N)
    nd = np.zeros(1)
    no_profile = np.zeros((0, B, N))
    keep_profile = out_profile.shape[0] > 0
    for m in range(first, last):
        volume = vat_l
        eps = pore[m]
        rho = hide[m]
        k = rate[m]
        scale = 1e-12
        for s in range(S):
            vat[s] = vat0[m, s]
            scale = max(scale, vat[s])
        for p in range(pour_in.size):
            for s in range(S):
                scale = max(scale, pour_tannin[p, m, s])
        nontan = nontan0[m]
        for b in range(B):
            dx[b] = thickness[m, b] / N
            for i in range(N):
                n[b, i] = start_nontan[m, b, i]
                ntotal[b, i] = eps * start_nontan[m, b, i]
                for s in range(S):
                    c[b, i, s] = start_free[m, b, i, s]
                    total[b, i, s] = start_total[m, b, i, s]
                    scale = max(scale, c[b, i, s])
        spoiled = 0.0
        poured_in = 0.0
        poured_out = 0.0
        halved = 0.0
        prof = out_profile[m] if keep_profile else no_profile
        rec = 0
        record(
            kinds,
            rec,
            vat,
            nontan,
            c,
            total,
            eps,
            rho,
            area[m],
            dx,
            colour[m],
            leather[m],
            out_vat[m],
            out_nontan[m],
            out_slab[m],
            prof,
            q,
        )
        out_account[m, rec, 0] = 0.0
        rec += 1
        done = 0
        for t in range(T + 1):
            if done < pour_before[t]:
                while done < pour_before[t]:
                    out_l = pour_out[done]
                    in_l = pour_in[done]
                    fresh = volume - out_l + in_l
                    standing = nontan
                    for s in range(S):
                        standing += vat[s]
                    if standing >= pour_below[done, m]:
                        # Strong enough without it: only the volume follows the plan.
                        done += 1
                        continue
                    back = out_l * pour_returned[done]
                    for s in range(S):
                        poured_out += (out_l - back) * vat[s]
                        poured_in += in_l * pour_tannin[done, m, s]
                        vat[s] = (
                            (volume - out_l + back) * vat[s] + in_l * pour_tannin[done, m, s]
                        ) / fresh
                    nontan = (
                        (volume - out_l + back) * nontan + in_l * pour_nontan[done, m]
                    ) / fresh
                    volume = fresh
                    poured[m, done] = 1.0
                    done += 1
                record(
                    kinds,
                    rec,
                    vat,
                    nontan,
                    c,
                    total,
                    eps,
                    rho,
                    area[m],
                    dx,
                    colour[m],
                    leather[m],
                    out_vat[m],
                    out_nontan[m],
                    out_slab[m],
                    prof,
                    q,
                )
                out_account[m, rec, 0] = poured_in
                out_account[m, rec, 1] = poured_out
                out_account[m, rec, 2] = spoiled
                rec += 1
            if t == T:
                break
            dt = step_len[t]
            h = g * dt
            spoil = spoilage[m] * spoil_f[t]
            for b in range(B):
                layer = grain_layer * thickness[m, b]
                gf[b], gg[b] = conductances(
                    kinds, diff[m], heat[t], film[m] * film_f[t], 0.5 * dx[b], openness[m, b], layer
                )
                nd[0] = nontan_diff[m] * heat[t]
                ngf[b] = 1.0 / (1.0 / (film[m] * film_f[t]) + 0.5 * dx[b] / nd[0])
                ngg[b] = 0.0
                if openness[m, b] > 0.0:
                    ngg[b] = 1.0 / (
                        1.0 / (film[m] * film_f[t])
                        + (0.5 * dx[b] + layer * (1.0 / openness[m, b] - 1.0)) / nd[0]
                    )
            # Stage 1 from the present state.
            for b in range(B):
                for i in range(N):
                    for s in range(S):
                        bound[b, i, s] = (total[b, i, s] - eps * c[b, i, s]) / rho
                        c_try[b, i, s] = c[b, i, s]
            for s in range(S):
                vat1[s] = vat[s]
            lost1 = stage(
                kinds,
                h,
                volume,
                spoil,
                c_try,
                total1,
                vat1,
                total,
                bound,
                vat,
                lying[t],
                area[m],
                dx,
                diff[m],
                heat[t],
                gf,
                gg,
                affinity[m],
                capacity[m],
                k,
                eps,
                rho,
                scale,
                y,
                z,
                inv,
                work,
            )
            # Stage 2 from the extrapolated base.
            negative = False
            for s in range(S):
                vatb[s] = vat[s] + ratio * (vat1[s] - vat[s])
                vat_sol[s] = vat1[s]
            for b in range(B):
                for i in range(N):
                    for s in range(S):
                        q1 = (total1[b, i, s] - eps * c_try[b, i, s]) / rho
                        bound[b, i, s] += ratio * (q1 - bound[b, i, s])
                        base[b, i, s] = total[b, i, s] + ratio * (total1[b, i, s] - total[b, i, s])
                        if base[b, i, s] < -1e-9 * scale or rho * bound[b, i, s] < -1e-9 * scale:
                            negative = True
            for s in range(S):
                if vatb[s] < 0.0:
                    negative = True
            lost = ratio * lost1
            if not negative:
                lost += stage(
                    kinds,
                    h,
                    volume,
                    spoil,
                    c_try,
                    total1,
                    vat_sol,
                    base,
                    bound,
                    vatb,
                    lying[t],
                    area[m],
                    dx,
                    diff[m],
                    heat[t],
                    gf,
                    gg,
                    affinity[m],
                    capacity[m],
                    k,
                    eps,
                    rho,
                    scale,
                    y,
                    z,
                    inv,
                    work,
                )
                for b in range(B):
                    for i in range(N):
                        for s in range(S):
                            if total1[b, i, s] < eps * c_try[b, i, s] - 1e-9 * scale:
                                negative = True
            if negative:
                # Implicit Euler over the whole step keeps every sign.
                halved += 1.0
                for b in range(B):
                    for i in range(N):
                        for s in range(S):
                            bound[b, i, s] = (total[b, i, s] - eps * c[b, i, s]) / rho
                            c_try[b, i, s] = c[b, i, s]
                for s in range(S):
                    vat_sol[s] = vat[s]
                lost = stage(
                    kinds,
                    dt,
                    volume,
                    spoil,
                    c_try,
                    total1,
                    vat_sol,
                    total,
                    bound,
                    vat,
                    lying[t],
                    area[m],
                    dx,
                    diff[m],
                    heat[t],
                    gf,
                    gg,
                    affinity[m],
                    capacity[m],
                    k,
                    eps,
                    rho,
                    scale,
                    y,
                    z,
                    inv,
                    work,
                )
            spoiled += lost
            for s in range(S):
                vat[s] = vat_sol[s]
            for b in range(B):
                if not lying[t, b]:
                    continue
                for i in range(N):
                    for s in range(S):
                        c[b, i, s] = c_try[b, i, s]
                        total[b, i, s] = total1[b, i, s]
            # Non-tans, the same two stages.
            n1 = nontan_stage(
                h,
                volume,
                n,
                ntotal1,
                nontan,
                ntotal,
                lying[t],
                area[m],
                dx,
                nd[0],
                ngf,
                ngg,
                eps,
                y,
                z,
            )
            nb = nontan + ratio * (n1 - nontan)
            for b in range(B):
                if not lying[t, b]:
                    continue
                for i in range(N):
                    nbase[b, i] = ntotal[b, i] + ratio * (ntotal1[b, i] - ntotal[b, i])
            n1 = nontan_stage(
                h,
                volume,
                n,
                ntotal1,
                nb,
                nbase,
                lying[t],
                area[m],
                dx,
                nd[0],
                ngf,
                ngg,
                eps,
                y,
                z,
            )
            nontan = n1
            for b in range(B):
                if not lying[t, b]:
                    continue
                for i in range(N):
                    ntotal[b, i] = ntotal1[b, i]
            record(
                kinds,
                rec,
                vat,
                nontan,
                c,
                total,
                eps,
                rho,
                area[m],
                dx,
                colour[m],
                leather[m],
                out_vat[m],
                out_nontan[m],
                out_slab[m],
                prof,
                q,
            )
            out_account[m, rec, 0] = poured_in
            out_account[m, rec, 1] = poured_out
            out_account[m, rec, 2] = spoiled
            rec += 1
        out_account[m, 0, 3] = halved
        for b in range(B):
            for i in range(N):
                end_nontan[m, b, i] = ntotal[b, i] / eps
                for s in range(S):
                    end_total[m, b, i, s] = total[b, i, s]
                    end_free[m, b, i, s] = c[b, i, s]

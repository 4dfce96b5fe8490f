"""The ensemble solver against its peers, its scaling, and its share of the machine's peak."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator

import numpy as np

from benchmarks.speed.draws import draw_worlds, strengthened
from benchmarks.speed.numpy_twin import solve_in_numpy
from benchmarks.speed.peak import arithmetic_peak, bandwidth
from benchmarks.speed.scipy_loop import one_world
from tanwright.science.uptake.lanes import LANES, ROW_PAIRS, ROW_RUNS
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.schedule import Schedule
from tanwright.science.uptake.solver import Resolution, solve

MEMBERS, CELLS, DAYS = 1000, 40, 40.0
SKIN_MM = (2.0, 2.7)
RESOLUTION = Resolution(CELLS, 4.0, 4)
SAMPLE = 8
LOOK_DAYS = np.array([0.5, 1.5, 3.0, 6.0, 10.0, 17.0, 28.0, 40.0])

FLOPS_PER_NEWTON = 42
"""Per cell and world with one kind: 33 on the way out (two are divisions), 9 on the way back."""
FLOPS_PER_STAGE = 20
"""Fluxes, bases of the next stage, judgement of signs."""
FLOPS_NONTANS = 25
"""One linear solve per stage."""
FLOPS_PER_RECORD = 10
BYTES_PER_NEWTON = 150
"""Read and written per cell and world in one Newton step: nineteen floats."""

Row = tuple[str, str, str]


def seconds(work: Callable[[], object], times: int = 3, *, wall: bool = False) -> float:
    """Least time of several runs; processor time unless ``wall``."""
    clock = time.perf_counter if wall else time.process_time
    work()
    spent = []
    for _ in range(times):
        begin = clock()
        work()
        spent.append(clock() - begin)
    return min(spent)


def error_of(vat: np.ndarray, degree: np.ndarray, exact: tuple[np.ndarray, np.ndarray]) -> float:
    """Worst error of the vat over 50 g/L and of the degree over 0.6 g/g, in per cent."""
    return 100.0 * max(
        float(np.abs(vat - exact[0]).max()) / 50.0, float(np.abs(degree - exact[1]).max()) / 0.6
    )


def ours(
    world: UptakeParameters, schedule: Schedule, resolution: Resolution, rows: slice = slice(None)
) -> tuple[np.ndarray, np.ndarray]:
    result = solve(world, schedule, resolution=resolution)
    vat = result.at(LOOK_DAYS, result.vat_tannin_g_per_l)[rows, :, 0]
    return vat, result.at(LOOK_DAYS, result.mean_degree)[rows]


def against_scipy(world: UptakeParameters, schedule: Schedule) -> Iterator[Row]:
    """BDF at the loosest tolerance that is at least as exact as the ensemble solver."""
    few = slice(0, SAMPLE)
    stops = Schedule(**{**vars(schedule), "stops": tuple(LOOK_DAYS)})
    exact = [one_world(world, i, schedule, LOOK_DAYS, CELLS, 1e-8) for i in range(SAMPLE)]
    truth = np.array([e.vat for e in exact]), np.array([e.degree for e in exact])
    our_error = error_of(*ours(world, stops, RESOLUTION, few), truth)
    for rtol in (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5):
        begin = time.process_time()
        runs = [one_world(world, i, schedule, LOOK_DAYS, CELLS, rtol) for i in range(SAMPLE)]
        spent = time.process_time() - begin
        got = np.array([e.vat for e in runs]), np.array([e.degree for e in runs])
        their_error = error_of(*got, truth)
        if their_error <= our_error:
            break
    loop = spent / SAMPLE * MEMBERS
    one_core = seconds(lambda: solve(world, schedule, resolution=RESOLUTION, threads=1))
    all_cores = seconds(lambda: solve(world, schedule, resolution=RESOLUTION), wall=True)
    yield "ensemble solver, one core", f"{one_core:.3f} s", f"error {our_error:.3f} %"
    yield "ensemble solver, all cores, wall", f"{all_cores:.3f} s", "other work on them slows it"
    remark = f"rtol {rtol:g}, error {their_error:.3f} %, {SAMPLE} worlds scaled to {MEMBERS}"
    yield "loop of SciPy BDF, one core", f"{loop:.1f} s", remark
    yield "  ratio, one core to one core", f"{loop / one_core:.0f} x", "required: 200 x"
    twin = seconds(lambda: solve_in_numpy(world, schedule, RESOLUTION), times=2)
    day, vat, degree = solve_in_numpy(world.rows(few), pick(stops, few), RESOLUTION)
    at = np.searchsorted(day, LOOK_DAYS - 1e-9)
    twin_error = error_of(vat[at].T, degree[at].swapaxes(0, 1), truth)
    yield "same scheme in NumPy, one core", f"{twin:.2f} s", f"error {twin_error:.3f} %"
    yield "  ratio, one core to one core", f"{twin / one_core:.1f} x", "NumPy keeps fewer results"


def pick(schedule: Schedule, rows: slice) -> Schedule:
    pours = tuple(
        type(q)(q.day, q.out_l, q.in_l, q.tannin_g_per_l[rows], q.nontan_g_per_l[rows])
        for q in schedule.pours
    )
    changed = {
        "tannin_g_per_l": schedule.tannin_g_per_l[rows],
        "nontan_g_per_l": schedule.nontan_g_per_l[rows],
        "pours": pours,
    }
    return Schedule(**{**vars(schedule), **changed})


def exponent(sizes: tuple[int, ...], work: Callable[[int], Callable[[], object]]) -> float:
    """Slope of log time against log size."""
    times = [seconds(work(size), times=4) for size in sizes]
    return float(np.polyfit(np.log(sizes), np.log(times), 1)[0])


def scaling(rng: np.random.Generator) -> Iterator[Row]:
    world = draw_worlds(2000, rng, SKIN_MM)

    def members(m: int) -> Callable[[], object]:
        part, schedule = world.rows(slice(0, m)), strengthened(m, DAYS)
        return lambda: solve(part, schedule, resolution=RESOLUTION, threads=1)

    def cells(n: int) -> Callable[[], object]:
        part, schedule = world.rows(slice(0, 500)), strengthened(500, DAYS)
        return lambda: solve(part, schedule, resolution=Resolution(n, 4.0, 4), threads=1)

    def steps(n: int) -> Callable[[], object]:
        part, schedule = world.rows(slice(0, 500)), strengthened(500, DAYS)
        return lambda: solve(part, schedule, resolution=Resolution(CELLS, n, n), threads=1)

    def days(d: int) -> Callable[[], object]:
        part = world.rows(slice(0, 500))
        block = strengthened(500, 10.0).pours
        pours = tuple(
            type(q)(q.day + 10.0 * k, q.out_l, q.in_l, q.tannin_g_per_l, q.nontan_g_per_l)
            for k in range(d // 10)
            for q in block
        )
        schedule = Schedule(**{**vars(strengthened(500, 10.0)), "end_day": d, "pours": pours})
        return lambda: solve(part, schedule, resolution=RESOLUTION, threads=1)

    for name, sizes, work in (
        ("members", (250, 500, 1000, 2000), members),
        ("cells", (20, 40, 80), cells),
        ("steps", (4, 8, 16), steps),
        ("days, strengthened as often", (10, 20, 40, 80), days),
    ):
        slope = exponent(sizes, work)
        yield f"time grows with {name}^", f"{slope:.2f}", f"{sizes[0]} to {sizes[-1]}; linear is 1"


def share_of_peak(world: UptakeParameters, schedule: Schedule) -> Iterator[Row]:
    result = solve(world, schedule, resolution=RESOLUTION)
    one_core = seconds(lambda: solve(world, schedule, resolution=RESOLUTION, threads=1))
    steps = np.unique(result.day).size - 1
    newton = float(result.newton_steps.mean())
    cells = MEMBERS * world.slabs * CELLS
    flops = cells * (
        FLOPS_PER_NEWTON * newton
        + 2 * steps * (FLOPS_PER_STAGE + FLOPS_NONTANS)
        + result.day.size * FLOPS_PER_RECORD
    )
    row_kb = (ROW_RUNS + ROW_PAIRS) * LANES * 8 / 1024
    work_kb = row_kb * CELLS * world.slabs
    peak, near, far = arithmetic_peak(), bandwidth(work_kb), bandwidth(256 * 1024)
    rate = flops / one_core
    moved = cells * newton * BYTES_PER_NEWTON / one_core
    per_stage = newton / (2 * steps)
    yield "Newton steps per stage", f"{per_stage:.2f}", f"{steps} time steps of two stages"
    yield (
        "arithmetic",
        f"{rate / 1e9:.1f} Gflop/s",
        f"{100 * rate / peak:.0f} % of {peak / 1e9:.0f}",
    )
    yield (
        "traffic of Newton's method",
        f"{moved / 1e9:.0f} GB/s",
        f"{100 * moved / near:.0f} % of {near / 1e9:.0f} (triad in {work_kb:.0f} kB, the work set)",
    )
    yield "main memory", f"{far / 1e9:.0f} GB/s", "triad in 256 MB; only the records go there"


def ensemble_rows() -> Iterator[Row]:
    """All rows on the ensemble solver."""
    rng = np.random.default_rng(7)
    world, schedule = draw_worlds(MEMBERS, rng, SKIN_MM), strengthened(MEMBERS, DAYS)
    yield (
        "the task",
        "",
        f"{MEMBERS} worlds, {DAYS:g} days, {CELLS} cells, {len(SKIN_MM)} slabs, 5 strengthenings",
    )
    yield from against_scipy(world, schedule)
    yield from scaling(rng)
    yield from share_of_peak(world, schedule)

"""Error against cells and steps, for typical draws: ``python -m benchmarks.speed.error_study``.

Prints the table that docs/method/uptake.md keeps, and by which the resolutions were chosen.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from benchmarks.speed.draws import draw_worlds, strengthened
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.result import UptakeResult
from tanwright.science.uptake.schedule import Schedule
from tanwright.science.uptake.solver import Resolution, solve

MEMBERS = 96
REFERENCE = Resolution(cells=192, steps_per_root_day=48.0, fewest_steps=48)
TRIED = (
    Resolution(12, 2.0, 2),
    Resolution(16, 2.0, 2),
    Resolution(16, 3.0, 3),
    Resolution(16, 4.0, 4),
    Resolution(20, 3.0, 3),
    Resolution(24, 4.0, 4),
    Resolution(24, 8.0, 8),
    Resolution(32, 4.0, 4),
    Resolution(32, 6.0, 6),
    Resolution(40, 6.0, 6),
    Resolution(48, 8.0, 8),
    Resolution(64, 12.0, 12),
)
SKINS_MM = ((1.0, 1.4), (2.0, 2.7), (4.0, 5.5))
DAYS = (25.0, 40.0, 120.0)
LEATHER = 0.2
"""Bound tannin, g/g, that the rawest place must reach."""


@dataclass(frozen=True)
class Reading:
    """What is compared: vat [share of 30 g/L], degree [g/g], share through, finish day."""

    vat: np.ndarray
    degree: np.ndarray
    through: np.ndarray
    finish: np.ndarray


def read(result: UptakeResult, end_day: float) -> Reading:
    days = np.linspace(0.05, 1.0, 25) * end_day
    through = result.struck_through
    return Reading(
        vat=result.at(days, result.vat_tannin_g_per_l) / 30.0,
        degree=result.at(days, result.mean_degree),
        through=result.at(days, through),
        finish=result.first_day(result.least_degree.min(axis=2) - LEATHER),
    )


def errors(tried: Reading, exact: Reading) -> dict[str, np.ndarray]:
    """Worst over days and slabs, per world; the finish relative to its day where there is one."""
    both = np.isfinite(exact.finish) & np.isfinite(tried.finish)
    finish = np.abs(tried.finish[both] / exact.finish[both] - 1.0)
    axes = (1, 2)
    return {
        "vat": 100.0 * np.abs(tried.vat - exact.vat).max(axis=axes),
        "degree": 100.0 * np.abs(tried.degree - exact.degree).max(axis=axes),
        "through": 100.0 * np.abs(tried.through - exact.through).max(axis=axes),
        "finish": 100.0 * finish,
    }


def cases(seed: int = 20) -> list[tuple[UptakeParameters, Schedule]]:
    rng = np.random.default_rng(seed)
    return [
        (draw_worlds(MEMBERS, rng, mm), strengthened(MEMBERS, days))
        for mm, days in zip(SKINS_MM, DAYS, strict=True)
    ]


def table() -> str:
    """Markdown; medians and 95th percentiles over worlds of three thicknesses of skin."""
    tannages = cases()
    exact = [read(solve(p, s, resolution=REFERENCE), s.end_day) for p, s in tannages]
    lines = [
        "| cells | steps per root day | steps | strength, % of 30 g/L | degree, g per 100 g "
        "| through, % of thickness | finish, % of its day | ms per 1000 worlds |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for resolution in TRIED:
        found: dict[str, list[np.ndarray]] = {}
        spent = 0.0
        for (world, schedule), truth in zip(tannages, exact, strict=True):
            begin = time.process_time()
            result = solve(world, schedule, resolution=resolution)
            spent += time.process_time() - begin
            for name, value in errors(read(result, schedule.end_day), truth).items():
                found.setdefault(name, []).append(value)
            steps = np.unique(result.day).size - 1
        cells = [
            "{:.2f} ({:.2f})".format(*np.percentile(np.concatenate(found[name]), [50, 95]))
            for name in ("vat", "degree", "through", "finish")
        ]
        spent *= 1e6 / (len(tannages) * MEMBERS)
        head = f"| {resolution.cells} | {resolution.steps_per_root_day:g} | {steps} | "
        lines.append(head + " | ".join(cells) + f" | {spent:.0f} |")
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())

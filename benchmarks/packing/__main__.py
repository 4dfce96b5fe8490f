"""``python -m benchmarks.packing``: patches, bounds, ratios and seconds, as docs/method prints.

``--exact`` also solves every outline exactly on a grid, in seven directions; that takes minutes.
"""

from __future__ import annotations

import argparse
import time

from benchmarks.packing.exact import most_on_grid
from benchmarks.packing.outlines import benchmark_outlines
from tanwright.science.trials.bounds import bounds_of
from tanwright.science.trials.layout import trouble_of
from tanwright.science.trials.packing import pack


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.packing", description=__doc__)
    parser.add_argument("--exact", action="store_true")
    exact = parser.parse_args().exact
    print(
        "| outline | patches | lying any way | best known | bound, alike | bound, area | of best"
        " | of alike | of area | s | s, bounds |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|---|")
    for name, (region, side, best) in benchmark_outlines().items():
        began = time.perf_counter()
        found = pack(region, (side, side))
        packed = time.perf_counter() - began
        loose = pack(region, (side, side), alike=False)
        began = time.perf_counter()
        bounds = bounds_of(region, (side, side), budget=400)
        bounded = time.perf_counter() - began
        assert trouble_of(found, region) < 1e-4
        print(
            f"| {name} | {found.count} | {loose.count} | {best} | {bounds.alike} | {bounds.area}"
            f" | {found.count / best:.0%} | {found.count / bounds.alike:.0%}"
            f" | {found.count / bounds.area:.0%}"
            f" | {packed:.2f} | {bounded:.2f} |",
            flush=True,
        )
        if exact:
            turns = sorted({0.0, 15.0, 30.0, 45.0, 60.0, 75.0, float(found.turns[0])})
            print({turn: most_on_grid(region, side, turn) for turn in turns}, flush=True)


if __name__ == "__main__":
    main()

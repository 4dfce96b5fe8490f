"""``python -m benchmarks.skill``: the long checks of belief, printed as the table of docs/method.

Options: ``--tannages 300 --exact 5 --next 50`` (0 leaves one out) and ``--seed``.
"""

from __future__ import annotations

import argparse
import time

import numpy as np

from benchmarks.skill import calibration, exact, next_reading


def main() -> None:
    """Run the checks and print their tables."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.skill", description=__doc__)
    parser.add_argument("--tannages", type=int, default=300)
    parser.add_argument("--exact", type=int, default=5)
    parser.add_argument("--next", type=int, default=50)
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--quiet", action="store_true")
    asked = parser.parse_args()
    show = not asked.quiet
    if asked.tannages:
        began = time.perf_counter()
        result = calibration.calibrate(asked.tannages, asked.seed, progress=show)
        print(
            f"\nCalibration, {asked.tannages} synthetic tannages, 90 % interval (86 to 94 % wanted)"
        )
        print("| target | held the truth |\n|---|---|")
        for name, share in zip(calibration.TARGETS, result.coverage(), strict=True):
            print(f"| {name} | {share:.1%} |")
        print(f"Smallest effective number of worlds: {result.effective.min():.0f}.")
        print(f"{time.perf_counter() - began:.0f} s.")
    if asked.exact:
        began = time.perf_counter()
        print("\nAgainst emcee (medians within 0.25 sd, sds within 25 %)")
        print(
            "| tannage | readings | worst median, sd | worst sd ratio | targets: median, sd | "
            "targets: sd ratio |"
        )
        print("|---|---|---|---|---|---|")
        for case in exact.compare(asked.seed, cases=asked.exact):
            shifts = ", ".join(f"{s:+.2f}" for s in case.derived_shift)
            ratios = ", ".join(f"{r:.2f}" for r in case.derived_ratio)
            print(
                f"| {case.scenario} | {case.readings} | {case.worst_shift:.2f} | "
                f"{case.worst_ratio:.2f} | {shifts} | {ratios} |"
            )
        print(f"{time.perf_counter() - began:.0f} s. Targets: {', '.join(exact.DERIVED)}.")
    if asked.next:
        began = time.perf_counter()
        found = next_reading.compare(asked.next, asked.seed, progress=show)
        each = np.array([case.correlation() for case in found])
        quick = np.concatenate([np.concatenate([c.quick_finish, c.quick_amount]) for c in found])
        slow = np.concatenate([np.concatenate([c.slow_finish, c.slow_amount]) for c in found])
        print(
            f"\nWhat to measure next, {asked.next} synthetic tannages (rank correlation 0.8 wanted)"
        )
        print("| figure | value |\n|---|---|")
        print(f"| all narrowings together | {next_reading.spearman(quick, slow):.2f} |")
        print(f"| mean over tannages | {each.mean():.2f} |")
        print(f"| median over tannages | {np.median(each):.2f} |")
        print(f"{time.perf_counter() - began:.0f} s.")


if __name__ == "__main__":
    main()

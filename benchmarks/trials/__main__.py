"""``python -m benchmarks.trials``: how often intervals hold the truth, and how long it takes.

Options: ``--trials 300`` of each kind, ``--seed``.
"""

from __future__ import annotations

import argparse
import time

import numpy as np

from benchmarks.trials.making import Noise, make_trial
from tanwright.science.trials.comparison import compare_grades

KINDS: dict[str, dict[str, object]] = {
    "4 treatments x 6 patches, 2 graders, 2 jars each": {"jars": 2},
    "4 x 6, 2 graders, 1 jar each": {},
    "5 x 3, 1 grader, 1 jar each": {"treatments": 5, "patches": 3, "blocks": 3, "graders": 1},
    "3 x 4, 3 graders, 7 steps": {"treatments": 3, "patches": 4, "graders": 3, "steps": 7},
    "4 x 15, 3 graders, 2 jars each": {"patches": 15, "graders": 3, "jars": 2},
    "4 x 6, one better by a step": {"effects": (0.0, 1.0, 0.0, 0.0)},
    "4 x 6, none differs": {"effects": (0.0, 0.0, 0.0, 0.0)},
    "2 x 3, 1 grader": {"treatments": 2, "patches": 3, "blocks": 3, "graders": 1},
    "4 x 6, one block, 2 jars each": {"blocks": 1, "jars": 2},
    "4 x 6, 3 steps, 2 jars each": {"steps": 3, "jars": 2},
    "4 x 6, graders apart by 2.5 steps": {"severity": (-1.5, 0.0, 1.0)},
    "4 x 6, two grades of five missing": {"kept": 0.6, "jars": 2},
    "4 x 6, jars unlike by half a step": {"noise": Noise(jar=0.5)},
}


def main() -> None:
    """Run the made-up trials and print the table of docs/method."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.trials", description=__doc__)
    parser.add_argument("--trials", type=int, default=300)
    parser.add_argument("--seed", type=int, default=20261128)
    asked = parser.parse_args()
    print("| trial | 90 % interval held | width, steps | told at 9 in 10 | of these wrong | ms |")
    print("|---|---|---|---|---|---|")
    for name, kind in KINDS.items():
        rng = np.random.default_rng(asked.seed)
        hits, widths, told, wrong = [], [], 0, 0
        took = 0.0
        for number in range(asked.trials):
            made = make_trial(rng, **kind)  # type: ignore[arg-type]
            began = time.perf_counter()
            found = compare_grades(made.laid, made.looks, seed=number)
            took += time.perf_counter() - began
            against = found.treatment[:, 1:] - found.treatment[:, :1]
            low, high = np.percentile(against, (5.0, 95.0), axis=0)
            truth = made.effects[1:] - made.effects[0]
            hits += list((low <= truth) & (truth <= high))
            widths += list(high - low)
            up = (against > 0.0).mean(axis=0)
            sure = np.maximum(up, 1.0 - up) >= 0.9
            told += int(sure.sum())
            wrong += int((sure & (np.where(up > 0.5, 1.0, -1.0) * truth <= 0.0)).sum())
        share = f"{wrong / told:.1%}" if told else "-"
        print(
            f"| {name} | {np.mean(hits):.1%} | {np.mean(widths):.1f} | "
            f"{told / len(hits):.0%} | {share} | {1000 * took / asked.trials:.0f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()

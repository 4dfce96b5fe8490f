"""Whole processes, as somebody at a terminal waits for them."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from benchmarks.speed.ensemble import Row
from tanwright.cli.progress import NOTICE

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
PLAN = ("-m", "tanwright", "plan", str(EXAMPLES / "first-sheet.toml"), "--today", "2027-03-13")
BLEND = ("-m", "tanwright", "plan", str(EXAMPLES / "sheepskins-two-plants.toml"))
HELP = ("-m", "tanwright", "--help")
NUMPY = ("-c", "import numpy")


@dataclass(frozen=True)
class Spent:
    """Seconds of one process, and what it said on stderr."""

    wall: float
    processor: float
    told: str


def run(command: tuple[str, ...], **more: str) -> Spent:
    environment: Mapping[str, str] = {**os.environ, "PYTHONPATH": str(ROOT / "src"), **more}
    before, begin = os.times(), time.perf_counter()
    done = subprocess.run(
        [sys.executable, *command], env=environment, capture_output=True, check=True, text=True
    )
    wall, after = time.perf_counter() - begin, os.times()
    user = after.children_user - before.children_user
    system = after.children_system - before.children_system
    return Spent(wall, user + system, done.stderr)


def best(command: tuple[str, ...], times: int = 5, **more: str) -> Spent:
    """The quickest of several runs after one that does not count."""
    run(command, **more)
    return min((run(command, **more) for _ in range(times)), key=lambda spent: spent.wall)


def first_and_second(name: str, command: tuple[str, ...], folder: str) -> Iterator[Row]:
    first = run(command, NUMBA_CACHE_DIR=folder)
    warm = best(command, 3, NUMBA_CACHE_DIR=folder)
    said = "says so" if NOTICE in first.told else "says nothing"
    remark = f"{first.processor:.1f} s of processor time; {said}; wanted: 20 s"
    yield f"plan, {name}, first run", f"{first.wall:.1f} s", remark
    remark = f"{warm.processor:.2f} s of processor time; wanted: 3 s"
    yield "  after it", f"{warm.wall:.2f} s", remark
    yield "  ratio, first to later", f"{first.wall / warm.wall:.1f} x", ""


def process_rows() -> Iterator[Row]:
    """Help, a plan, and the first run on a new machine (nothing compiled yet)."""
    bare, shown = best(NUMPY), best(HELP)
    yield "tanwright --help, wall", f"{shown.wall:.2f} s", "wanted: 0.4 s"
    remark = f"which takes {bare.wall:.2f} s"
    yield '  ratio to python -c "import numpy"', f"{shown.wall / bare.wall:.1f} x", remark
    with tempfile.TemporaryDirectory() as folder:
        yield from first_and_second("one plant", PLAN, folder)
        yield from first_and_second("two plants", BLEND, folder)

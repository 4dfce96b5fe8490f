"""Prints the table of speeds and their ratios: ``python -m benchmarks.speed``."""

from __future__ import annotations

import os
import platform

from benchmarks.speed.choosing import choosing_rows
from benchmarks.speed.ensemble import ensemble_rows
from benchmarks.speed.forecasting import forecast_rows
from benchmarks.speed.processes import process_rows

SECTIONS = (process_rows, forecast_rows, ensemble_rows, choosing_rows)
"""Each gives rows (what, figure, remark); a new benchmark is one more function here."""


def machine() -> str:
    """Cores, load and versions: what the figures hang on."""
    load = f", load {os.getloadavg()[0]:.1f} at the start" if hasattr(os, "getloadavg") else ""
    python = f"Python {platform.python_version()}"
    return f"{platform.machine()}, {os.cpu_count()} cores{load}, {python}"


def main() -> None:
    rows = [("the machine", "", machine())]
    rows += [row for section in SECTIONS for row in section()]
    wide = max(len(what) for what, _, _ in rows)
    for what, figure, remark in rows:
        print(f"{what:<{wide}}  {figure:>14}  {remark}".rstrip())


if __name__ == "__main__":
    main()

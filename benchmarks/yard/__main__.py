"""The yard's long measurements: ``python -m benchmarks.yard [kill] [soak] [disk] [pages]``.

Without a name, all of them. ``--short`` is what the tests run.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Final

from benchmarks.speed.__main__ import machine
from benchmarks.yard.kill import killed
from benchmarks.yard.pages import pages
from benchmarks.yard.server import tanwright
from benchmarks.yard.small_disk import refused
from benchmarks.yard.soak import soaked

PARTS: Final = ("kill", "soak", "disk", "pages")
OUTDOORS: Final = ("plants:", "gathering:", "trials:")


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.yard", description=__doc__)
    parser.add_argument("what", nargs="*", choices=[[], *PARTS, "demo-pages"])
    parser.add_argument("--short", action="store_true")
    told = parser.parse_args()
    wanted = told.what or list(PARTS)
    print(machine(), flush=True)
    if "kill" in wanted:
        print(killed(6 if told.short else 200), flush=True)
    if "soak" in wanted:
        print(soaked(8 if told.short else 50, 5.0 if told.short else 120.0), flush=True)
    if "disk" in wanted:
        try:
            print(refused(), flush=True)
        except (subprocess.CalledProcessError, FileNotFoundError) as error:
            print(f"disk: not measured, a small disk cannot be mounted here ({error})")
    if "pages" in wanted:
        print_pages("big-yard")
        # A process sets Django up for one yard only; the demo has what the big yard lacks.
        subprocess.run([sys.executable, "-m", "benchmarks.yard", "demo-pages"], check=True)
    if "demo-pages" in wanted:
        print_pages("demo")


def print_pages(made_by: str) -> None:
    """A table of every page with the yard that a command makes, slowest first."""
    with tempfile.TemporaryDirectory(prefix="yard-pages-") as room:
        tanwright(Path(room), made_by)
        tanwright(Path(room), "backup")
        print(f"{made_by}\n\n| page | ms | kB | queries |\n| --- | ---: | ---: | ---: |")
        for page in pages(Path(room)):
            if made_by == "demo" and not page.name.startswith(OUTDOORS):
                continue
            failed = f" status {page.status}" if page.status != 200 else ""
            over = "" if page.holds else " over"
            print(
                f"| {page.name}{failed}{over} | {page.median_ms:.0f} | {page.kb:.0f} "
                f"| {page.queries} |"
            )


if __name__ == "__main__":
    sys.exit(main())

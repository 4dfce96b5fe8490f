"""Prints how fast records are read and how much memory that takes.

    python -m benchmarks.occurrences [rows]

One million rows when none is said; bars: 60 s and 300 MB.  Each part runs in a process of its own,
so that its peak is its own.
"""

from __future__ import annotations

import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

from benchmarks.occurrences import records

MOST_SECONDS, MOST_MB = 60.0, 300.0


def read_only(path: Path) -> int:
    """Read through and count."""
    from tanwright.planning.occurrences import read

    return read(path, date(2026, 11, 28)).rows


def into_a_yard(path: Path) -> int:
    """Read, count and put down in the database of a new yard, all in one process."""
    folder = tempfile.mkdtemp(dir=path.parent)
    os.environ |= {"TANWRIGHT_YARD": folder, "DJANGO_SETTINGS_MODULE": "tests.yard_settings"}
    import uuid

    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0)
    from tanwright.yard.people.models import Person
    from tanwright.yard.plants import here_services

    keeper = Person.objects.create_user("keeper", role="keeper")
    id = uuid.uuid4()
    here_services.incoming(id).mkdir(parents=True)
    (here_services.incoming(id) / "records").hardlink_to(path)
    done = here_services.begin_import(keeper, id, path.name, "0" * 64)
    assert done.state == "done", done.problem
    return done.rows_read


PARTS = {"read": read_only, "yard": into_a_yard}


def measured(part: str, path: Path) -> tuple[int, float, float]:
    """Rows, seconds and peak in MB of a part, start of Python and imports included."""
    begin = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.occurrences", "--part", part, str(path)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    rows, peak = done.stdout.split()
    return int(rows), time.perf_counter() - begin, float(peak)


def main() -> None:
    if sys.argv[1:2] == ["--part"]:
        rows = PARTS[sys.argv[2]](Path(sys.argv[3]))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        print(rows, peak / (1024 if sys.platform != "darwin" else 1024**2))
        return
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    print(f"{platform.machine()}, {os.cpu_count()} cores{load}, Python {platform.python_version()}")
    failed = False
    with tempfile.TemporaryDirectory() as room:
        table = records.table(Path(room) / "records.tsv", rows)
        archive = records.archive(Path(room) / "records.zip", table)
        for what, part, path in (
            ("a table, read and counted", "read", table),
            ("an archive, read and counted", "read", archive),
            ("an archive, put down in a new yard", "yard", archive),
        ):
            count, seconds, peak = measured(part, path)
            size = path.stat().st_size / 1e6
            print(
                f"{what:<36} {size:5.0f} MB {count:>9} rows {seconds:6.1f} s "
                f"{count / seconds:9.0f} rows/s  peak {peak:4.0f} MB"
            )
            failed |= seconds > MOST_SECONDS or peak > MOST_MB
    sys.exit("over a bar" if failed else 0)


if __name__ == "__main__":
    main()

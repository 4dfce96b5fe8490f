"""Progress of long work on stderr: one line that renews itself, gone when the work is done."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Tell = Callable[[str], None]
"""Called with what is being worked on, in plain words."""


@contextmanager
def shown_progress(*, quiet: bool) -> Iterator[Tell]:
    """A listener for long work.

    On a terminal it shows on stderr what is being worked on and for how long; otherwise, and with
    ``quiet``, it says nothing.  The first run on a machine is announced in any case but ``quiet``.
    """
    if quiet:
        yield _nobody
        return
    if not _compiled_before():
        print(
            "First run on this machine: the solver is being compiled, once, for up to 20 seconds.",
            file=sys.stderr,
            flush=True,
        )
    if not sys.stderr.isatty():
        yield _nobody
        return
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    line = Progress(
        SpinnerColumn(),
        TextColumn("{task.description}", markup=False),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    with line:
        task = line.add_task("thinking")

        def tell(what: str) -> None:
            line.update(task, description=what)

        yield tell


def _nobody(what: str) -> None:
    """Tell nobody."""


def _compiled_before() -> bool:
    """Whether a compiled solver is kept on disk."""
    from pathlib import Path

    from tanwright.science.uptake import kernel

    folder = kernel.run.stats.cache_path
    return folder is not None and any(Path(folder).glob("kernel.run-*.nbi"))

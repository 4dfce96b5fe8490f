"""Progress of long work on stderr: one line that renews itself, gone when the work is done."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

from tanwright.planning.progress import Progress, silent

if TYPE_CHECKING:
    from collections.abc import Iterator


@contextmanager
def shown_progress(*, quiet: bool) -> Iterator[Progress]:
    """A listener for long work.

    On a terminal it draws a bar on stderr; otherwise, and with ``quiet``, it says nothing, except
    that the solver is being compiled when this machine runs it for the first time.
    """
    if quiet:
        yield silent
        return
    terminal = sys.stderr.isatty()
    if not _compiled_before():
        print(
            "First run on this machine: the solver is being compiled, which takes up to 20 seconds"
            " once.",
            file=sys.stderr,
            flush=True,
        )
    if not terminal:
        yield silent
        return
    from rich.console import Console
    from rich.progress import BarColumn, TaskProgressColumn, TextColumn
    from rich.progress import Progress as Bar

    bar = Bar(
        TextColumn("{task.description}"),
        BarColumn(bar_width=24),
        TaskProgressColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    with bar:
        task = bar.add_task("thinking", total=1.0)

        def tell(what: str, share: float) -> None:
            bar.update(task, description=what, completed=min(max(share, 0.0), 1.0))

        yield tell


def _compiled_before() -> bool:
    """Whether a compiled solver is kept on disk."""
    from pathlib import Path

    from tanwright.science.uptake import kernel

    stats = kernel.invert.stats
    folder = stats.cache_path
    return folder is not None and any(Path(folder).glob("kernel.*.nbi"))

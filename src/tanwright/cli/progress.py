"""Progress of long work on stderr: one line that renews itself, gone when the work is done."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Tell = Callable[[str], None]
"""Called with what is being worked on, in plain words."""

NOTICE = (
    "First run of this kind on this machine: the solver is being compiled, once, for about 20 "
    "seconds."
)


@contextmanager
def shown_progress(*, quiet: bool) -> Iterator[Tell]:
    """A listener for long work.

    On a terminal it shows on stderr what is being worked on and for how long; otherwise, and with
    ``quiet``, it says nothing.  When the solver has to be compiled (the first run on a machine, and
    the first with another number of plants in one liquor) that is told in any case but ``quiet``.
    """
    if quiet:
        yield _nobody
        return
    with _compiling_told():
        if not sys.stderr.isatty():
            yield _nobody
            return
        with _renewed_line() as tell:
            yield tell


@contextmanager
def _renewed_line() -> Iterator[Tell]:
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


@contextmanager
def _compiling_told() -> Iterator[None]:
    """Tells of the first compilation that starts meanwhile; what is kept on disk starts none."""
    from numba.core import event

    class Told(event.Listener):
        told = False

        def on_start(self, event: object) -> None:
            if not self.told:
                self.told = True
                print(NOTICE, file=sys.stderr, flush=True)

        def on_end(self, event: object) -> None:
            """The end needs no word."""

    with event.install_listener("numba:compile", Told()):
        yield

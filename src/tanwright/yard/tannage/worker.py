"""The engine in a process beside the server.

Nothing of Django may be imported here: the other process imports this module and has no database.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from datetime import date
from typing import Any, Final, TypeVar

from tanwright.planning.renewal import renewed

Answer = TypeVar("Answer")
MOST_SECONDS: Final = 300.0

_lock = threading.Lock()
_pool: ProcessPoolExecutor | None = None


def compute(
    tables: Mapping[str, object], readings_csv: str, today: date, members: int
) -> dict[str, Any]:
    """As :func:`tanwright.planning.renewal.renewed`, in the other process."""
    return run(renewed, tables, readings_csv, today, members)


def run(work: Callable[..., Answer], *said: object) -> Answer:
    """``work(*said)`` in the other process; both must be such as can be sent there.

    It is started at the first call, and once more when it died.
    """
    for last in (False, True):
        pool = _started()
        try:
            task: Future[Answer] = pool.submit(work, *said)
            return task.result(timeout=MOST_SECONDS)
        except BrokenProcessPool:
            stop()
            if last:
                raise
    raise AssertionError("unreachable")


def warm() -> None:
    """Start the other process in the background, so that the first entry need not wait for it."""
    if _pool is None:
        _started().submit(os.getpid)


def stop(*, wait: bool = False) -> None:
    """Let the other process end; the next call starts another."""
    global _pool
    with _lock:
        ending, _pool = _pool, None
    if ending is not None:
        ending.shutdown(wait=wait, cancel_futures=True)


def _started() -> ProcessPoolExecutor:
    global _pool
    with _lock:
        if _pool is None:
            _pool = ProcessPoolExecutor(
                1, mp_context=multiprocessing.get_context("spawn"), initializer=_settle_in
            )
        return _pool


def _settle_in() -> None:
    """In the other process: give way to whoever serves pages, and compile before the first task."""
    os.nice(10)
    # Ctrl-C reaches the whole terminal; the server ends, and this process with it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    from tanwright.planning.renewal import first_answer

    tables = {"skin": [{"animal": "goat"}], "material": [{"id": "unknown-bark"}]}
    first_answer(tables, date(2026, 1, 1))


def _end_with_the_server() -> None:
    """A server that is killed cannot say so, and an executor's process would wait for ever."""
    server = multiprocessing.parent_process()
    if server is not None:
        server.join()
        os._exit(0)

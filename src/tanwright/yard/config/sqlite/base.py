"""Django's SQLite, with the writers of one process waiting for each other in line.

SQLite lets one writer in at a time, and has the others look again after ever longer naps: with many
phones at once some wait half a second for a lock that was free long before.  Writers of one process
take turns at a lock of its own instead; other processes are kept apart by SQLite as ever.
"""

from __future__ import annotations

import threading
from collections import defaultdict
from typing import Any, Final

from django.db.backends.sqlite3 import base

MOST_WAIT_S: Final = 20.0
"""Longer than any transaction of ours; after it SQLite itself says who may write."""

_turns: defaultdict[str, threading.Lock] = defaultdict(threading.Lock)


class DatabaseWrapper(base.DatabaseWrapper):
    """A connection that waits for its turn before it begins a transaction."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._turn: threading.Lock | None = None

    def _start_transaction_under_autocommit(self) -> None:
        turn = _turns[str(self.settings_dict["NAME"])]
        if self._turn is None and turn.acquire(timeout=MOST_WAIT_S):
            self._turn = turn
        try:
            super()._start_transaction_under_autocommit()  # type: ignore[misc]
        except BaseException:
            self._end_turn()
            raise

    def _commit(self) -> None:
        super()._commit()  # type: ignore[misc]
        # A commit that failed is followed by a rollback, which ends the turn then.
        self._end_turn()

    def _rollback(self) -> None:
        try:
            super()._rollback()  # type: ignore[misc]
        finally:
            self._end_turn()

    def _close(self) -> None:
        try:
            super()._close()  # type: ignore[misc]
        finally:
            self._end_turn()

    def _end_turn(self) -> None:
        turn, self._turn = self._turn, None
        if turn is not None:
            turn.release()

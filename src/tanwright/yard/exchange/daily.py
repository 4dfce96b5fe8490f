"""The daily backup: a thread beside the server that looks whether one is due."""

from __future__ import annotations

import logging
import threading
from datetime import timedelta
from typing import Final

from django.db import connection
from django.utils import timezone

from tanwright.errors import TanwrightError
from tanwright.yard.exchange.backing_up import Backup, backups, make_backup

log = logging.getLogger(__name__)

EVERY: Final = timedelta(hours=24)
LOOK_EVERY_S: Final = 600.0
"""A laptop sleeps at night: what counts is the age of the newest backup, not the hour."""

_started = threading.Lock()
_thread: threading.Thread | None = None


def start() -> None:
    """Begin to make a backup at once if the newest is older than a day, and each day after that.

    Calling it again is a no-op. The thread ends with the process; it also keeps a connection to
    the database open, by which ``tanwright restore`` sees that the yard is in use.
    """
    global _thread
    with _started:
        if _thread is None or not _thread.is_alive():
            _thread = threading.Thread(target=_run, name="daily-backup", daemon=True)
            _thread.start()


def due() -> bool:
    """Whether the newest backup is older than a day, or there is none."""
    present = backups()
    return not present or timezone.now() - present[0].made_at >= EVERY


def once() -> Backup | None:
    """Make the backup that is due. A refusal of the disk is logged, not raised."""
    if not due():
        return None
    try:
        made = make_backup()
    except TanwrightError as error:
        log.error("The daily backup could not be made. %s", error)
        return None
    log.info("Backup made: %s", made.path.name)
    return made


def _run() -> None:
    wait = threading.Event()
    while True:
        try:
            connection.ensure_connection()
            once()
        except Exception:
            log.exception("The daily backup could not be made.")
            connection.close()
        wait.wait(LOOK_EVERY_S)

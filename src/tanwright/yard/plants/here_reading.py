"""Files of occurrence records read in the background, one after the other.

A thread of the server watches the other process that reads, notes how far it is, and then puts the
counts down, some thousand at a time so that others may write between.  Until the last is down the
import does not count; one that breaks off leaves nothing that counts.
"""

from __future__ import annotations

import logging
import multiprocessing
import shutil
import threading
import time
import uuid
from collections.abc import Iterable
from datetime import date
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, cast

from django.conf import settings
from django.db import close_old_connections, connection, connections, models, transaction
from django.utils import timezone

from tanwright.planning.occurrences import Tallies
from tanwright.planning.occurrences.naming import Match
from tanwright.yard.plants import here_worker
from tanwright.yard.plants.here_worker import Told
from tanwright.yard.plants.models import Sighting, SightingsImport

if TYPE_CHECKING:
    Column = models.Field[Any, Any]

log = logging.getLogger(__name__)
State = SightingsImport.State

ROWS_AT_ONCE: Final = 5_000
SIGN_EVERY_S: Final = 1.0
_THREAD: Final = "taking in records"
BROKEN_OFF: Final = {
    "what": "reading it broke off, and nothing of it was taken in",
    "place": "",
    "remedy": "take it in again",
}

_lock = threading.Lock()
_waiting: dict[uuid.UUID, Path] = {}
_busy: uuid.UUID | None = None


def read_soon(id: uuid.UUID, folder: Path) -> None:
    """Have the file ``records`` in ``folder`` read for the import ``id``: at once in tests."""
    if settings.FORECASTS == "inline":
        read_now(id, folder)
        return
    with _lock:
        _waiting[id] = folder
    _next()


def read_now(id: uuid.UUID, folder: Path) -> None:
    """Read it in this very process, and come back when it is done."""
    _read(id, folder, beside=False)


def is_at_work(id: uuid.UUID) -> bool:
    """Whether this server reads it, or will when its turn comes."""
    with _lock:
        return id == _busy or id in _waiting


def fail(id: uuid.UUID, problem: dict[str, str]) -> None:
    """Mark an import as failed; what was put down of it counts for nothing and is let go."""
    from tanwright.yard.plants.here_services import drop_sightings

    SightingsImport.objects.filter(pk=id).update(
        state=State.FAILED, problem=problem, ended_at=timezone.now()
    )
    drop_sightings(id)


def _next() -> None:
    global _busy
    with _lock:
        if _busy is not None or not _waiting:
            return
        id = next(iter(_waiting))
        folder = _waiting.pop(id)
        _busy = id
    threading.Thread(target=_run, args=(id, folder), daemon=True, name=_THREAD).start()


def _run(id: uuid.UUID, folder: Path) -> None:
    global _busy
    close_old_connections()
    try:
        _read(id, folder, beside=True)
    finally:
        connections.close_all()
        with _lock:
            _busy = None
        _next()


def _read(id: uuid.UUID, folder: Path, *, beside: bool) -> None:
    """Read, put down, and let go of the file whatever happens."""
    sign = _Sign(id)
    try:
        name = SightingsImport.objects.values_list("file_name", flat=True).get(pk=id)
        args = (folder / "records", folder, timezone.localdate(), name)
        if beside:
            _watch(args, sign)
        else:
            here_worker.read_into(*args, sign.told)
        if sign.problem is not None:
            fail(id, sign.problem)
        else:
            _put_down(id, *here_worker.take_up(folder), sign)
    except Exception:
        log.exception("the file of import %s could not be taken in", id)
        fail(id, BROKEN_OFF)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


class _Sign:
    """Notes with the import how far it is, once a second at most."""

    def __init__(self, id: uuid.UUID) -> None:
        self._id, self._last = id, 0.0
        self.problem: dict[str, str] | None = None

    def told(self, told: Told) -> None:
        self.problem = told.problem or self.problem
        self.give(rows_read=told.rows, share_read=told.share)

    def give(self, **columns: Any) -> None:
        if time.monotonic() - self._last >= SIGN_EVERY_S:
            self._last = time.monotonic()
            SightingsImport.objects.filter(pk=self._id).update(heard_at=timezone.now(), **columns)


def _watch(args: tuple[Path, Path, date, str], sign: _Sign) -> None:
    """Let another process read, and hear what it says until it ends."""
    context = multiprocessing.get_context("spawn")
    hear, say = context.Pipe(duplex=False)
    process = context.Process(
        target=here_worker.read_beside, args=(*args, say), daemon=True, name="records"
    )
    process.start()
    say.close()
    try:
        while True:
            if hear.poll(SIGN_EVERY_S):
                sign.told(hear.recv())
            else:
                sign.give()
    except EOFError:
        pass
    finally:
        process.join(10)
        process.kill()
        hear.close()


class _Putting:
    """Puts counts into the table of sightings, many with one statement: an object for each of half
    a million rows would take minutes."""

    def __init__(self, id: uuid.UUID) -> None:
        names = ("source", "taxon", "level", "latitude", "longitude", "month", "count", "latest")
        fields = [cast("Column", Sighting._meta.get_field(name)) for name in names]
        quoted = connection.ops.quote_name
        columns = ", ".join(quoted(str(field.column)) for field in fields)
        marks = ", ".join(["%s"] * len(fields))
        table = quoted(Sighting._meta.db_table)
        self._insert = f"INSERT INTO {table} ({columns}) VALUES ({marks})"
        self._source = fields[0].get_db_prep_save(id, connection)
        self._latest = fields[-1]
        self._days: dict[int, Any] = {}

    def down(self, rows: Iterable[tuple[Match, float, float, int, int, int]]) -> None:
        values = [
            (self._source, plant.taxon, plant.level, lat, lon, month, count, self._day(latest))
            for plant, lat, lon, month, count, latest in rows
        ]
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.executemany(self._insert, values)

    def _day(self, ordinal: int) -> Any:
        if ordinal not in self._days:
            day = date.fromordinal(ordinal)
            self._days[ordinal] = self._latest.get_db_prep_save(day, connection)
        return self._days[ordinal]


def _put_down(id: uuid.UUID, found: dict[str, Any], tallies: Tallies, sign: _Sign) -> None:
    SightingsImport.objects.filter(pk=id).update(
        state=State.WRITING, rows_read=found["rows"], share_read=0.0, heard_at=timezone.now()
    )
    put, rows, done = _Putting(id), tallies.by_position().rows(), 0
    while some := list(islice(rows, ROWS_AT_ONCE)):
        put.down(some)
        done += len(some)
        sign.give(share_read=done / len(tallies))
    # The one statement by which all of it begins to count.
    with transaction.atomic():
        SightingsImport.objects.filter(pk=id).update(
            state=State.DONE,
            kind=found["kind"],
            matched=found["matched"],
            genus_only=found["genus_only"],
            others=found["others"],
            refused=found["refused"],
            refusals={"causes": found["causes"], "first": found["first"]},
            first_day=found["first_day"],
            last_day=found["last_day"],
            licence=found["licence"][:500],
            citation=found["citation"],
            share_read=1.0,
            ended_at=timezone.now(),
        )


def wait(seconds: float) -> None:
    """Wait until nothing is being read, ``seconds`` at most."""
    for thread in threading.enumerate():
        if thread.name == _THREAD:
            thread.join(seconds)

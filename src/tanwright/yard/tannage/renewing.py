"""A tannage's plan or forecast made anew after every entry, without holding up whoever wrote it.

The entry is kept first.  A process beside the server then runs the engine; of several entries of
one tannage only the newest state is worked out.  What is stale can be seen in the database
(``Forecast.of_version`` lies behind ``Record.version``), so that nothing is lost when a server is
killed in between: whoever looks at the page next has it made.
"""

from __future__ import annotations

import logging
import threading
import uuid
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.conf import settings
from django.db import close_old_connections, transaction
from django.utils import timezone

from tanwright.planning.keeping import take_back
from tanwright.planning.renewal import renewed
from tanwright.planning.telling.voice import Voice
from tanwright.yard.tannage import worker
from tanwright.yard.tannage.models import Forecast, Tannage
from tanwright.yard.tannage.readings import readings_of
from tanwright.yard.tannage.sheet import tables_of

log = logging.getLogger(__name__)
_PLAIN = Voice("metric")
"""The engine's texts carry more digits than are said; lists are kept in metric words."""


@dataclass(frozen=True)
class Asked:
    """What the engine is asked: the state of a tannage at one version."""

    tannage_id: uuid.UUID
    version: int
    tables: dict[str, Any]
    readings_csv: str
    today: date
    members: int


def asked_of(tannage: Tannage, members: int | None = None) -> Asked:
    """What to ask of the engine for ``tannage`` as it stands now."""
    readings = readings_of(tannage)
    return Asked(
        tannage.pk,
        tannage.version,
        tables_of(tannage),
        readings.text,
        _seen_from(tannage, readings.last_day),
        members or settings.FORECAST_MEMBERS,
    )


def _seen_from(tannage: Tannage, last_day: date | None) -> date:
    """The day taken for today: a vat that is done is seen from its last reading on.

    A reading may lie a day ahead (a phone with a wrong clock), and must not be refused for that.
    """
    today = timezone.localdate()
    if last_day is None:
        return today
    return last_day if tannage.state == Tannage.State.ENDED else max(today, last_day)


def is_stale(tannage: Tannage, latest: Forecast | None) -> bool:
    """Whether something was noted, or a day has passed, since the latest answer."""
    if not (tannage.places.exists() and tannage.materials.exists()):
        return False  # nothing can be worked out yet
    if latest is None:
        return True
    ended = tannage.state == Tannage.State.ENDED
    return latest.of_version < tannage.version or (
        latest.seen_from < timezone.localdate() and not ended
    )


def renew_now(tannage_id: uuid.UUID) -> Forecast | None:
    """Work it out here and keep it; ``None`` for a tannage that has nothing to work out yet."""
    tannage = Tannage.objects.get(pk=tannage_id)
    asked = asked_of(tannage)
    if not asked.tables.get("skin") or not asked.tables.get("material"):
        return None
    return keep(asked, answer_to(asked))


def answer_to(asked: Asked) -> dict[str, Any]:
    """The engine's answer; nothing of the database is touched."""
    return renewed(asked.tables, asked.readings_csv, asked.today, asked.members)


@transaction.atomic
def keep(asked: Asked, found: dict[str, Any]) -> Forecast:
    """Keep an answer with its inputs, and what lists show of it with the tannage."""
    forecast = Forecast.objects.create(
        tannage_id=asked.tannage_id,
        what=found["what"],
        seen_from=asked.today,
        of_version=asked.version,
        tables=asked.tables,
        readings_csv=asked.readings_csv,
        answer=found["answer"],
        problem=found["problem"],
        members=found["members"],
        seconds=found["seconds"],
        data_version=found["data_version"],
    )
    if found["answer"] is not None:
        Tannage.objects.filter(pk=asked.tannage_id).update(**_shown_in_lists(found["answer"]))
    _thin_out(forecast)
    return forecast


def _shown_in_lists(kept: dict[str, Any]) -> dict[str, Any]:
    answer = take_back(kept)
    best = max(answer.measure_next, key=lambda item: item.narrows_finish, default=None)
    step = answer.next_action
    return {
        "next_on": step.date,
        "next_action": step.action,
        "next_headline": _PLAIN.words(step.headline)[:300],
        "next_reason": _PLAIN.words(step.reason)[:500],
        "finish_from": answer.finish.p05,
        "finish_likely": answer.finish.p50,
        "finish_to": answer.finish.p95,
        "worth_what": best.what[:200] if best else "",
        "worth_share": best.narrows_finish if best else None,
    }


def _thin_out(newest: Forecast) -> None:
    """Keep the last plan and the last forecast of each day, and the readings only of today's."""
    others = Forecast.objects.filter(tannage_id=newest.tannage_id).exclude(pk=newest.pk)
    others.filter(what=newest.what, seen_from=newest.seen_from).delete()
    others.filter(what=Forecast.What.FORECAST).exclude(readings_csv="").update(readings_csv="")


# The worker

_lock = threading.Lock()
_waiting: dict[uuid.UUID, None] = {}
"""Tannages to renew, in order; one asked for twice waits once."""
_busy: set[uuid.UUID] = set()
WORKERS = 1
QUICK_MEMBERS = 300
"""Worlds of the first answer after an entry; the full number follows when nothing else waits."""


def renew_soon(tannage_id: uuid.UUID) -> None:
    """Have ``tannage_id`` worked out anew: at once in tests, else by the worker."""
    if settings.FORECASTS == "inline":
        renew_now(tannage_id)
        return
    if settings.FORECASTS == "off":
        return
    with _lock:
        _waiting[tannage_id] = None
    _next()


def is_coming(tannage_id: uuid.UUID) -> bool:
    """Whether this server is at work on it."""
    with _lock:
        return tannage_id in _waiting or tannage_id in _busy


def _next() -> None:
    """Give the worker its next task, if it is free."""
    with _lock:
        free = [id for id in _waiting if id not in _busy]
        if not free or len(_busy) >= WORKERS:
            return
        tannage_id = free[0]
        del _waiting[tannage_id]
        _busy.add(tannage_id)
    threading.Thread(target=_run, args=(tannage_id,), daemon=True, name="renewing").start()


def _run(tannage_id: uuid.UUID) -> None:
    """Read, compute in the other process, keep."""
    close_old_connections()
    try:
        _renew(tannage_id)
    except Exception:
        # The entry is safe; the page says that the forecast is old and asks again when looked at.
        log.exception("the forecast of %s could not be kept", tannage_id)
    finally:
        close_old_connections()
        from django.db import connections

        connections.close_all()
        with _lock:
            _busy.discard(tannage_id)
        _next()


def _renew(tannage_id: uuid.UUID) -> None:
    """First with few worlds, so that the page shows it soon; then with all, if nothing waits."""
    tannage = Tannage.objects.get(pk=tannage_id)
    for members in sorted({min(QUICK_MEMBERS, settings.FORECAST_MEMBERS),
                           settings.FORECAST_MEMBERS}):  # fmt: skip
        asked = asked_of(tannage, members)
        if not asked.tables.get("skin") or not asked.tables.get("material"):
            return
        keep(asked, _compute_or_say_why(asked))
        with _lock:
            if _waiting:
                return


def _compute_or_say_why(asked: Asked) -> dict[str, Any]:
    """The answer; a fault of ours is kept as a problem too, or a page would ask for ever."""
    try:
        return worker.compute(asked.tables, asked.readings_csv, asked.today, asked.members)
    except Exception:
        log.exception("the forecast of %s could not be made", asked.tannage_id)
        return {
            "what": "forecast" if asked.readings_csv else "plan",
            "answer": None,
            "problem": {
                "what": "the forecast could not be worked out",
                "place": "",
                "remedy": "note the next thing all the same; the log is kept, and the terminal "
                "in which the yard runs tells more",
            },
            "members": asked.members,
            "seconds": 0.0,
            "data_version": "",
        }


def renew_if_stale(tannage: Tannage) -> None:
    """Whoever looks at a page whose answer is old has it made anew."""
    if settings.FORECASTS == "worker":
        worker.warm()
    latest = tannage.forecasts.order_by("-made_at").first()
    if is_stale(tannage, latest) and not is_coming(tannage.pk):
        renew_soon(tannage.pk)

"""The schedule and the forecast of every jar, made anew beside the pages.

It is kept with the trial and its jars together with the version that it speaks of; whoever looks at
a page whose forecast is old has it made.  The engine runs in the process that serves the vats.
"""

from __future__ import annotations

import logging
import threading
import uuid
from typing import Any, Final

from django.conf import settings
from django.db import close_old_connections, connections, transaction
from django.utils import timezone

from tanwright.planning.trials.renewal import asked, renewed_trial
from tanwright.yard.tannage import worker
from tanwright.yard.trials import reckoning
from tanwright.yard.trials.jar_readings import readings_of
from tanwright.yard.trials.models import Jar, Trial

log = logging.getLogger(__name__)
MEMBERS: Final = 200
"""Worlds behind each jar; the vats have more, the jars are many."""

_FAILED: Final = (
    "The forecast of the jars could not be worked out. Note the next thing all the same; the log "
    "is kept, and the terminal in which the yard runs tells more."
)
_lock = threading.Lock()
_coming: set[uuid.UUID] = set()


def is_stale(trial: Trial) -> bool:
    """Whether something was noted, or a day has passed, since the forecast was made."""
    if trial.state not in (Trial.State.CUT, Trial.State.RUNNING) or not trial.jars.exists():
        return False
    kept = trial.design.get("schedule")
    if not kept:
        return True
    return bool(
        kept.get("version") != trial.version or kept.get("seen_from") != _today().isoformat()
    )


def is_coming(trial: Trial) -> bool:
    """Whether this server is at work on it."""
    with _lock:
        return trial.pk in _coming


def is_awaited(trial: Trial) -> bool:
    """Whether a forecast will come without anybody doing anything: not where none are made."""
    return settings.FORECASTS != "off" and (is_stale(trial) or is_coming(trial))


def renew_if_stale(trial: Trial) -> None:
    """Have the forecast made: at once in tests, else by the worker. ``trial`` is brought along."""
    if not is_stale(trial) or settings.FORECASTS == "off":
        return
    if settings.FORECASTS == "inline":
        renew_now(trial.pk)
        trial.refresh_from_db()
        return
    with _lock:
        if trial.pk in _coming:
            return
        _coming.add(trial.pk)
    threading.Thread(target=_run, args=(trial.pk,), daemon=True, name="renewing jars").start()


def renew_now(trial_id: uuid.UUID) -> None:
    """Work it out here and keep it."""
    trial = Trial.objects.get(pk=trial_id)
    said = asked_of(trial)
    keep(trial_id, trial.version, renewed_trial(said))


def asked_of(trial: Trial) -> dict[str, Any]:
    """What is asked of the engine about ``trial``."""
    return asked(
        reckoning.jar_plans(trial),
        reckoning.pieces_of(trial),
        reckoning.facts_of(trial),
        _today(),
        min(MEMBERS, settings.FORECAST_MEMBERS),
        readings_of(trial),
    )


@transaction.atomic
def keep(trial_id: uuid.UUID, version: int, found: dict[str, Any]) -> None:
    """Keep what the engine said, with the version that it speaks of."""
    trial = Trial.objects.select_for_update().get(pk=trial_id)
    design = {**trial.design}
    design["schedule"] = {**found, "version": version, "seen_from": _today().isoformat()}
    if trial.begun_at is None:
        # What was believed of the plants before the jars said anything.
        design["before"] = {
            id: pair for row in found.get("jars", []) for id, pair in row["tannin_pct"].items()
        }
    Trial.objects.filter(pk=trial_id).update(design=design)
    by_number = {row["number"]: row for row in found.get("jars", [])}
    jars = list(trial.jars.all())
    for jar in jars:
        jar.forecast = by_number.get(jar.number)
        if jar.forecast and jar.strength_bk is None:
            jar.strength_bk = jar.forecast.get("first_bk")
    Jar.objects.bulk_update(jars, ["forecast", "strength_bk"])


def _run(trial_id: uuid.UUID) -> None:
    """Read, compute in the other process, keep."""
    close_old_connections()
    version = Trial.objects.values_list("version", flat=True).get(pk=trial_id)
    try:
        said = asked_of(Trial.objects.get(pk=trial_id))
        keep(trial_id, version, worker.run(renewed_trial, said))
    except Exception:
        log.exception("the forecast of the jars of %s could not be made", trial_id)
        # Kept as a problem, or a page would ask for ever; the entries are safe.
        keep(trial_id, version, {"problem": _FAILED})
    finally:
        connections.close_all()
        with _lock:
            _coming.discard(trial_id)


def _today() -> Any:
    return timezone.localdate()

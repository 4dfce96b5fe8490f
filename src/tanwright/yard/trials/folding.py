"""Brings the kept columns of a trial and of its jars up to date from its live entries."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

from tanwright.yard.journal.models import Entry
from tanwright.yard.stock.folding import in_order
from tanwright.yard.trials.models import Jar, Trial, TrialPatch

UNBLINDED = "trial.unblinded"
"""Kind of the entry by which a keeper uncovers the treatments."""
FINISHED = "trial.finished"
"""Kind of the entry by which grading is called done."""


@dataclass
class JarNow:
    """A jar as its entries leave it."""

    last_bk: float | None = None
    last_look: str = ""
    last_share: float | None = None
    last_logged_at: datetime | None = None
    ended_at: datetime | None = None


@dataclass
class Standing:
    """A trial as its entries leave it."""

    designed: bool = False
    begun_at: datetime | None = None
    unblinded_at: datetime | None = None
    chosen: str = ""
    finished: bool = False
    graded: bool = False
    jars: dict[int, JarNow] = field(default_factory=dict)

    def state(self, jars: int) -> str:
        """Where it stands, of ``jars`` jars."""
        ended = sum(jar.ended_at is not None for jar in self.jars.values())
        lies = self.begun_at is not None and not ended >= jars > 0
        if self.finished or (self.chosen and not lies):
            return Trial.State.DONE
        if lies:
            return Trial.State.RUNNING
        if self.begun_at:
            return Trial.State.GRADING
        return Trial.State.CUT if self.designed and jars else Trial.State.DRAFT

    @property
    def ended_at(self) -> datetime | None:
        """When the last jar was emptied."""
        ends = [jar.ended_at for jar in self.jars.values()]
        return max((end for end in ends if end), default=None)


def fold(trial_id: uuid.UUID) -> None:
    """Fold the entries of one trial into its kept columns."""
    trial = Trial.objects.get(pk=trial_id)
    now = standing_of(trial_id)
    jars = list(trial.jars.all())
    trial.state = now.state(len(jars))
    trial.begun_at = now.begun_at
    trial.ended_at = now.ended_at if trial.state not in (Trial.State.RUNNING,) else None
    trial.unblinded_at = now.unblinded_at
    trial.chosen = now.chosen
    trial.save(update_fields=["state", "begun_at", "ended_at", "unblinded_at", "chosen"])
    for jar in jars:
        there = now.jars.get(jar.number, JarNow())
        jar.last_bk, jar.last_look = there.last_bk, there.last_look
        jar.last_share, jar.last_logged_at = there.last_share, there.last_logged_at
        if jar.ended_at != there.ended_at:
            jar.ended_at = there.ended_at
            TrialPatch.objects.filter(jar=jar).update(out_at=jar.ended_at)
    Jar.objects.bulk_update(jars, _OF_JARS)


_OF_JARS: Final = ["last_bk", "last_look", "last_share", "last_logged_at", "ended_at"]


def standing_of(trial_id: uuid.UUID) -> Standing:
    """Where a trial stands by its live entries."""
    rows = list(
        Entry.objects.filter(record_id=trial_id)
        .order_by()
        .values("id", "kind", "data", "happened_at", "written_at", "corrects_id", "standing")
    )
    now = Standing()
    for row in in_order(rows):
        _take(now, str(row["kind"]), row["data"], row["happened_at"])
    return now


def _take(now: Standing, kind: str, data: dict[str, Any], at: datetime) -> None:
    if kind == "trial.designed":
        now.designed = True
    elif kind == "trial.started":
        now.begun_at = at
    elif kind == UNBLINDED:
        now.unblinded_at = at
    elif kind == FINISHED:
        now.finished = True
    elif kind == "trial.chosen":
        now.chosen = str(data["treatment"])
    elif "jar" in data:
        _take_jar(now.jars.setdefault(int(data["jar"]), JarNow()), kind, data, at)


def _take_jar(jar: JarNow, kind: str, data: dict[str, Any], at: datetime) -> None:
    jar.last_logged_at = at
    if kind == "trial.strength":
        jar.last_bk = float(data["bk"])
    elif kind == "trial.look":
        jar.last_look = str(data["look"])
    elif kind == "trial.cut":
        jar.last_share = float(data["share"])
    elif kind == "trial.taken_out":
        jar.ended_at = at

"""What a tannage taught about the lots that it used: how much tannin they seem to hold."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from tanwright.errors import DataError
from tanwright.planning.answers import Answer
from tanwright.planning.keeping import take_back
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Forecast, Tannage


@dataclass(frozen=True)
class Lesson:
    """Tannin of one lot, % as it lies: 5 to 95 % before the readings and now."""

    lot: Lot
    name: str
    before_low_pct: float
    before_high_pct: float
    low_pct: float
    high_pct: float
    entry_id: uuid.UUID

    @property
    def is_news(self) -> bool:
        """Whether the range is narrower by its own measure (high over low), or lies elsewhere."""
        if min(self.before_low_pct, self.low_pct) <= 0.0:
            return False
        before, now = self.before_high_pct / self.before_low_pct, self.high_pct / self.low_pct
        moved = (self.high_pct * self.low_pct) / (self.before_high_pct * self.before_low_pct)
        return now < 0.98 * before or not 0.9 < moved < 1.1


def lessons_of(tannage: Tannage) -> list[Lesson]:
    """What the latest forecast believes of each lot against the plan; empty before a reading."""
    latest = _answer(tannage, "-made_at", Forecast.What.FORECAST)
    plan = _answer(tannage, "-made_at", Forecast.What.PLAN) or _answer(tannage, "made_at")
    if latest is None or plan is None:
        return []
    forecast, now = latest
    before = {need.material_id: need for need in plan[1].needs}
    found = []
    uses = list(tannage.materials.exclude(lot=None).select_related("lot"))
    for need in now.needs:
        lots = [use.lot for use in uses if use.material_id == need.material_id and use.lot]
        if len(lots) != 1 or need.material_id not in before:
            continue  # of two lots of one plant nobody can say which one it was
        prior = before[need.material_id].tannin_pct
        entry_id = uuid.uuid5(forecast.pk, f"taught {lots[0].pk}")
        found.append(
            Lesson(lots[0], need.name, prior.p05, prior.p95, need.tannin_pct.p05,
                   need.tannin_pct.p95, entry_id)
        )  # fmt: skip
    return found


def _answer(tannage: Tannage, order: str, *what: str) -> tuple[Forecast, Answer] | None:
    answered = tannage.forecasts.filter(answer__isnull=False).order_by(order)
    found = (answered.filter(what__in=what) if what else answered).first()
    if found is None or found.answer is None:
        return None
    try:
        return found, take_back(found.answer)
    except DataError:
        return None

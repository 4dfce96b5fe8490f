"""The plan and the log of a tannage, gathered for :mod:`tanwright.yard.leather.lessons`."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime

import numpy as np

from tanwright.errors import DataError
from tanwright.planning.answers import Answer
from tanwright.planning.keeping import take_back
from tanwright.units import System
from tanwright.yard.journal.models import Entry
from tanwright.yard.leather.lessons import Advice, Planned, advice, days_between, happened
from tanwright.yard.leather.models import Leather
from tanwright.yard.tannage.models import Forecast, Tannage


def advice_for(leather: Leather, system: System) -> tuple[Advice, ...]:
    """What to do differently next time, from the figures of the tannage of ``leather``."""
    tannage = leather.tannage
    place = tannage.places.filter(skin_id=leather.skin_id).first()
    out_at: datetime | None = place.taken_out_at if place else None
    entries = Entry.objects.filter(record_id=tannage.pk, standing=Entry.Standing.LIVE).order_by(
        "happened_at"
    )
    had: defaultdict[str, float] = defaultdict(float)
    plants: dict[str, str] = {}
    for use in tannage.materials.exclude(lot=None):
        plants[str(use.lot_id)] = use.material_id
        had[use.material_id] += use.have_kg or 0.0
    seen = entries.values_list("kind", "happened_at", "data")
    log = happened(seen, out_at, had, plants)
    return advice(planned_of(tannage, log.days), log, system)


def planned_of(tannage: Tannage, days: int | None) -> Planned | None:
    """The last plan before the skins went in, over the first ``days`` of it."""
    plans = tannage.forecasts.filter(what=Forecast.What.PLAN, answer__isnull=False)
    kept = plans.order_by("-made_at").first()
    if kept is None or kept.answer is None:
        return None
    try:
        answer = take_back(kept.answer)
    except DataError:
        return None
    return Planned(
        days=days_between(answer.start, answer.finish.p50),
        temperature_c=tannage.temperature_c,
        strength_bk=_mean_strength(answer, days),
        need_kg={need.material_id: need.need_kg.p50 for need in answer.needs},
        names={need.material_id: need.name for need in answer.needs},
    )


def _mean_strength(answer: Answer, days: int | None) -> float | None:
    """Mean of the planned strength over time, °Bk."""
    fan = answer.strength_fan
    last = fan.day[-1] if days is None else max(float(days), 1.0)
    inside = (fan.day >= 0.0) & (fan.day <= last)
    if inside.sum() < 2:
        return None
    day, strength = fan.day[inside], fan.p50[inside]
    width = float(day[-1] - day[0])
    return float(np.trapezoid(strength, day)) / width if width > 0.0 else None

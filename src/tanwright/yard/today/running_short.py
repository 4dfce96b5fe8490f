"""Whether the lots suffice for what the open tannages still have to cook.

What a tannage needs of each plant stands in its latest plan or forecast (5th, 50th and 95th
percentile); what was cooked for it since is taken off.  Several tannages that use the same plant
share how strong it is, so that their ranges are added percentile by percentile: when the bark is
weak, it is weak for all of them.
"""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from statistics import NormalDist
from typing import Any, Final

from django.db.models import OuterRef, Subquery
from django.urls import reverse

from tanwright.units import System
from tanwright.yard.journal.due import Due
from tanwright.yard.journal.models import Entry
from tanwright.yard.stock.account import COOKED_FROM
from tanwright.yard.stock.folding import used_kg
from tanwright.yard.stock.plants import name_of
from tanwright.yard.stock.wanting import Claim
from tanwright.yard.stock.wording import short_words, whom_words
from tanwright.yard.tannage.models import Forecast, Tannage, TannageMaterial

_OPEN: Final = (Tannage.State.DRAFT, Tannage.State.PLANNED, Tannage.State.RUNNING)
_Z95: Final = NormalDist().inv_cdf(0.95)
_ENOUGH_TO_COOK_KG: Final = 0.05
"""Less than this still to cook is not worth a word."""

Three = tuple[float, float, float]
Needs = dict[str, Three]
"""Low, likely and high kg by plant."""


@dataclass
class _Wish:
    """What the open tannages want of one plant."""

    low: float = 0.0
    likely: float = 0.0
    high: float = 0.0
    lots: dict[uuid.UUID, float] = field(default_factory=dict)
    """Kilograms left by lot."""
    whom: dict[str, str] = field(default_factory=dict)

    def add(self, need: Three, used: float) -> None:
        self.low += max(need[0] - used, 0.0)
        self.likely += max(need[1] - used, 0.0)
        self.high += max(need[2] - used, 0.0)


def claims() -> tuple[Claim, ...]:
    """What is still to be cooked of each plant, against what is left of its lots (4 queries)."""
    needs = _needs()
    if not needs:
        return ()
    cooked = _cooked(needs)
    wishes: dict[str, _Wish] = {}
    for (tannage_id, material_id), rows in _uses(needs).items():
        need = needs[tannage_id].get(material_id)
        if need is None:
            continue
        wish = wishes.setdefault(material_id, _Wish())
        lots = {use.lot_id: use.left_kg or 0.0 for use in rows if use.lot_id is not None}
        wish.add(need, sum(cooked.get((tannage_id, lot_id), 0.0) for lot_id in lots))
        wish.lots |= lots
        wish.whom[rows[0].title] = reverse("tannage:tannage", args=[tannage_id])
    return tuple(_claim(material_id, wish) for material_id, wish in wishes.items())


def running_short(now: datetime, system: System) -> list[Due]:
    """A word for each plant of which the lots may well not suffice, in the reader's units."""
    found = []
    for claim in claims():
        if not claim.is_short or not claim.lot_ids or claim.likely_kg < _ENOUGH_TO_COOK_KG:
            continue
        found.append(
            Due(
                at=None,
                late=False,
                weight=0.25 + 0.25 * claim.chance_short,
                headline=f"Get more {name_of(claim.material_id)}",
                reason=f"{short_words(claim, system)} Wanted by {whom_words(claim)}.",
                url=reverse("stock:lot", args=[claim.lot_ids[0]]),
                record_id=claim.lot_ids[0],
                kind="short",
            )
        )
    return found


def chance_short(left_kg: float, low: float, likely: float, high: float) -> float:
    """Chance that more than ``left_kg`` is needed, of a need told by its percentiles (kg).

    The logarithm of the need is taken as two halves of normal curves that meet in the middle.
    """
    if high <= 0.0 or likely <= 0.0:
        return 0.0
    if left_kg <= 0.0:
        return 1.0
    side = math.log(high / likely) if left_kg > likely else math.log(likely / max(low, 1e-9))
    spread = max(side / _Z95, 1e-6)
    return 1.0 - NormalDist().cdf(math.log(left_kg / likely) / spread)


def _claim(material_id: str, wish: _Wish) -> Claim:
    left = sum(wish.lots.values())
    return Claim(
        material_id=material_id,
        lot_ids=tuple(wish.lots),
        low_kg=wish.low,
        likely_kg=wish.likely,
        high_kg=wish.high,
        left_kg=left,
        chance_short=chance_short(left, wish.low, wish.likely, wish.high),
        whom=tuple(wish.whom.items()),
    )


def _needs() -> dict[uuid.UUID, Needs]:
    """What the latest answer of each open tannage needs of each plant, kg as it lies."""
    latest = Forecast.objects.filter(tannage=OuterRef("pk"), answer__isnull=False).order_by(
        "-made_at"
    )
    rows = dict(
        Tannage.objects.filter(withdrawn_at__isnull=True, state__in=_OPEN)
        .annotate(latest=Subquery(latest.values("pk")[:1]))
        .exclude(latest=None)
        .values_list("pk", "latest")
    )
    told = _told(list(rows.values()))
    return {pk: told[latest] for pk, latest in rows.items() if latest in told}


_known: dict[uuid.UUID, Needs] = {}
"""Needs by forecast: an answer never changes, and reading one out of its JSON takes its time."""
_MOST_KNOWN: Final = 5000


def _told(forecasts: list[uuid.UUID]) -> dict[uuid.UUID, Needs]:
    new = [pk for pk in forecasts if pk not in _known]
    if new:
        if len(_known) > _MOST_KNOWN:
            _known.clear()
        rows = Forecast.objects.filter(pk__in=new).values_list("pk", "answer__needs")
        _known.update({pk: _by_plant(needs) for pk, needs in rows if isinstance(needs, list)})
    return {pk: _known[pk] for pk in forecasts if pk in _known}


def _by_plant(needs: Iterable[Any]) -> Needs:
    found: Needs = {}
    for need in needs:
        if not isinstance(need, Mapping):
            continue
        kg = need.get("need_kg")
        if not isinstance(kg, Mapping):
            continue
        try:
            three = (float(kg["p05"]), float(kg["p50"]), float(kg["p95"]))
        except (KeyError, TypeError, ValueError):
            continue  # an answer of an older version, or an amount beyond all bounds
        if not all(map(math.isfinite, three)):
            continue
        known = found.get(str(need.get("material_id")), (0.0, 0.0, 0.0))
        found[str(need.get("material_id"))] = (
            known[0] + three[0],
            known[1] + three[1],
            known[2] + three[2],
        )
    return found


def _cooked(tannages: Iterable[uuid.UUID]) -> dict[tuple[uuid.UUID, uuid.UUID], float]:
    """Kilograms of each lot that were cooked for each tannage, by (tannage, lot)."""
    found: dict[tuple[uuid.UUID, uuid.UUID], float] = {}
    rows = Entry.objects.filter(
        record__in=list(tannages), standing=Entry.Standing.LIVE, touches__role=COOKED_FROM
    ).values_list("record_id", "touches__record_id", "data")
    for tannage_id, lot_id, data in rows:
        key = (tannage_id, lot_id)
        found[key] = found.get(key, 0.0) + used_kg(data, lot_id)
    return found


@dataclass(frozen=True)
class _Use:
    """A lot that a tannage uses, or a plant that it waits for."""

    title: str
    lot_id: uuid.UUID | None
    left_kg: float | None


def _uses(tannages: Iterable[uuid.UUID]) -> dict[tuple[uuid.UUID, str], list[_Use]]:
    """What each tannage uses, by (tannage, plant). Few columns: records are slow to make."""
    found: dict[tuple[uuid.UUID, str], list[_Use]] = {}
    rows = TannageMaterial.objects.filter(tannage__in=list(tannages)).values_list(
        "tannage_id", "material_id", "tannage__name", "tannage__number", "lot_id", "lot__left_kg"
    )
    for tannage_id, material_id, name, number, lot_id, left_kg in rows:
        use = _Use(name or f"Tannage {number}", lot_id, left_kg)
        found.setdefault((tannage_id, material_id), []).append(use)
    return found

"""Whatever is done to a lot and its liquors: taking it all back brings back what was before."""

from __future__ import annotations

import random
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.services import restore, withdraw
from tanwright.yard.liquors import services
from tanwright.yard.liquors.folding import fold
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.people.models import Person
from tanwright.yard.stock import services as stock
from tanwright.yard.stock.models import Lot

NOW = timezone.now() - timedelta(days=9)
KEPT = (
    "where", "state", "volume_l", "over_l", "strength_bk", "strength_how", "expected_bk",
    "materials", "made_at",
)  # fmt: skip

steps = st.lists(
    st.tuples(
        st.sampled_from(
            ("joined", "strength", "thinned", "thrown", "measured", "spent", "cooked", "used_up")
        ),
        st.integers(0, 1),
        st.floats(0.5, 30.0),
        st.integers(0, 200),
    ),
    min_size=1,
    max_size=7,
)


def state_of(lot: Lot, liquors: list[Liquor]) -> list[Any]:
    lot.refresh_from_db()
    found: list[Any] = [(lot.left_kg, lot.over_kg, lot.got_kg, lot.skins_likely)]
    for liquor in liquors:
        liquor.refresh_from_db()
        found.append(tuple(getattr(liquor, name) for name in KEPT))
    return found


def do(step: tuple[str, int, float, int], lot: Lot, pair: list[Liquor], by: Person) -> Entry:
    what, which, amount, hours = step
    one, other = pair[which], pair[1 - which]
    when = NOW + timedelta(hours=hours)
    if what == "joined":
        return services.join(one, other, by, litres=amount, happened_at=when).entry
    if what == "strength":
        return services.read_strength(one, amount, "bk", by, happened_at=when).entry
    if what == "cooked":
        services.cook(by, {lot: 1.0}, 5.0 + amount, into=one, happened_at=when)
        return Entry.objects.filter(record=one, kind="liquor.cooked").latest("written_at")
    data = {"litres": amount} if what in ("thinned", "thrown", "measured") else {}
    return services.log(one, f"liquor.{what}", data, by, happened_at=when).entry


@pytest.mark.django_db
@given(steps, st.randoms(use_true_random=False))
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_taking_all_back_brings_all_back(
    keeper: Person, told: list[tuple[str, int, float, int]], order: random.Random
) -> None:
    lot = stock.new_lot(keeper, "quercus-robur-bark", kg=10.0, happened_at=NOW)
    pair = [
        services.cook(keeper, {lot: 2.0}, 12.0, volume_l=8.0 + n, happened_at=NOW) for n in (0, 1)
    ]
    before = state_of(lot, pair)
    entries = [do(step, lot, pair, keeper) for step in told]
    after = state_of(lot, pair)
    order.shuffle(entries)
    for entry in entries:
        withdraw(entry, keeper)
    assert state_of(lot, pair) == before
    for entry in reversed(entries):
        restore(entry, keeper)
    assert state_of(lot, pair) == after
    fold(pair[0].pk)
    assert state_of(lot, pair) == after

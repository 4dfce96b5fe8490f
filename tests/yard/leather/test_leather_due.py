"""What finishing asks for on Today."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from tanwright.planning.finishing import due as engine_due
from tanwright.yard.journal.services import withdraw_record
from tanwright.yard.leather import queries
from tanwright.yard.leather.models import Leather
from tests.yard.leather.conftest import OUT


def test_a_leather_fresh_from_the_vat_wants_rinsing_soon(leather: Any) -> None:
    Leather.objects.filter(pk=leather.pk).update(created_at=OUT)
    (found,) = queries.due(OUT + timedelta(hours=2))
    assert found.headline.endswith("rinse")
    assert not found.late
    (later,) = queries.due(OUT + timedelta(hours=20))
    assert later.late
    assert later.record_id == leather.pk


def test_a_stage_that_runs_is_looked_at_when_it_is_likely_done(leather: Any, note: Any) -> None:
    note(leather, "stage_begun", {"stage": "dry", "temperature_c": 18.0})
    when = engine_due("dry", OUT + timedelta(hours=1), 18.0)
    (found,) = queries.due(when.earliest)
    assert (found.at, found.late) == (when.likely, False)
    (found,) = queries.due(when.latest + timedelta(hours=1))
    assert found.late
    assert "Done when" in found.reason


def test_a_finished_one_wants_only_a_weight(leather: Any, note: Any) -> None:
    note(leather, "stage_ended", {"stage": "stake", "looked": "done"})
    (found,) = queries.due(OUT + timedelta(days=3))
    assert (found.at, found.late) == (None, False)
    assert "weigh" in found.headline
    note(leather, "weighed", {"kg": 0.8, "state": "dry"})
    assert queries.due(OUT + timedelta(days=3)) == []


def test_a_withdrawn_one_asks_for_nothing(leather: Any, keeper: Any) -> None:
    withdraw_record(leather, keeper)
    assert queries.due(OUT) == []


def test_it_takes_two_queries(leather: Any, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(2):
        queries.due(OUT)


@pytest.mark.parametrize("hours", [0, 5, 5000])
def test_weights_stay_between_nought_and_one(leather: Any, hours: float) -> None:
    assert all(0.0 <= due.weight <= 1.0 for due in queries.due(OUT + timedelta(hours=hours)))

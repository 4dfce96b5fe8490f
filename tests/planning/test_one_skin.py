"""Material for one skin agrees with what a plan of the same skin reckons."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError
from tanwright.planning.one_skin import USUAL, for_one_skin
from tests.planning.tannages import plan


def test_it_is_what_a_plan_of_that_skin_needs():
    answer = plan(
        skin=[{"animal": "goat"}], material_have=None, vat={}, aim={"start": "2026-03-01"}
    )
    need = answer.needs[0].need_kg
    alone = for_one_skin(answer.needs[0].material_id, "goat").kg
    assert alone.p50 == pytest.approx(need.p50, rel=0.15)
    assert alone.p05 == pytest.approx(need.p05, rel=0.25)
    assert alone.p95 == pytest.approx(need.p95, rel=0.25)


def test_larger_skins_take_more_and_fresh_bark_more_than_dry():
    dry = [for_one_skin("quercus-robur-bark", animal).kg.p50 for animal in USUAL]
    assert dry == sorted(dry)
    fresh = for_one_skin("quercus-robur-bark", "goat", "fresh").kg.p50
    assert fresh > 1.3 * dry[USUAL.index("goat")]


def test_stronger_stuff_takes_less():
    sumac, oak = (
        for_one_skin(id, "goat").kg.p50 for id in ("rhus-coriaria-leaf", "quercus-robur-bark")
    )
    assert sumac < oak


def test_it_refuses_what_it_does_not_know():
    with pytest.raises(InputError):
        for_one_skin("quercus-robur-bark", "unicorn")

"""The way from raw skin to pelt: amounts, times, looks and cautions of each stage."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.beamwork import hours_at, warnings_at
from tanwright.planning.preparation import (
    DELIME,
    STAGES,
    RawSkin,
    after,
    check_weight,
    due,
    expected_kg,
    route,
)
from tanwright.reference.work import stage_row, stage_rows
from tanwright.science.beamhouse import CAOH2_PER_CAO, quicklime_kg

WAYS = [
    *(("lime", delime, False) for delime in DELIME if delime != "none"),
    ("ash", "vinegar", False),
    ("lime-sulfide", "water", False),
    ("sweat", "none", False),
    ("none", "none", True),
]
CAUSTIC = {
    "unhair-lime": "lime", "unhair-ash": "lye", "unhair-lime-sulfide": "sulfide", "scrape": "lime",
    "scrape-ash": "lye", "rinse-limed": "lime", "delime-boric": "acid", "delime-vinegar": "acid",
    "delime-lactic": "acid", "delime-ammonium": "acid",
}  # fmt: skip


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize(("unhair", "delime", "hair_on"), WAYS)
def test_each_way_links_up_and_tells_its_dangers(
    stage: str, unhair: str, delime: str, hair_on: bool
) -> None:
    stages = route(RawSkin(2.0, stage), unhair=unhair, delime=delime, hair_on=hair_on)
    keys = [part.key for part in stages]
    assert len(set(keys)) == len(keys)
    assert [part.next_key for part in stages] == [*keys[1:], ""]
    assert keys[-1] == ("last-check-hair" if hair_on else "last-check")
    for part in stages:
        assert part.end_test
        assert part.trouble
        assert part.cautions
        if part.key in CAUSTIC:
            assert CAUSTIC[part.key] in {caution.topic for caution in part.cautions}


@given(weight=st.floats(0.1, 30.0), times=st.floats(1.1, 5.0))
def test_amounts_scale_with_the_weight(weight: float, times: float) -> None:
    one, more = route(RawSkin(weight)), route(RawSkin(weight * times))
    for a, b in zip(one, more, strict=True):
        for x, y in zip(a.quantities, b.quantities, strict=True):
            assert y.low == pytest.approx(x.low * times)
            assert y.high == pytest.approx(x.high * times)
            assert 0.0 < x.low <= x.high


@given(row=st.sampled_from(stage_rows()), cool=st.floats(1.0, 59.0), step=st.floats(0.0, 20.0))
def test_warmer_is_never_slower(row, cool: float, step: float) -> None:
    a, b = hours_at(row, cool), hours_at(row, min(cool + step, 60.0))
    assert b.likely <= a.likely
    assert a.low <= a.likely <= a.high


def test_warmth_beyond_the_limit_is_warned_of_and_gains_nothing() -> None:
    lime = stage_row("unhair-lime")
    assert warnings_at(lime, 30.0)
    assert not warnings_at(lime, 18.0)
    assert hours_at(lime, 30.0).likely == hours_at(lime, 25.0).likely


def test_ten_degrees_halve_the_lime() -> None:
    lime = stage_row("unhair-lime")
    assert hours_at(lime, 10.0).high == pytest.approx(2.0 * hours_at(lime, 20.0).high)


def test_lime_covers_what_the_bath_needs() -> None:
    """6 g/L kept stirred (von Schroeder) in the most water told, and 3 % of the hide."""
    water, lime = next(p for p in route(RawSkin(3.0)) if p.key == "unhair-lime").quantities
    soaked_kg = water.high / 5.0
    assert lime.high == pytest.approx(float(quicklime_kg(soaked_kg, water.high)) * CAOH2_PER_CAO)


def test_due_counts_from_the_beginning() -> None:
    begun = datetime(2026, 4, 1, 8, 0)
    found = due("unhair-lime", begun, 15.0)
    assert found.earliest == begun + timedelta(hours=48)
    assert found.earliest < found.likely < found.latest


def test_a_look_leads_on_or_back() -> None:
    stages = route(RawSkin(2.0))
    assert after(stages, "unhair-lime", "done").key == "scrape"
    held = after(stages, "unhair-lime", "not-yet")
    assert held.key == "unhair-lime"
    assert "backbone" in held.words
    assert after(stages, "last-check", "done").key == ""
    with pytest.raises(InputError):
        after(stages, "unhair-ash", "done")
    with pytest.raises(InputError):
        after(stages, "unhair-lime", "perhaps")


def test_weights_after_a_stage_are_checked() -> None:
    low, high = expected_kg(RawSkin(1.0, "dried"), "soaked")
    assert (round(low, 2), round(high, 2)) == (2.11, 3.14)
    limed = next(p for p in route(RawSkin(2.0)) if p.key == "unhair-lime")
    assert check_weight(limed, 2.0) == ""
    assert "less than usual" in check_weight(limed, 0.5)
    assert "more than usual" in check_weight(limed, 9.0)


@pytest.mark.parametrize(
    "ways",
    [
        {"unhair": "lime-sulfide", "delime": "vinegar"},
        {"unhair": "lime-sulfide", "delime": "ammonium"},
        {"unhair": "none"},
        {"delime": "none"},
        {"unhair": "sweat", "delime": "boric"},
        {"unhair": "ash", "hair_on": True},
        {"unhair": "fire"},
        {"delime": "fire"},
        {"temperature_c": 0.0},
        {"temperature_c": float("nan")},
    ],
)
def test_ways_that_contradict_themselves_are_refused(ways: dict[str, object]) -> None:
    with pytest.raises(InputError):
        route(RawSkin(2.0), **ways)  # type: ignore[arg-type]


@pytest.mark.parametrize("weight", [0.0, -1.0, float("nan"), float("inf"), 1e4])
def test_absurd_weights_are_refused(weight: float) -> None:
    with pytest.raises(InputError):
        route(RawSkin(weight))


def test_the_animal_brings_its_own_cautions() -> None:
    ids = {caution.id for caution in route(RawSkin(0.3, animal="rabbit"))[0].cautions}
    assert "tularemia" in ids

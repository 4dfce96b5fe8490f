"""From the vat to leather: stages, the reading of tests, the account of masses."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.finishing import (
    TESTS,
    MassInput,
    WetLeather,
    finish,
    judge_test,
    mass_account,
    scale,
)
from tanwright.reference.leathers import leather
from tanwright.reference.tests_of_leather import shrinkage_temperatures

MEASURED = MassInput(
    2.0, 0.78, moisture_pct=(14.0, 14.0), hide_share=(0.21, 0.21), fat_pct=(4.0, 4.0),
    ash_pct=(1.0, 1.0), soluble_pct=(5.0, 5.0),
)  # fmt: skip


@pytest.mark.parametrize("aim", ["soft", "bag", "firm", "sole"])
def test_each_aim_has_its_oil_and_its_end_tests(aim: str) -> None:
    stages = finish(WetLeather(2.0, aim))
    oil = next(part for part in stages if part.key == "oil").quantities[0]
    low, high = leather(aim).oil_pct
    assert oil.unit == "g"
    assert (oil.low, oil.high) == pytest.approx((20.0 * low, 20.0 * high))
    assert all(part.end_test and part.trouble for part in stages)
    assert [part.next_key for part in stages] == [*(part.key for part in stages[1:]), ""]


def test_the_aim_chooses_the_last_work() -> None:
    assert finish(WetLeather(2.0, "firm"))[-1].key == "grease"
    assert "roll" in {part.key for part in finish(WetLeather(2.0, "sole"))}
    fur = {part.key for part in finish(WetLeather(1.0, "soft", hair_on=True))}
    assert "oil-fur" in fur
    assert "oil" not in fur


def test_what_cannot_be_finished_is_refused() -> None:
    for wet, coats in (
        (WetLeather(0.0), 2),
        (WetLeather(1.0), 4),
        (WetLeather(1, "sole", True), 1),
    ):
        with pytest.raises(InputError):
            finish(wet, coats=coats)


@pytest.mark.parametrize("kind", TESTS)
def test_scales_have_no_gap(kind: str) -> None:
    rows = scale(kind)
    assert [row.low for row in rows[1:]] == [row.high for row in rows[:-1]]
    assert all(judge_test(kind, row.low).grade == row.grade for row in rows)
    for off in (rows[0].low - 1.0, rows[-1].high, float("nan")):
        with pytest.raises(InputError):
            judge_test(kind, off)


def test_half_grades_and_unknown_tests_are_refused() -> None:
    with pytest.raises(InputError):
        judge_test("bend", 2.5)
    with pytest.raises(InputError):
        judge_test("smell", 2.0)


@pytest.mark.parametrize(
    ("id_", "grade"),
    [
        ("raw", "raw or nearly raw"),
        ("limed", "raw or nearly raw"),
        ("hydrolysable", "vegetable leather"),
        ("condensed", "vegetable leather, full"),
        ("chrome", "not bark alone"),
    ],
)
def test_published_shrinkage_reads_as_what_it_is(id_: str, grade: str) -> None:
    """Ranges of the shrinkage table (strip in water, a conservation handbook)."""
    row = next(part for part in shrinkage_temperatures() if part.id == id_)
    inside = (row.low_c, (row.low_c + row.high_c) / 2.0)
    assert {judge_test("shrinkage", value).grade for value in inside} == {grade}


def test_account_of_measured_parts_by_hand() -> None:
    """0.78 kg x (100 - 14 - 4 - 5 - 1) % = 0.5928 kg; less 0.42 kg hide = 0.1728 kg of tannin."""
    found = mass_account(MEASURED)
    assert found.tannin_kg.likely == pytest.approx(0.1728)
    assert found.degree_pct.likely == pytest.approx(100.0 * 0.1728 / 0.42)
    assert found.degree_pct.low == pytest.approx(found.degree_pct.high)
    assert found.yield_pelt == pytest.approx(0.39)
    assert "no fault" in found.words[0]


@given(st.floats(0.0, 6.0))
def test_less_known_moisture_never_narrows_the_degree(half: float) -> None:
    wide = mass_account(replace(MEASURED, moisture_pct=(14.0 - half, 14.0 + half))).degree_pct
    assert wide.low <= wide.likely <= wide.high
    assert wide.high - wide.low == pytest.approx(2.0 * half * 0.78 / 0.42, abs=1e-6)


def test_usual_yield_is_that_of_the_usual_degree() -> None:
    """Bag, degree 35 to 55: 0.21 x 1.35 / 0.76 to 0.21 x 1.55 / 0.76 where all else is measured."""
    low, high = mass_account(MEASURED).usual_yield
    assert (low, high) == pytest.approx((0.21 * 1.35 / 0.76, 0.21 * 1.55 / 0.76))


def test_yield_on_the_raw_skin() -> None:
    assert mass_account(replace(MEASURED, raw_kg=2.6)).yield_raw == pytest.approx(0.3)


@pytest.mark.parametrize(
    "wrong",
    [
        {"leather_kg": 0.3},
        {"leather_kg": 8.0},
        {"pelt_kg": 0.0},
        {"moisture_pct": (20.0, 10.0)},
        {"moisture_pct": (14.0, 90.0)},
        {"hide_share": (0.0, 0.2)},
        {"fat_pct": (float("nan"), 4.0)},
        {"raw_kg": -1.0},
        {"leather": "velvet"},
    ],
)
def test_absurd_accounts_are_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(InputError):
        mass_account(replace(MEASURED, **wrong))  # type: ignore[arg-type]

"""What comes first on Today, as explained in today.ordering."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from tanwright.yard.today.ordering import SOON_DAYS, day_of, ordered, pressure
from tests.yard.today.conftest import NOW, a_due


def test_the_groups() -> None:
    late, today, before = a_due(-3, late=True), a_due(0.3), a_due(-2)
    soon, later, whenever = a_due(SOON_DAYS), a_due(SOON_DAYS + 1), a_due(None)
    found = ordered([later, whenever, soon, before, today, late], NOW)
    assert found.late == (late,)
    assert set(found.today) == {today, before}
    assert found.soon == (soon,)
    assert found.whenever == (whenever,)
    assert later not in found.everything


def test_a_late_thing_without_a_day_is_late() -> None:
    due = a_due(None, late=True)
    assert ordered([due], NOW).late == (due,)


def test_a_skin_that_may_rot_stands_before_a_lot_until_the_lot_has_waited_long() -> None:
    skin = a_due(-1, late=True, weight=0.9, headline="Skin")
    lot = a_due(-3, late=True, weight=0.15, headline="Lot")
    assert ordered([lot, skin], NOW).late == (skin, lot)
    old_lot = a_due(-30, late=True, weight=0.15, headline="Lot")
    assert ordered([skin, old_lot], NOW).late == (old_lot, skin)


def test_pressure_grows_by_its_weight_each_day() -> None:
    assert pressure(a_due(0, late=True, weight=0.4), NOW) == 0.4
    assert pressure(a_due(-2, late=True, weight=0.4), NOW) == 0.4 * 3
    assert pressure(a_due(2, late=True, weight=0.4), NOW) == 0.4


def test_today_by_weight_then_by_the_hour() -> None:
    light, heavy, early = a_due(0.1), a_due(0.2, weight=0.9), a_due(0.05)
    assert ordered([light, heavy, early], NOW).today == (heavy, early, light)


def test_soon_by_day_then_by_weight() -> None:
    third, heavy, light = a_due(3, weight=1.0), a_due(1, weight=0.8), a_due(0.9, weight=0.2)
    assert day_of(heavy.at or NOW) == day_of(light.at or NOW)
    assert ordered([third, light, heavy], NOW).soon == (heavy, light, third)


@given(
    st.lists(
        st.tuples(st.one_of(st.none(), st.floats(-400, 400)), st.booleans(), st.floats(0, 1)),
        max_size=30,
    )
)
def test_nothing_up_to_a_week_ahead_is_lost_or_told_twice(
    things: list[tuple[float | None, bool, float]],
) -> None:
    dues = [a_due(days, late=late, weight=weight) for days, late, weight in things]
    found = ordered(dues, NOW).everything
    last = day_of(NOW) + timedelta(days=SOON_DAYS)
    wanted = [due for due in dues if due.late or due.at is None or day_of(due.at) <= last]
    assert len(found) == len(wanted)
    assert {due.record_id for due in found} == {due.record_id for due in wanted}

"""Ticks, flags and wrapped lines of the pictures: whatever the numbers, nothing overlaps."""

from __future__ import annotations

import itertools
import re
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from tanwright.planning.pictures.axes import (
    Axis,
    day_ticks,
    nice_ticks,
    place_flags,
    text_width,
    tick_box,
    wrap,
)
from tests.planning.picture_fixture import START


@given(days=st.floats(0.3, 900.0), offset=st.integers(0, 400), room=st.floats(120.0, 380.0))
def test_day_labels_never_overlap(days, offset, room):
    axis = Axis(0.0, days, 50.0, room)
    ticks = day_ticks(START + timedelta(days=offset), axis, 398.0)
    boxes = [tick_box(tick, axis) for tick in ticks]
    assert all(one[1] < other[0] for one, other in itertools.pairwise(boxes))
    assert all(right <= 398.0 for _, right in boxes)
    for tick in ticks:
        when = START + timedelta(days=offset) + timedelta(days=int(tick.day))
        assert tick.number == str(int(tick.day))
        assert tick.label.split()[0] in {str(when.day), when.strftime("%b")}


@given(high=st.floats(1e-6, 1e7), wanted=st.integers(2, 8))
def test_ticks_are_round_and_reach_the_top(high, wanted):
    ticks = nice_ticks(high, wanted)
    step = ticks[1]
    assert ticks[-1] >= high * (1 - 1e-9)
    assert ticks[-2] < high
    assert f"{step:e}"[0] in "125"
    assert len(ticks) <= 2 * wanted + 2


@given(
    st.lists(st.tuples(st.floats(30.0, 390.0), st.floats(20.0, 70.0)), max_size=25).map(sorted),
)
def test_flags_cover_neither_each_other_nor_a_pole(poles):
    flags = [flag for flag in place_flags(poles, 3, 396.0) if flag.row is not None]
    for one, other in itertools.permutations(flags, 2):
        assert one.row is not None
        assert other.row is not None
        if one.row == other.row:
            assert one.right < other.left or other.right < one.left
        elif one.row < other.row:
            assert not other.left <= one.pole <= other.right


@given(st.text("abc mw,.", max_size=80), st.floats(60.0, 300.0), st.integers(1, 4))
def test_wrapped_lines_fit_their_width(text, width, lines):
    wrapped = wrap(text, width, 12.5, lines)
    assert len(wrapped) <= lines
    assert all(text_width(line, 12.5) <= width for line in wrapped)


def test_the_first_of_a_month_is_written_as_a_day():
    ticks = day_ticks(date(2026, 11, 25), Axis(0.0, 300.0, 50.0, 380.0), 398.0)
    labels = [tick.label for tick in ticks]
    assert labels[0].startswith("1 ")
    assert "1 Jan 2027" in labels or any(label.endswith("2027") for label in labels)
    assert all(re.fullmatch(r"1 [A-Z][a-z]{2}( \d{4})?", label) for label in labels)

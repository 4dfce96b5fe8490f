"""Done and planned, used and set aside, pale and through: what a picture must keep apart."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from tanwright.planning.answers import Mark
from tanwright.planning.pictures import palette
from tanwright.planning.pictures.timeline import puttings
from tests.planning.picture_fixture import by_name, finished_in_time, fixture_answer, rows, texts
from tests.planning.tannages import forecast, plan


def test_what_was_done_is_drawn_once_and_what_is_planned_is_outlined():
    planned = puttings(plan(vat_volume="40 L", material_have="9 kg"))
    assert planned
    assert not any(item.done for item in planned)
    answer = forecast("5,strengthened,8,L,swap,30 Bk", day=6, material_have="9 kg")
    put = puttings(answer)
    assert [(item.day, item.litres) for item in put if item.done] == [(5.0, 8.0)]
    assert all(item.day >= 6.0 for item in put if not item.done)
    assert "Strengthened on day 5, 6 March 2026: 8 L." in by_name(answer, "strength").words


def test_a_reading_that_was_set_aside_is_crossed_out_and_told():
    answer = forecast("0,strength,75,bk", "2,strength,6,bk", day=3)
    assert [check.verdict for check in answer.checks] == ["set-aside", "ok"]
    picture = by_name(answer, "strength")
    assert "75 °Bk (75 bk), taken for a slip and not used." in picture.words
    assert picture.words.count("taken for a slip") == 1
    assert "not used" in texts(picture)
    kinds = [row["series"] for row in rows(picture) if row["value"]]
    assert kinds[:2] == ["strength-set-aside", "strength"]
    base = replace(fixture_answer(), marks=(Mark(10.0, 0.4, "cut", ""),))
    slip = replace(base, marks=(Mark(10.0, 0.4, "cut-set-aside", ""),))
    assert "not used" in texts(by_name(slip, "cut"))
    assert "pale part you saw" in texts(by_name(base, "cut"))
    assert "pale part you saw" not in texts(by_name(slip, "cut"))


def test_a_slip_does_not_stretch_the_scale():
    base = fixture_answer()
    mark = Mark(10.0, 1.5 * float(base.strength_fan.p95.max()), "strength", "")
    tops = [
        max(int(text) for text in texts(by_name(answer, "strength")) if text.isdigit())
        for answer in (
            replace(base, marks=(mark,)),
            replace(base, marks=(replace(mark, kind="strength-set-aside"),)),
        )
    ]
    assert tops[0] >= mark.value > tops[1]


def test_both_ends_of_an_amount_have_their_unit():
    assert "kg, most likely 10 kg, oak bark" in by_name(fixture_answer(), "causes").words


def test_nothing_is_drawn_pale_once_nineteen_worlds_in_twenty_are_through():
    base = fixture_answer(marks=False)
    low = np.minimum(base.depth_fan.p05 * 1.6, 1.0)
    met = replace(base.depth_fan, p05=low, p50=np.maximum(base.depth_fan.p50, low))
    met = replace(met, p95=np.maximum(met.p50, met.p95))
    assert low[-1] == 1.0
    assert base.cut.flesh_front.p05[-1] + base.cut.grain_front.p05[-1] < 0.75
    picture = by_name(replace(base, depth_fan=met), "cut")
    assert "At the end" in picture.words
    assert "pale middle 0 to 0 mm, most likely 0." in picture.words
    solid = re.findall(rf'<path d="M([^"]+)Z" fill="{palette.BARK}"', picture.svg)
    ends = []
    for side in solid[:2]:
        points = [tuple(map(float, point.split(","))) for point in side.split("L")]
        last = max(x for x, _ in points)
        ends.append([y for x, y in points if x == last])
    (_, flesh), (_, grain) = (sorted(end) for end in ends)
    flesh_top, grain_low = min(ends[0]), max(ends[1])
    assert grain_low >= flesh_top
    assert flesh >= grain


def test_colour_comes_before_leather_and_both_are_told():
    answer = finished_in_time(fixture_answer())
    cut = by_name(answer, "cut")
    assert cut.title.startswith("The cut: coloured through")
    assert "Coloured through: one chance in twenty by" in cut.words
    assert "Leather: one chance in twenty by" in cut.words

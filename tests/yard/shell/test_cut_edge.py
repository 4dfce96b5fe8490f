"""The small picture of the cut edge shows the share that it was given, and says it."""

from __future__ import annotations

import re

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from tanwright.yard.shell.cut_edge import HEIGHT, CutEdge, cut_edge


def pale_height(cut: CutEdge) -> float:
    ys = [float(y) for _, y in re.findall(r"([\d.]+),([\d.]+)", cut.middle)]
    half = len(ys) // 2
    return sum(ys[half:]) / half - sum(ys[:half]) / half


@given(st.floats(0.0, 0.98))
def test_the_pale_middle_is_what_is_left(share: float) -> None:
    full = pale_height(cut_edge(0.0))
    assert pale_height(cut_edge(share)) == pytest.approx((1.0 - share) * full, abs=1.0)


@given(st.floats(0.0, 1.0), st.booleans())
def test_nothing_is_drawn_outside_the_picture(share: float, hair_on: bool) -> None:
    cut = cut_edge(share, from_flesh_only=hair_on)
    for path in (cut.skin, cut.grain, cut.middle):
        assert all(0.0 <= float(y) <= HEIGHT for y in re.findall(r",([\d.-]+)", path))


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (-1.0, "Cut edge: pale all through"),
        (0.0, "Cut edge: pale all through"),
        (0.4, "Cut edge: about 4 tenths coloured from both faces, the rest pale"),
        (1.0, "Cut edge: coloured all through"),
        (7.0, "Cut edge: coloured all through"),
    ],
)
def test_it_says_what_it_shows(share: float, words: str) -> None:
    cut = cut_edge(share)
    assert cut.words == words
    assert bool(cut.middle) == (share < 1.0)


def test_with_the_hair_on_tan_comes_from_the_flesh_side() -> None:
    cut = cut_edge(0.5, from_flesh_only=True)
    assert "from the flesh side" in cut.words
    ys = [float(y) for y in re.findall(r",([\d.]+)", cut.middle)]
    assert max(ys) < HEIGHT * 0.6


def test_the_include_needs_no_style_and_copes_with_nothing_known() -> None:
    template = Template("{% include 'shell/cut_edge.html' with share=share hair_on=hair_on %}")
    for context in ({}, {"share": None}, {"share": 0.3, "hair_on": True}):
        drawn = template.render(Context(context))
        assert "style=" not in drawn
        assert 'aria-label="Cut edge: ' in drawn

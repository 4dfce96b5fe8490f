"""Contradictions are found where figures lie too far apart, and told with both sides."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tanwright.planning.almanac import contradictions
from tanwright.planning.almanac.contradictions import FAR, distance
from tanwright.reference.evidence import Statement, pooled
from tanwright.reference.materials import material
from tanwright.reference.questions import positions, questions
from tanwright.reference.sources import source
from tanwright.reference.variation import variations

FOUND = {each.id: each for each in contradictions()}


def test_each_has_two_sides_with_sources_a_reason_and_what_is_done() -> None:
    for each in contradictions():
        assert len(each.sides) >= 2, each.id
        assert len({side.says for side in each.sides}) == len(each.sides)
        for side in each.sides:
            assert side.says
            assert side.sources
            assert all(source(key) for key in side.sources)
            assert side.provenance in ("read", "memory")
        assert each.reason
        assert each.what_is_done
        assert each.kind in ("figures", "statements", "rules")
        if each.material_id:
            assert material(each.material_id)
    kinds = [each.kind for each in contradictions()]
    assert kinds == sorted(kinds, key=["figures", "statements", "rules"].index)


def test_known_quarrels_of_the_books_are_found() -> None:
    birch = FOUND["figures-betula-pubescens-bark"]
    assert {key for side in birch.sides for key in side.sources} == {
        "procter1903",
        "etherington1982",
    }
    assert birch.sides[0].says.startswith("2-5 %")
    assert birch.sides[1].says.startswith("10-15 %")
    oak = FOUND["oak-kind"]
    assert {side.sources for side in oak.sides} == {("mueller", "procter1903"), ("eb9",)}
    assert "blue-black" in " ".join(side.says for side in FOUND["class-quercus-robur-bark"].sides)
    assert FOUND["first-water"].kind == "rules"


def test_the_widest_apart_leads() -> None:
    def apart(id: str) -> float:
        own = pooled(material(id))
        assert own is not None
        read = [part for part in own.statements if part.observation.provenance == "read"]
        return max(distance(a, b) for a in read for b in read if a.group != b.group)

    found = [apart(each.material_id) for each in contradictions() if each.kind == "figures"]
    assert found == sorted(found, reverse=True)
    assert min(found) >= FAR
    assert len(found) >= 8


def test_figures_of_one_group_of_sources_do_not_contradict() -> None:
    """procter1903 repeats procter1885 and bailey: no witness against itself."""
    for each in contradictions():
        if each.kind == "figures":
            low, high = each.sides
            groups = [{source(key).group for key in side.sources} for side in (low, high)]
            assert groups[0] != groups[1], each.id


def test_distance_grows_with_the_gap_and_shrinks_with_doubt() -> None:
    own = pooled(material("quercus-robur-bark"))
    assert own is not None
    one = own.statements[0]

    def moved(by: float, error: float = 0.2) -> Statement:
        return replace(one, centre=one.centre + by, error=error)

    assert distance(one, one) == 0.0
    assert distance(one, moved(1.0)) < distance(one, moved(2.0))
    assert distance(one, moved(1.0)) > distance(one, moved(1.0, 0.6))
    assert distance(one, moved(1.0)) == pytest.approx(distance(moved(1.0), one))


def test_a_position_says_something_once_and_cites_as_its_row_does() -> None:
    rows = {each.id: each for each in variations()}
    for each in positions():
        assert bool(each.says) != bool(each.variation), each.id
        if each.variation:
            assert rows[each.variation].source == each.source, each.id
            assert rows[each.variation].provenance == each.provenance
        assert (each.provenance == "memory") == (each.source in ("memory", "common-practice"))
    for question in questions():
        answers = {each.answer for each in positions() if each.question == question.id}
        assert len(answers) >= 2, question.id

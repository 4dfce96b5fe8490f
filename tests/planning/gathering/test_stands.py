"""Stands are cut no sooner than published rotations, and never more than grows again."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.planning.gathering.stands import (
    Cut,
    may_be_cut_again,
    state,
    yearly_bark,
    yearly_calendar,
)
from tanwright.reference.rotations import regrowth_of

OAK = "quercus-robur-bark"
WILLOW = "salix-caprea-bark"
TODAY = date(2026, 11, 1)


def test_one_cut_of_oak_is_ripe_after_the_told_years() -> None:
    """16 to 20 years (hauberg-fellinghausen, nrw-hauberg)."""
    piece = may_be_cut_again(OAK, Cut(date(2026, 5, 3), 0.2))
    assert (piece.first, piece.last) == (date(2042, 5, 3), date(2046, 5, 3))
    assert piece.words == "from May 2042, by the longest rotation May 2046"
    assert not piece.ready(date(2042, 5, 2))
    assert piece.ready(date(2042, 5, 3))


def test_a_cut_of_a_leap_day_and_cuts_within_the_year() -> None:
    leap = may_be_cut_again("rhus-typhina-leaf", Cut(date(2024, 2, 29)))
    assert leap.first == date(2025, 2, 28)
    quick = may_be_cut_again("uncaria-gambir-twig-leaf", Cut(date(2026, 1, 1)))
    assert quick.first == date(2026, 4, 2)


def test_what_was_never_cut_goes_first_then_what_was_cut_longest_ago() -> None:
    cuts = [Cut(date(2005, 5, 1), 0.5), Cut(date(2020, 5, 1), 0.5)]
    assert [(p.cut_on, p.share) for p in state(OAK, cuts, TODAY).pieces] == [
        (date(2005, 5, 1), 0.5),
        (date(2020, 5, 1), 0.5),
    ]
    later = state(OAK, [*cuts, Cut(date(2026, 5, 1), 0.3)], TODAY)
    assert [(p.cut_on, round(p.share, 6)) for p in later.pieces] == [
        (date(2005, 5, 1), 0.2),
        (date(2020, 5, 1), 0.5),
        (date(2026, 5, 1), 0.3),
    ]
    assert later.ready_share == pytest.approx(0.2)
    assert later.next_first == date(2036, 5, 1)
    assert later.words == "20 % of it may be cut, more from May 2036."
    assert later.harm == ()


def test_a_named_part_is_cut_again_as_itself() -> None:
    cuts = [Cut(date(2000, 5, 1), 0.1, "north"), Cut(date(2010, 5, 1), 0.1, "north")]
    found = state(OAK, cuts, TODAY)
    north = [piece for piece in found.pieces if piece.part == "north"]
    assert [(piece.cut_on, piece.share) for piece in north] == [(date(2010, 5, 1), 0.1)]
    assert "had grown for 10 years only; it needs 16 to 20 years" in found.harm[0]


def test_cuts_come_in_any_order_and_those_to_come_are_left_out() -> None:
    cuts = [Cut(date(2020, 5, 1), 0.5), Cut(date(2005, 5, 1), 0.5), Cut(date(2030, 5, 1), 0.5)]
    assert state(OAK, cuts, TODAY) == state(OAK, cuts[::-1], TODAY)
    assert all(p.cut_on is None or p.cut_on <= TODAY for p in state(OAK, cuts, TODAY).pieces)


def test_a_whole_stand_that_was_just_cut_waits() -> None:
    found = state(WILLOW, [Cut(date(2026, 3, 1))], TODAY)
    assert found.words == "Nothing of it should be cut before March 2028."
    assert found.growing_share == pytest.approx(1.0)
    assert state(WILLOW, [], TODAY).words == "All of it may be cut."


def test_what_does_not_sprout_is_told() -> None:
    found = state("picea-abies-bark", [Cut(date(2020, 5, 1), 0.1)], TODAY)
    assert found.harm == ("It does not grow again from the stump.",)
    assert found.share_a_year is None
    assert "anew" in state("acacia-mearnsii-bark", [Cut(date(2020, 5, 1))], TODAY).harm[-1]


@pytest.mark.parametrize(
    ("material_id", "told"),
    [
        ("picea-abies-bark", "does not grow again"),
        ("vachellia-karroo-bark", "Nobody was found"),  # no rotation
        ("rhizophora-mangle-bark", "protected"),
        ("quercus-suber-bark", "protected"),  # not the rotation of oak coppice
        ("krameria-lappacea-root", "protected"),
    ],
)
@pytest.mark.parametrize("cuts", [[], [Cut(date(1950, 5, 1))]])
def test_nothing_is_offered_of_what_does_not_come_again(
    material_id: str, told: str, cuts: list[Cut]
) -> None:
    found = state(material_id, cuts, TODAY)
    assert found.words.startswith("Nothing of it should be cut: only what is felled or fallen")
    assert found.ready_share == 0.0
    assert found.share_a_year is None
    assert told in found.regrowth.words


def test_what_must_be_avoided_has_no_rotation() -> None:
    for id in ("castanea-dentata-bark", "coriaria-myrtifolia-leaf", "nymphaea-alba-rhizome"):
        assert state(id, [], TODAY).words == "It is left alone, not to be gathered."


def test_living_plants_are_not_offered_whole() -> None:
    assert "stripped bare" in state("rhus-typhina-leaf", [], TODAY).words
    assert "leave a share" in state("quercus-ithaburensis-cup", [], TODAY).words
    assert "planted anew" in state("bistorta-officinalis-rhizome", [], TODAY).words


def test_the_page_is_given_cautions_and_sources() -> None:
    found = state(OAK, [], TODAY)
    assert {"ring-barking", "gathering", "chainsaw"} <= {each.id for each in found.cautions}
    leaf = state("rhus-typhina-leaf", [], TODAY)
    assert "chainsaw" not in {each.id for each in leaf.cautions}
    assert {"hauberg-fellinghausen", "nrw-hauberg"} <= {each.key for each in found.sources}


shares = st.floats(0.01, 1.0)
days = st.dates(date(1990, 1, 1), date(2026, 1, 1))


@settings(deadline=None)
@given(st.lists(st.builds(Cut, days, shares), max_size=12))
def test_pieces_always_make_up_the_whole(cuts: list[Cut]) -> None:
    found = state(OAK, cuts, TODAY)
    assert sum(piece.share for piece in found.pieces) == pytest.approx(1.0, abs=0.01)
    assert 0.0 <= found.ready_share <= 1.0
    assert found.ready_share + found.growing_share == pytest.approx(1.0, abs=0.01)


@settings(deadline=None)
@given(
    material=st.sampled_from([OAK, WILLOW, "castanea-sativa-bark", "senna-auriculata-bark"]),
    start=st.integers(1950, 2100),
)
def test_the_calendar_never_takes_more_than_grows(material: str, start: int) -> None:
    """Followed over three turns as the cuts of a stand it brings no warning, and every year of the
    turn gives the same."""
    turn = len(yearly_calendar(material, start))
    calendar = yearly_calendar(material, start, years=3 * turn)
    cuts = [Cut(date(y.year, 5, 1), y.share, f"part {y.compartment}") for y in calendar]
    found = state(material, cuts, cuts[-1].on)
    assert found.harm == ()
    assert sum(year.share for year in calendar[:turn]) == pytest.approx(1.0)
    low = regrowth_of(material).years_low
    assert low is not None
    assert calendar[0].share <= 1.0 / low + 1e-9


def test_twenty_plots_one_a_year() -> None:
    """The coppice of the Siegerland has 20 plots, and each year one is cut (nrw-hauberg)."""
    calendar = yearly_calendar(OAK, 2027, compartments=20, years=21)
    assert [year.compartment for year in calendar] == [*range(1, 21), 1]
    assert {year.share for year in calendar} == {0.05}
    assert len(yearly_calendar(OAK, 2027)) == 18  # 18 years on average (hauberg-fellinghausen)


def test_too_few_compartments_are_refused() -> None:
    with pytest.raises(InputError, match="7 compartments come round after 7 years") as caught:
        yearly_calendar(OAK, 2027, compartments=7)
    assert "write 16 to 20" in str(caught.value)
    with pytest.raises(InputError, match="does not grow again"):
        yearly_calendar("picea-abies-bark", 2027)
    with pytest.raises(InputError, match="calendar of 0 years"):
        yearly_calendar(OAK, 2027, years=0)


def test_bark_a_year_agrees_with_what_was_weighed() -> None:
    """Bark of the poles peeled in four springs: 670 kg of 259 in 2000, 415 of 150 in 2001, 410 of
    170 in 2002 (hauberg-reports), 463 of 136 in 2003 (hauberg2003); each comes back when a turn of
    20 years has 20 times as many poles, the sum at the middle."""
    springs = ((670.0, 259), (415.0, 150), (410.0, 170), (463.0, 136))
    for kg, poles in springs:
        found = yearly_bark(OAK, poles=20 * poles, years=20)
        assert found.kg is not None
        assert found.kg.p05 < kg < found.kg.p95
    together = sum(poles for _, poles in springs)
    for kg in (
        yearly_bark(OAK, poles=20 * together, years=20).kg,
        yearly_calendar(OAK, 2027, compartments=20, poles=20 * together)[0].kg,
    ):
        assert kg is not None
        assert kg.p50 == pytest.approx(670.0 + 415.0 + 410.0 + 463.0, rel=0.01)


def test_bark_a_year_of_the_other_stands() -> None:
    """Avaram: some 1500 kg of bark from a hectare with about 9000 plants (fao-auriculata), cut
    every third year (ap-forest-flora).  Willow: 7 to 12 t of stems a year (forest-research-src)."""
    hectare = yearly_bark("senna-auriculata-bark", hectares=1.0).kg
    plants = yearly_bark("senna-auriculata-bark", stools=9000).kg
    assert hectare is not None
    assert plants is not None
    assert hectare.p05 < 500.0 < hectare.p95
    assert plants.p05 < 500.0 < plants.p95
    willow = yearly_bark(WILLOW, hectares=1.0).kg
    assert willow is not None
    assert (willow.p05, willow.p95) == pytest.approx((0.12 * 7000.0, 0.22 * 12000.0))
    stools = yearly_bark(OAK, stools=100).kg
    poles = yearly_bark(OAK, poles=100).kg
    assert stools is not None
    assert poles is not None
    assert stools.p95 / stools.p05 > poles.p95 / poles.p05


def test_what_nobody_says_is_not_made_up() -> None:
    for found in (
        yearly_bark("castanea-sativa-bark", stools=50),
        yearly_bark(WILLOW, stools=50),
        yearly_bark("picea-abies-bark", hectares=1.0),
        yearly_bark("rhizophora-mangle-bark", hectares=1.0),
        yearly_bark(OAK),
    ):
        assert found.kg is None
        assert found.words
    with pytest.raises(InputError, match="too short"):
        yearly_bark(OAK, poles=100, years=5)
    with pytest.raises(InputError, match="cannot be"):
        yearly_bark(OAK, poles=-1)


@pytest.mark.parametrize("share", [0.0, -0.2, 1.5, float("nan")])
def test_shares_that_cannot_be_are_refused(share: float) -> None:
    with pytest.raises(InputError, match="cannot take"):
        state(OAK, [Cut(date(2020, 5, 1), share)], TODAY)
    with pytest.raises(InputError, match="cannot take"):
        may_be_cut_again(OAK, Cut(date(2020, 5, 1), share))


def test_named_parts_that_make_more_than_the_whole_are_refused() -> None:
    cuts = [Cut(date(2020, 5, 1), 0.6, "north"), Cut(date(2021, 5, 1), 0.6, "south")]
    with pytest.raises(InputError, match="more than the whole"):
        state(OAK, cuts, TODAY)


def test_an_unknown_material_is_refused() -> None:
    with pytest.raises(UnknownMaterialError):
        state("no-such-bark", [], TODAY)

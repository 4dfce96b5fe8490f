"""Windows agree with what sources print, with the words of materials, and with Hopkins's law."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.reference import seasons
from tanwright.reference.materials import materials
from tanwright.reference.seasons import Window, in_words, lies_south, windows_for, windows_over
from tanwright.reference.world import place

MONTHS = [date(2026, month, 1).strftime("%B") for month in range(1, 13)]
NORTHERN = {
    "late spring": range(4, 7),
    "late summer": range(7, 10),
    "early autumn": range(8, 11),
    "spring": range(3, 7),
    "summer": range(6, 9),
    "autumn": range(9, 12),
}
"""Months of the words for seasons, north of the equator (meteorological, spring until June)."""


def best(material_id: str, **where: float) -> Window:
    windows = windows_for(material_id, latitude=where.get("latitude"), year=2026)
    if where:
        windows = windows_for(
            material_id,
            latitude=where["latitude"],
            altitude_m=where.get("altitude_m", 0.0),
            year=int(where.get("year", 2026)),
        )
    return next(window for window in windows if window.best)


@pytest.mark.parametrize(
    ("material_id", "start", "end", "source"),
    [
        # Procter 1903: felling for bark between the middle of April and the middle of June.
        ("quercus-robur-bark", (4, 15), (6, 15), "procter1903"),
        # Holmes 1911: chiefly during April and May.
        ("quercus-montana-bark", (4, 1), (5, 31), "wnc-forest1911"),
        # Brown c. 1919: usually from May to August of each year.
        ("tsuga-heterophylla-bark", (5, 1), (8, 31), "brown-forest-products"),
        # Procter 1903: September to December in Victoria.
        ("acacia-decurrens-bark", (9, 1), (12, 31), "procter1903"),
        # Procter 1885: July leaf of Virginia is the richest.
        ("rhus-glabra-leaf", (7, 1), (7, 31), "procter1885"),
    ],
)
def test_windows_of_the_sources(
    material_id: str, start: tuple[int, int], end: tuple[int, int], source: str
) -> None:
    found = best(material_id)
    assert (found.start, found.end) == (date(2026, *start), date(2026, *end))
    assert source in found.source.split(";")
    assert "not moved" in found.basis


def test_a_coppice_that_kept_a_diary_was_peeled_within_the_window() -> None:
    """Yearly report 2003 of a working oak coppice in the Siegerland (hauberg2003), some 51 degrees
    north and 350 m high: peeling began on 30 April, earlier than usual after a warm month, and
    the last bark was off on 26 May."""
    found = best("quercus-petraea-bark", latitude=51.0, altitude_m=350.0, year=2003)
    assert found.holds(date(2003, 4, 30))
    assert found.holds(date(2003, 5, 26))
    # Reports of the three years before (hauberg-reports): first and last days of peeling.
    for year, first, last in (
        (2000, (5, 2), (5, 13)),
        (2001, (5, 11), (5, 16)),
        (2002, (5, 7), (5, 27)),
    ):
        found = best("quercus-petraea-bark", latitude=51.0, altitude_m=350.0, year=year)
        assert found.holds(date(year, *first))
        assert found.holds(date(year, *last))


def test_months_told_with_a_material_lie_in_its_window() -> None:
    """The words of the materials and the days of the windows come from the same sources."""
    looked_at = 0
    for item in materials():
        windows = windows_for(item.id, latitude=None, year=2026)
        words = item.season.split(";")[0]
        told = [MONTHS.index(name) + 1 for name in MONTHS if re.search(rf"\b{name}\b", words)]
        if not told or not windows:
            continue
        looked_at += 1
        covered = {
            (window.start + timedelta(days=day)).month
            for window in windows
            for day in range((window.end - window.start).days + 1)
        }
        assert set(told) <= covered, (item.id, item.season)
    assert looked_at > 10


def test_seasons_told_with_a_material_meet_its_window() -> None:
    looked_at = 0
    for item in materials():
        if "Australia" in item.regions:
            continue
        windows = windows_for(item.id, latitude=None, year=2026)
        words = [word for word in NORTHERN if re.search(rf"\b{word}\b", item.season)]
        if not words or not windows or "pruning" in item.season:
            continue
        looked_at += 1
        months = {month for word in words for month in NORTHERN[word]}
        covered = {
            (window.start + timedelta(days=day)).month
            for window in windows
            for day in range((window.end - window.start).days + 1)
        }
        assert months & covered, (item.id, item.season, covered)
    assert looked_at > 60


def test_spring_is_four_days_later_a_degree_north_and_400_feet_up() -> None:
    """Hopkins's law as richardson2019 states it: 4 days, 1 degree, 400 ft (120 m)."""
    here = best("quercus-robur-bark", latitude=51.5, altitude_m=50.0)
    north = best("quercus-robur-bark", latitude=52.5, altitude_m=50.0)
    up = best("quercus-robur-bark", latitude=51.5, altitude_m=50.0 + 121.92)
    assert here.start == date(2026, 4, 15)
    assert north.start == up.start == date(2026, 4, 19)
    assert north.end == up.end == date(2026, 6, 19)


def test_a_window_is_not_moved_without_end() -> None:
    far = best("eucalyptus-wandoo-bark", latitude=-32.0, altitude_m=100.0)
    assert (far.start, far.start.month) == (date(2026, 9, 2), 9)
    assert "moved no farther" in far.basis


def test_oaks_are_told_for_where_they_grow() -> None:
    """Black, white, red and Spanish oak of western North Carolina: April and May (Holmes 1911)."""
    for name in ("alba", "rubra", "velutina", "falcata"):
        found = best(f"quercus-{name}-bark", latitude=35.5, altitude_m=700.0)
        assert (found.start, found.end) == (date(2026, 4, 1), date(2026, 5, 31))
    cork = best("quercus-suber-bark", latitude=40.0, altitude_m=400.0)
    assert (cork.start, cork.end) == (date(2026, 5, 15), date(2026, 8, 31))


def test_autumn_comes_earlier_uphill() -> None:
    low = best("potentilla-erecta-rhizome", latitude=50.0, altitude_m=100.0)
    high = best("potentilla-erecta-rhizome", latitude=50.0, altitude_m=100.0 + 10 * 121.92)
    assert (low.start - high.start).days == (low.end - high.end).days == 40


def test_no_window_of_a_northern_plant_is_squeezed_away_where_it_grows() -> None:
    for item in materials():
        if item.may_be_suggested and "Northern Europe" in item.regions:
            for latitude in (52.0, 57.0, 62.0):
                windows = windows_for(item.id, latitude=latitude, altitude_m=150.0, year=2026)
                assert windows, (item.id, latitude)
                assert any(window.best for window in windows), (item.id, latitude)


def test_the_south_is_half_a_year_away() -> None:
    north = best("quercus-robur-bark", latitude=51.5, altitude_m=50.0)
    south = best("quercus-robur-bark", latitude=-51.5, altitude_m=50.0)
    assert (south.start, south.end.month) == (date(2026, 10, 15), 12)
    assert (south.end - south.start) == (north.end - north.start)
    assert "half a year" in south.basis
    wattle = best("acacia-mearnsii-bark", latitude=37.5, altitude_m=100.0)
    assert (wattle.start.month, wattle.end.month) == (3, 6)


def test_a_plant_of_the_south_is_not_told_northern_months() -> None:
    found = best("eucalyptus-wandoo-bark")
    assert (found.start.month, found.end.month) == (10, 12)
    assert "turned by half a year" in found.basis
    assert best("acacia-decurrens-bark").start.month == 9


def test_between_the_tropics_there_are_words_and_no_date() -> None:
    for material_id in ("quercus-robur-bark", "vachellia-nilotica-pod"):
        assert windows_for(material_id, latitude=10.0, year=2026) == ()
        assert not re.search(r"\d", in_words(material_id, latitude=10.0, year=2026))
    assert "dry season" in in_words("vachellia-nilotica-pod", latitude=10.0, year=2026)
    assert windows_for("shorea-robusta-bark", latitude=28.0, year=2026) == ()


def test_what_is_taken_at_any_time_says_so() -> None:
    for latitude in (None, 5.0, 60.0):
        (found,) = windows_for("casuarina-equisetifolia-bark", latitude=latitude, year=2026)
        assert found.all_year
        assert not found.best
    assert "at any time of the year" in in_words("schinopsis-balansae-wood", year=2026)


def test_nothing_is_told_of_what_should_be_left_alone() -> None:
    assert windows_for("castanea-dentata-bark", latitude=40.0, year=2026) == ()
    assert in_words("castanea-dentata-bark", year=2026) == "Left alone: not to be gathered."


def test_windows_over_new_year_are_found_from_both_years() -> None:
    january = (date(2026, 1, 5), date(2026, 1, 20))
    found = windows_over("quercus-robur-bark", *january, latitude=51.5, altitude_m=50.0)
    assert [window.what for window in found] == ["winter bark, held fast"]
    assert found[0].start == date(2025, 11, 1)
    summer = (date(2026, 7, 5), date(2026, 7, 20))
    assert windows_over("quercus-robur-bark", *summer, latitude=51.5) == ()


def test_every_window_is_sound_everywhere() -> None:
    for item in materials():
        for latitude in (None, -70.0, -45.0, 0.0, 24.0, 35.0, 50.0, 71.0, 89.0):
            for window in windows_for(item.id, latitude=latitude, altitude_m=300.0, year=2027):
                length = (window.end - window.start).days
                assert seasons.SHORTEST_DAYS <= length <= 365, (item.id, latitude)
                assert window.reason
                assert window.cited
                assert window.basis


@given(
    latitude=st.floats(-90, 90),
    altitude=st.floats(-500, 6000),
    year=st.integers(seasons.FIRST_YEAR, seasons.LAST_YEAR),
)
def test_any_place_and_year_is_answered(latitude: float, altitude: float, year: int) -> None:
    for material_id in ("quercus-robur-bark", "rhus-typhina-leaf", "alnus-glutinosa-fruit"):
        windows = windows_for(material_id, latitude=latitude, altitude_m=altitude, year=year)
        assert list(windows) == sorted(windows, key=lambda window: window.start)
        assert in_words(material_id, latitude=latitude, altitude_m=altitude, year=year).endswith(
            "."
        )


@pytest.mark.parametrize(
    "wrong",
    [{"latitude": 91.0}, {"latitude": float("nan")}, {"altitude_m": 9000.0}, {"year": 99999}],
)
def test_places_that_cannot_be_are_refused(wrong: dict[str, float]) -> None:
    asked: dict[str, float] = {"latitude": 50.0, "altitude_m": 0.0, "year": 2026} | wrong
    with pytest.raises(InputError):
        windows_for("quercus-robur-bark", **asked)  # type: ignore[arg-type]


def test_an_unknown_material_is_refused() -> None:
    with pytest.raises(UnknownMaterialError):
        windows_for("no-such-bark", latitude=None, year=2026)


@pytest.mark.parametrize(
    ("name", "south"),
    [
        ("New Zealand", True),
        ("Australia", True),
        ("Chile", True),
        ("Germany", False),
        ("Japan", False),
        ("Indonesia", None),
        ("Southern America", None),
        ("world", None),
    ],
)
def test_the_half_of_the_earth_of_a_place(name: str, south: bool | None) -> None:
    assert lies_south(place(name)) is south


def test_without_a_latitude_the_half_of_the_earth_turns_the_year() -> None:
    def months(id: str, *, south: bool | None) -> set[int]:
        windows = windows_for(id, latitude=None, year=2026, south=south)
        return {window.start.month for window in windows if window.best}

    assert months("pinus-radiata-bark", south=None) == {5}
    assert months("pinus-radiata-bark", south=False) == {5}
    assert months("pinus-radiata-bark", south=True) == {11}
    assert months("acacia-mearnsii-bark", south=True) == {9}  # told for Victoria
    assert months("acacia-mearnsii-bark", south=False) == {3}
    turned = windows_for("pinus-radiata-bark", latitude=None, year=2026, south=True)
    assert "turned by half a year" in turned[0].basis
    assert "November" in in_words("pinus-radiata-bark", year=2026, south=True)
    north = windows_for("pinus-radiata-bark", latitude=50.0, year=2026)
    assert windows_for("pinus-radiata-bark", latitude=50.0, year=2026, south=True) == north

"""Counting by plant, cell and month, and what is near."""

from __future__ import annotations

from collections import Counter
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.occurrences import materials_of, near
from tanwright.planning.occurrences import tallying as module
from tanwright.planning.occurrences.naming import Match
from tanwright.planning.occurrences.tallying import Tally
from tanwright.science.sphere import great_circle_km

PLANTS = (
    Match("Quercus robur", "species"),
    Match("Quercus", "genus"),
    Match("Picea abies", "species"),
)
DAY = date(2024, 5, 3).toordinal()
records = st.lists(
    st.tuples(
        st.sampled_from(PLANTS),
        st.floats(-90, 90),
        st.floats(-180, 180),
        st.integers(1, 12),
        st.integers(DAY, DAY + 900),
    ),
    max_size=60,
)


@given(records, st.sampled_from([1, 7, 100]))
def test_it_counts_as_a_plain_loop_does(rows: list[tuple], buffer: int) -> None:
    kept = module._BUFFER
    module._BUFFER = buffer
    try:
        tally = Tally()
        for row in [*rows, *rows[::2]]:
            tally.add(*row)
        found = tally.result()
    finally:
        module._BUFFER = kept
    count: Counter[tuple] = Counter()
    latest: dict[tuple, int] = {}
    for plant, lat, lon, month, day in [*rows, *rows[::2]]:
        row = int((lat + 90) * 100 + 0.5) / 100 - 90
        column = (int((lon + 180) * 100 + 0.5) % 36000) / 100 - 180
        key = (plant, round(row, 2) + 0.0, round(column, 2) + 0.0, month)
        count[key] += 1
        latest[key] = max(day, latest.get(key, 0))
    by_rows = {row[:4]: row[4:] for row in found.rows()}
    assert by_rows == {key: (count[key], latest[key]) for key in count}


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_a_record_lies_in_its_cell(lat: float, lon: float) -> None:
    tally = Tally()
    tally.add(PLANTS[0], lat, lon, 1, DAY)
    found = tally.result()
    assert abs(float(found.latitude[0]) - lat) <= 0.005 + 1e-9
    assert abs((float(found.longitude[0]) - lon + 180) % 360 - 180) <= 0.005 + 1e-9


def test_the_date_line_has_one_side() -> None:
    tally = Tally()
    tally.add(PLANTS[0], 0.0, 180.0, 1, DAY)
    tally.add(PLANTS[0], 0.0, -180.0, 1, DAY)
    found = tally.result()
    assert (found.longitude.tolist(), found.count.tolist()) == ([-180.0], [2])


def test_nothing_counted_is_nothing_near() -> None:
    empty = Tally().result()
    assert len(empty) == 0
    assert near(empty, 51.2, 9.4, 20) == ()


@given(records, st.floats(-90, 90), st.floats(-180, 180), st.floats(1, 200))
def test_near_counts_what_lies_within_reach(
    rows: list[tuple], lat: float, lon: float, km: float
) -> None:
    tally = Tally()
    for row in rows:
        tally.add(*row)
    tallies = tally.result()
    seen = near(tallies, lat, lon, km)
    away = great_circle_km(lat, lon, tallies.latitude, tallies.longitude)
    assert sum(item.count for item in seen) == int(tallies.count[away <= km].sum())
    for item in seen:
        assert item.nearest_km <= km
        assert sum(item.months) == item.count
    assert [item.level for item in seen] == sorted((item.level for item in seen), reverse=True)


def test_over_the_date_line_too() -> None:
    tally = Tally()
    tally.add(PLANTS[0], -17.6, -179.95, 7, DAY)
    seen = near(tally.result(), -17.5, 179.9, 20)
    # Other software: geographiclib 2.1 gives 19.394 km on the ellipsoid.
    assert seen[0].nearest_km == pytest.approx(19.394, rel=0.006)


@pytest.mark.parametrize("km", [0.0, -3.0, 201.0, np.nan])
def test_a_reach_that_cannot_be(km: float) -> None:
    tally = Tally()
    tally.add(PLANTS[0], 51.0, 9.0, 7, DAY)
    with pytest.raises(InputError, match="reach"):
        near(tally.result(), 51.2, 9.4, km)


def test_a_plant_stands_for_all_its_parts() -> None:
    ids = [item.id for item in materials_of("Quercus robur")]
    assert "quercus-robur-bark" in ids
    assert all(id.startswith("quercus-robur") for id in ids)
    genus = materials_of("Quercus", "genus")
    assert {item.genus for item in genus} == {"Quercus"}
    assert len(genus) > len(ids)

"""Positions as they are typed, and the examples of RFC 5870."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.occurrences import Position, position


# Published: examples of RFC 5870 (A Uniform Resource Identifier for Geographic Locations).
@pytest.mark.parametrize(
    ("uri", "found"),
    [
        ("geo:13.4125,103.8667", Position(13.4125, 103.8667)),
        ("geo:48.2010,16.3695,183", Position(48.201, 16.3695, 183.0)),
        ("geo:48.198634,16.371648;crs=wgs84;u=40", Position(48.198634, 16.371648)),
        ("geo:90,-22.43;crs=WGS84", Position(90.0, 0.0)),
        ("geo:90,46", Position(90.0, 0.0)),
        ("geo:66,30;u=6.500;FOo=this%2dthat", Position(66.0, 30.0)),
        ("GEO:22.300,-118.44", Position(22.3, -118.44)),
    ],
)
def test_examples_of_the_standard(uri: str, found: Position) -> None:
    assert position(uri) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("51.2, 9.4", Position(51.2, 9.4)),
        ("51,2; 9,4", Position(51.2, 9.4)),
        ("51.2 9.4", Position(51.2, 9.4)),
        (" -33.9,151.2 ", Position(-33.9, 151.2)),
        ("51.2 N, 9.4 E", Position(51.2, 9.4)),
        ("33.9° S 70.6° W", Position(-33.9, -70.6)),
    ],
)
def test_as_people_write_it(text: str, found: Position) -> None:
    assert position(text) == found


@pytest.mark.parametrize(
    "text",
    ["", "here", "51.2", "91, 9", "51, 181", "51.2, 9.4, 3", "geo:51.2", "geo:95,9",
     "geo:1,2;crs=nad27", "geo:1,2;", "nan, nan", "51°12'N 9°24'E", "1e1, 2", "٥١, 9"],
)  # fmt: skip
def test_what_is_no_position_is_said(text: str) -> None:
    with pytest.raises(InputError) as refused:
        position(text)
    assert refused.value.remedy


@given(st.floats(-89.99, 89.99), st.floats(-180, 180))
def test_a_position_is_read_back_as_it_is_shown(latitude: float, longitude: float) -> None:
    here = Position(latitude, longitude)
    for text in (here.text, here.uri):
        again = position(text)
        assert again.latitude == pytest.approx(latitude, abs=1e-5)
        assert again.longitude == pytest.approx(longitude, abs=1e-5)

"""Positions as typed and as geo: URIs; the URIs are the examples printed in RFC 5870, section 6."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.position import geo_uri, position, position_words


@pytest.mark.parametrize(
    ("uri", "expected"),
    [
        ("geo:13.4125,103.8667", (13.4125, 103.8667)),
        ("geo:48.2010,16.3695,183", (48.2010, 16.3695)),
        ("geo:48.198634,16.371648;crs=wgs84;u=40", (48.198634, 16.371648)),
        ("geo:66,30;u=6.500;FOo=this%2dthat", (66.0, 30.0)),
        ("geo:70,20;foo=1.00;bar=white", (70.0, 20.0)),
        # At the poles the longitude is to be read as 0.
        ("geo:90,-22.43;crs=WGS84", (90.0, 0.0)),
        ("geo:90,46", (90.0, 0.0)),
    ],
)
def test_examples_of_rfc_5870(uri: str, expected: tuple[float, float]) -> None:
    assert position(uri) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("51.2, 9.4", (51.2, 9.4)),
        ("  51.2 9.4 ", (51.2, 9.4)),
        ("51.2,9.4", (51.2, 9.4)),
        ("51,2; 9,4", (51.2, 9.4)),
        ("51,2 9,4", (51.2, 9.4)),
        ("-33.9, 18.4", (-33.9, 18.4)),
        ("33.9 S, 18.4 E", (-33.9, 18.4)),
        ("33.9S 18.4E", (-33.9, 18.4)),
        ("N 51.2°, W 9.4°", (51.2, -9.4)),
        ("9.4 E, 51.2 N", (51.2, 9.4)),
    ],
)
def test_as_people_type_it(text: str, expected: tuple[float, float]) -> None:
    assert position(text) == pytest.approx(expected)


@pytest.mark.parametrize(
    "text",
    ["", "here", "51.2", "51.2, 9.4, 3", "91, 9", "51, 181", "geo:51.2", "geo:51,9;crs=moon",
     "51.2 N, 9.4 N", "9 E 4 E", "-5 S, 3 E", "nan, 3", "1e3, 2", "51.2; ", "\x00, 1"],
)  # fmt: skip
def test_what_is_no_position_is_refused_with_a_remedy(text: str) -> None:
    with pytest.raises(InputError) as caught:
        position(text)
    assert caught.value.remedy


@given(st.floats(min_value=-89.9, max_value=89.9), st.floats(min_value=-180.0, max_value=180.0))
def test_written_and_read_again_it_is_the_same(latitude: float, longitude: float) -> None:
    for text in (geo_uri(latitude, longitude), position_words(latitude, longitude)):
        assert position(text) == pytest.approx((latitude, longitude), abs=1e-5)
        assert "-0," not in text

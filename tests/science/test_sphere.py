"""Distances on the sphere, against the ellipsoid and against plain geometry."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science.sphere import EARTH_RADIUS_KM, degrees_around, great_circle_km

# Other software: geographiclib 2.1 (Python), Geodesic.WGS84.Inverse(...)["s12"], in km.
BY_ELLIPSOID = [
    ((51.2, 9.4, 51.38, 9.4), 20.025688315683128),
    ((51.2, 9.4, 51.2, 9.69), 20.26966957975951),
    ((51.2, 9.4, 51.35, 9.6), 21.7547736130136),
    ((-17.5, 179.9, -17.6, -179.95), 19.393642528549968),
    ((0.0, 0.0, 0.0, 1.0), 111.31949079327357),
    ((0.0, 0.0, 1.0, 0.0), 110.57438855779878),
    ((40.6, -73.8, 51.6, -0.5), 5551.759400318679),
    ((-41.32, 174.81, 40.96, -5.5), 19959.67926735382),
]
# Published: Flinders Peak to Buninyong, worked example of the Geocentric Datum of Australia
# technical manual (from memory; geographiclib gives the same 54 972.271 m).
FLINDERS_PEAK = (-(37 + 57 / 60 + 3.72030 / 3600), 144 + 25 / 60 + 29.52440 / 3600)
BUNINYONG = (-(37 + 39 / 60 + 10.15610 / 3600), 143 + 55 / 60 + 35.38390 / 3600)


@pytest.mark.parametrize(
    ("points", "km"), [*BY_ELLIPSOID, ((*FLINDERS_PEAK, *BUNINYONG), 54.972271)]
)
def test_within_the_error_that_the_docstring_states(points: tuple[float, ...], km: float) -> None:
    assert float(great_circle_km(*points)) == pytest.approx(km, rel=0.006)


def test_the_error_is_not_stated_too_large() -> None:
    worst = max(abs(float(great_circle_km(*points)) / km - 1) for points, km in BY_ELLIPSOID)
    assert worst > 0.003


def test_quarters_of_the_sphere() -> None:
    quarter = EARTH_RADIUS_KM * np.pi / 2
    found = great_circle_km(
        np.array([0.0, 0.0, -90.0]), 0.0, np.array([90.0, 0.0, 90.0]), np.array([0.0, 180.0, 77.0])
    )
    np.testing.assert_allclose(found, [quarter, 2 * quarter, 2 * quarter], rtol=1e-12)


latitudes = st.floats(-90, 90)
longitudes = st.floats(-180, 180)


@given(latitudes, longitudes, latitudes, longitudes)
def test_it_is_a_distance(a: float, b: float, c: float, d: float) -> None:
    there, back = float(great_circle_km(a, b, c, d)), float(great_circle_km(c, d, a, b))
    assert 0.0 <= there <= EARTH_RADIUS_KM * np.pi * (1 + 1e-12)
    assert there == pytest.approx(back, abs=1e-6)
    assert there == pytest.approx(float(great_circle_km(a, b + 360, c, d)), abs=1e-3)


@given(st.floats(-89.9, 89.9), longitudes, st.floats(0, 360), st.floats(0.1, 400))
def test_the_box_holds_the_circle(lat: float, lon: float, bearing: float, km: float) -> None:
    angle, turn, phi = km * 0.999 / EARTH_RADIUS_KM, np.radians(bearing), np.radians(lat)
    up = np.arcsin(np.sin(phi) * np.cos(angle) + np.cos(phi) * np.sin(angle) * np.cos(turn))
    aside = np.arctan2(
        np.sin(turn) * np.sin(angle) * np.cos(phi), np.cos(angle) - np.sin(phi) * np.sin(up)
    )
    assert float(great_circle_km(lat, lon, np.degrees(up), lon + np.degrees(aside))) <= km
    height, width = degrees_around(lat, km)
    assert abs(np.degrees(up) - lat) <= height
    assert abs(np.degrees(aside)) <= width


@pytest.mark.parametrize("latitude", [90.001, -91.0, np.nan])
def test_no_latitude_beyond_the_poles(latitude: float) -> None:
    with pytest.raises(InputError, match="latitude"):
        great_circle_km(latitude, 0.0, 0.0, 0.0)
    with pytest.raises(InputError, match="latitude"):
        degrees_around(latitude, 10.0)

"""How the seasons of plants move with latitude and height.

Source
------
Hopkins's bioclimatic law (key ``hopkins1918``, from memory; stated and tested against cameras at
104 sites by ``richardson2019``, whose broad-leaved forests followed it): in the temperate zone
events of spring come four days later for each degree of latitude poleward and for each 400 feet
(121.92 m) upward, events of autumn as much earlier.  His shift with longitude is left out: it was
found for North America and turns round in other continents (from memory).
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from tanwright.science.values import Floats, Value, within

DAYS_PER_DEGREE = 4.0
DAYS_PER_STEP_UP = 4.0
STEP_UP_M = 121.92
"""400 feet."""
LOWEST_M, HIGHEST_M = -500.0, 6000.0
"""Where plants are taken to grow."""
TROPIC_DEGREES = 23.44
"""Latitude of the tropics: nearer the equator the seasons are wet and dry, not warm and cold."""

Event = Literal["spring", "summer", "autumn", "fixed"]
_SENSE: dict[Event, float] = {"spring": 1.0, "summer": 0.0, "autumn": -1.0, "fixed": 0.0}


def days_later(
    event: Event,
    latitude: Value,
    altitude_m: Value,
    *,
    from_latitude: Value,
    from_altitude_m: Value = 0.0,
) -> Floats:
    """Days by which an event comes later than at the place it is known for; earlier is negative.

    Latitudes in degrees of either hemisphere (only the distance from the equator counts here),
    heights in metres above the sea, any shapes that broadcast.  Spring moves later poleward and
    uphill, autumn earlier, summer stays.  Raises InputError for a place that is not on earth.
    """
    poleward = np.abs(_latitude(latitude)) - np.abs(_latitude(from_latitude))
    upward = _altitude(altitude_m) - _altitude(from_altitude_m)
    days = DAYS_PER_DEGREE * poleward + DAYS_PER_STEP_UP * upward / STEP_UP_M
    return np.asarray(_SENSE[event] * days)


def in_tropics(latitude: float) -> bool:
    """Whether a latitude in degrees lies between the tropics, where the law does not hold."""
    return abs(float(_latitude(latitude))) < TROPIC_DEGREES


def _latitude(value: Value) -> Floats:
    return within(value, -90.0, 90.0, "latitude in degrees", remedy="write degrees from -90 to 90")


def _altitude(value: Value) -> Floats:
    return within(
        value, LOWEST_M, HIGHEST_M, "height in m", remedy="write metres above the sea, -500 to 6000"
    )

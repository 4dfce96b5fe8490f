"""Distances over the ground, on a sphere.

The earth is taken for a sphere with its mean radius.  Its flattening (1/298) makes a distance wrong
by up to 0.6 %: at most 0.12 km in 20 km, less than the cells in which plants are counted.

Sources
-------
Mean radius (2a + b)/3 of the ellipsoid GRS 80: Moritz, Geodetic Reference System 1980, from memory.
Haversine form of the great-circle distance: textbook mathematics, sound for short distances.
"""

from __future__ import annotations

import numpy as np

from tanwright.science.values import Floats, Value, floats, within

EARTH_RADIUS_KM = 6371.0088
KM_PER_DEGREE = EARTH_RADIUS_KM * np.pi / 180.0
"""Of latitude."""


def great_circle_km(
    latitude: Value, longitude: Value, other_latitude: Value, other_longitude: Value
) -> Floats:
    """Distance between points, km; arguments in degrees, of shapes that broadcast.

    Raises InputError for a latitude beyond the poles; longitudes may run on past 180.
    """
    phi = np.radians(within(latitude, -90.0, 90.0, "the latitude"))
    other_phi = np.radians(within(other_latitude, -90.0, 90.0, "the latitude"))
    turned = np.radians(floats(other_longitude) - floats(longitude))
    half = (
        np.sin((other_phi - phi) / 2.0) ** 2
        + np.cos(phi) * np.cos(other_phi) * np.sin(turned / 2.0) ** 2
    )
    # Rounding may carry the sum past 1 for opposite points.
    return floats(2.0 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(np.minimum(half, 1.0))))


def degrees_around(latitude: float, km: float) -> tuple[float, float]:
    """Half height and half width, degrees, of a box that holds all points within ``km``.

    The width is 180 where a pole lies within reach. Raises InputError beyond the poles.
    """
    within(latitude, -90.0, 90.0, "the latitude")
    angle = km / EARTH_RADIUS_KM
    height = float(np.degrees(angle))
    if abs(latitude) + height >= 90.0:
        return height, 180.0
    return height, float(np.degrees(np.arcsin(np.sin(angle) / np.cos(np.radians(latitude)))))

"""Hopkins's law as it is published: 4 days for each degree of latitude and each 400 feet."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.errors import InputError
from tanwright.science import phenology
from tanwright.science.phenology import days_later


def test_the_published_rule() -> None:
    """Richardson et al. 2019: four days for 1 degree of latitude and 400 ft (120 m) upward."""
    assert float(days_later("spring", 51.0, 0.0, from_latitude=50.0)) == pytest.approx(4.0)
    feet = 400.0 * 0.3048
    assert feet == pytest.approx(phenology.STEP_UP_M)
    assert float(days_later("spring", 50.0, feet, from_latitude=50.0)) == pytest.approx(4.0)
    assert float(days_later("autumn", 51.0, feet, from_latitude=50.0)) == pytest.approx(-8.0)


def test_summer_and_fixed_days_stay() -> None:
    for event in ("summer", "fixed"):
        assert float(days_later(event, 65.0, 900.0, from_latitude=45.0)) == 0.0  # type: ignore[arg-type]


def test_both_hemispheres_count_from_the_equator_and_arrays_broadcast() -> None:
    latitudes = np.array([-55.0, 55.0])
    assert days_later("spring", latitudes, 0.0, from_latitude=-50.0) == pytest.approx([20.0, 20.0])


def test_places_off_the_earth_are_refused() -> None:
    with pytest.raises(InputError, match="latitude"):
        days_later("spring", 120.0, 0.0, from_latitude=50.0)
    with pytest.raises(InputError, match="height"):
        days_later("spring", 50.0, 20_000.0, from_latitude=50.0)
    assert phenology.in_tropics(-23.0)
    assert not phenology.in_tropics(24.0)

"""Distances as they are written."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError
from tanwright.planning.occurrences.distances import distance_km, distance_words


@pytest.mark.parametrize(
    ("text", "km"),
    [("20 km", 20.0), ("12 mi", 19.312), ("1 mile", 1.609344), ("2,5km", 2.5), ("3 Kilometres", 3)],
)
def test_they_are_read(text: str, km: float) -> None:
    assert distance_km(text) == pytest.approx(km, abs=1e-3)


@pytest.mark.parametrize("text", ["", "20", "far", "-3 km", "20 m", "km", "1e3 km"])
def test_what_is_none_is_said(text: str) -> None:
    with pytest.raises(InputError, match="no distance"):
        distance_km(text, place="--within")


def test_they_are_told_in_the_reader_s_units() -> None:
    assert distance_words(20.0, "metric") == "20 km"
    assert distance_words(20.0, "us") == "12 mi"

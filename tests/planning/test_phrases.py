"""Shares in words."""

from __future__ import annotations

import pytest

from tanwright.planning.phrases import about_of_ten, of_ten


@pytest.mark.parametrize(
    ("share", "told"),
    [
        (0.0, "1 case of 10"),
        (0.31, "3 cases of 10"),
        (0.94, "9 cases of 10"),
        (0.99, "over 9 cases of 10"),
        (1.0, "over 9 cases of 10"),
    ],
)
def test_a_chance_that_is_not_certain_is_never_ten_of_ten(share: float, told: str) -> None:
    assert of_ten(share) == told


def test_about_is_not_said_of_over() -> None:
    assert about_of_ten(0.3) == "about 3 cases of 10"
    assert about_of_ten(0.99) == "over 9 cases of 10"

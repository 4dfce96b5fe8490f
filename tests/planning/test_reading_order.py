"""A strength read and a strengthening on one date: what is written above came first."""

from __future__ import annotations

import pytest

from tanwright.planning.history import History, read_history
from tanwright.planning.setting import settle
from tests.planning.tannages import readings, sheet

READ, POURED = "5,strength,6,bk", "5,strengthened,1.4,kg,,cooked in 6 L"


def read(*rows: str) -> History:
    return read_history(readings(*rows).rows, settle(sheet()), "r.csv")


@pytest.mark.parametrize(
    ("rows", "before"),
    [((READ, POURED), True), ((POURED, READ), False), ((READ,), False)],
)
def test_a_reading_above_a_strengthening_was_taken_before_it(
    rows: tuple[str, ...], before: bool
) -> None:
    (seen,) = read(*rows).observed
    assert (seen.day < 5.0) is before
    assert seen.day == pytest.approx(5.0, abs=1e-3)

"""Ladders of doses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science.trials.doses import ladder


def test_from_half_to_twice_in_five() -> None:
    assert ladder(2.0, 5) == pytest.approx([1.0, 2.0**0.5, 2.0, 2.0 * 2.0**0.5, 4.0])


@given(middle=st.floats(0.05, 10.0), rungs=st.integers(2, 9), span=st.floats(1.5, 20.0))
def test_steps_are_of_one_proportion_around_the_usual_dose(
    middle: float, rungs: int, span: float
) -> None:
    found = ladder(middle, rungs, span)
    assert found.size == rungs
    assert np.isclose(found, middle).any()
    assert found[-1] / found[0] == pytest.approx(span)
    assert np.ptp(np.diff(np.log(found))) < 1e-9


def test_the_upper_rungs_are_squeezed_under_the_stock() -> None:
    found = ladder(2.0, 5, most=3.0)
    assert found[-1] == pytest.approx(3.0)
    assert found[0] == pytest.approx(1.0)
    assert np.all(np.diff(found) > 0)


@pytest.mark.parametrize("most", [1.0, 2.0])
def test_a_stock_below_the_usual_dose_is_refused(most: float) -> None:
    with pytest.raises(InputError, match="in hand"):
        ladder(2.0, 5, most=most)
    with pytest.raises(InputError):
        ladder(2.0, 1)

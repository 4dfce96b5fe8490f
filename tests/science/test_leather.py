"""Sums of a leather analysis."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import leather

shares = st.floats(1.0, 15.0)


@given(shares, shares, shares, st.floats(0.0, 3.0), st.floats(30.0, 45.0))
def test_an_analysis_by_difference_closes(a: float, b: float, c: float, d: float, h: float) -> None:
    combined = float(leather.combined_tannin_pct(a, b, c, d, h))
    assert float(leather.closure_pct(a, b, c, d, h, combined)) == pytest.approx(100.0)


@given(st.floats(5.0, 45.0), st.floats(30.0, 60.0))
def test_degree_inverts(combined: float, hide: float) -> None:
    degree = leather.degree_of_tannage_pct(combined, hide)
    assert float(leather.combined_tannin_of_degree(degree, hide)) == pytest.approx(combined)


@given(st.floats(0.1, 50.0), st.floats(30.0, 60.0))
def test_yield_number_gives_the_leather(hide_kg: float, hide_pct: float) -> None:
    out = float(leather.leather_kg(hide_kg, hide_pct))
    assert out * hide_pct / 100.0 == pytest.approx(hide_kg)


def test_degree_does_not_change_on_a_dry_basis() -> None:
    wet = leather.degree_of_tannage_pct(26.0, 40.0)
    dry = leather.degree_of_tannage_pct(
        leather.on_dry_basis_pct(26.0, 14.0), leather.on_dry_basis_pct(40.0, 14.0)
    )
    assert float(dry) == pytest.approx(float(wet))


def test_arrays_broadcast() -> None:
    assert leather.degree_of_tannage_pct(np.ones((2, 1)), np.array([40.0, 41.0, 42.0])).shape == (
        2,
        3,
    )


def test_parts_above_the_whole_are_refused() -> None:
    with pytest.raises(InputError, match="more than 100"):
        leather.combined_tannin_pct(14.0, 30.0, 20.0, 1.0, 45.0)
    with pytest.raises(InputError):
        leather.closure_pct()

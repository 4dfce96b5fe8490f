"""Swaps and top-ups keep the mass balance and undo each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import mixing

volumes = st.floats(1.0, 500.0)
weak = st.floats(0.0, 20.0)
step = st.floats(0.5, 30.0)


@given(volumes, weak, step, step)
def test_swap_reaches_its_target_and_conserves(v: float, a: float, b: float, c: float) -> None:
    target, strong = a + b, a + b + c
    litres = mixing.litres_to_swap(v, a, target, strong)
    assert 0.0 < litres < v
    assert float(mixing.strength_after_swap(v, a, litres, strong)) == pytest.approx(target)
    assert a * (v - litres) + strong * litres == pytest.approx(target * v)


@given(volumes, weak, step, step)
def test_top_up_reaches_its_target_and_takes_more(v: float, a: float, b: float, c: float) -> None:
    target, strong = a + b, a + b + c
    litres = mixing.litres_to_top_up(v, a, target, strong)
    assert float(mixing.strength_after_top_up(v, a, litres, strong)) == pytest.approx(target)
    assert litres >= mixing.litres_to_swap(v, a, target, strong)


def test_water_thins() -> None:
    assert mixing.litres_to_top_up(10.0, 20.0, 10.0, 0.0) == pytest.approx(10.0)


def test_nothing_to_do_needs_nothing() -> None:
    assert mixing.litres_to_swap(10.0, 20.0, 20.0, 20.0) == 0.0
    assert mixing.litres_to_top_up(10.0, 20.0, 20.0, 20.0) == 0.0


@given(st.lists(st.tuples(volumes, step), min_size=1, max_size=6))
def test_a_mixture_lies_between_its_parts(parts: list[tuple[float, float]]) -> None:
    litres, strengths = np.array(parts).T
    mean = float(mixing.mixed_strength(litres, strengths))
    assert strengths.min() - 1e-9 <= mean <= strengths.max() + 1e-9


def test_mixing_runs_over_the_last_axis() -> None:
    assert mixing.mixed_strength(np.ones((4, 3)), np.arange(3.0)).shape == (4,)


@pytest.mark.parametrize("target", [5.0, 70.0])
def test_a_target_outside_is_refused(target: float) -> None:
    with pytest.raises(InputError, match="cannot be brought"):
        mixing.litres_to_swap(40.0, 10.0, target, 60.0)


def test_topping_up_to_the_stock_itself_is_refused() -> None:
    with pytest.raises(InputError, match="cannot be brought"):
        mixing.litres_to_top_up(40.0, 10.0, 60.0, 60.0)
    assert mixing.litres_to_swap(40.0, 10.0, 60.0, 60.0) == 40.0


def test_swapping_more_than_the_vat_is_refused() -> None:
    with pytest.raises(InputError, match="more is swapped"):
        mixing.strength_after_swap(40.0, 10.0, 41.0, 60.0)

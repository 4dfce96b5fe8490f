"""Percentiles of ensembles."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.belief.summary import percentiles, quantiles, spread


def test_equal_weights_give_hazens_quantiles() -> None:
    values = np.random.default_rng(0).normal(size=101)
    wanted = np.array([0.05, 0.3, 0.5, 0.95])
    assert np.allclose(quantiles(values, wanted), np.quantile(values, wanted, method="hazen"))


def test_a_weight_of_two_hardly_differs_from_writing_the_value_twice() -> None:
    rng = np.random.default_rng(1)
    values, times = rng.normal(size=400), rng.integers(1, 4, 400)
    heavy = quantiles(values, (0.05, 0.5, 0.95), times.astype(float))
    assert np.allclose(heavy, quantiles(np.repeat(values, times), (0.05, 0.5, 0.95)), atol=0.02)


def test_infinite_values_stay_at_the_end_and_never_give_gaps() -> None:
    values = np.array([1.0, 2.0, 3.0, 4.0, np.inf, np.inf, np.inf])
    found = percentiles(values)
    assert found.p50 == 4.0
    assert found.p95 == np.inf
    assert found.p05 == pytest.approx(1.0)
    assert not np.isnan(quantiles(values, np.linspace(0.0, 1.0, 50))).any()


def test_zero_weights_do_not_count() -> None:
    assert percentiles(np.array([1.0, 5.0, 9.0]), np.array([0.0, 1.0, 0.0])).p95 == 5.0


@pytest.mark.parametrize(
    ("values", "weights"),
    [([], None), ([1.0, np.nan], None), ([1.0], [0.0]), ([1.0, 2.0], [1.0]), ([1.0], [-1.0])],
)
def test_bad_rows_are_refused(values: list[float], weights: list[float] | None) -> None:
    with pytest.raises(ValueError):
        quantiles(np.array(values), (0.5,), None if weights is None else np.array(weights))


def test_spread_with_equal_weights_is_the_sample_sd() -> None:
    values = np.random.default_rng(2).normal(size=50)
    assert spread(values) == pytest.approx(np.std(values, ddof=1))
    assert spread(values, np.full(50, 0.3)) == pytest.approx(spread(values))
    assert spread(np.array([3.0])) == 0.0

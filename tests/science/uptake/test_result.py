"""Reading results between records and finding when something is first reached."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.uptake.solver import Resolution, solve
from tests.science.uptake.worlds import plain_schedule, plain_world, pour


@pytest.fixture(scope="module")
def result():
    schedule = plain_schedule(members=2, days=10.0, pours=(pour(4.0, 5.0, 5.0, 60.0, members=2),))
    return solve(plain_world(members=2), schedule, resolution=Resolution(12, 4.0, 4))


def test_reading_at_a_pour_gives_the_vat_after_it(result):
    after = np.flatnonzero(result.day == 4.0)[-1]
    vat = result.vat_tannin_g_per_l
    np.testing.assert_allclose(result.at(4.0, vat), vat[:, after])


def test_reading_between_records_is_linear_and_beyond_the_ends_constant(result):
    middle = 0.5 * (result.day[2] + result.day[3])
    expected = 0.5 * (result.mean_degree[:, 2] + result.mean_degree[:, 3])
    np.testing.assert_allclose(result.at(middle, result.mean_degree), expected)
    np.testing.assert_array_equal(result.at(99.0, result.vat_g), result.vat_g[:, -1])
    assert result.at(np.array([1.0, 2.0, 3.0]), result.vat_g).shape == (2, 3)


def test_first_day_interpolates_and_is_infinite_when_never(result):
    rising = np.tile(result.day - 3.21, (2, 1))
    rising[1] = -1.0
    np.testing.assert_allclose(result.first_day(rising), [3.21, np.inf])
    np.testing.assert_array_equal(result.first_day(rising * 0.0), [0.0, 0.0])


def test_grams_are_degrees_times_hide_substance(result):
    assert result.hide_g[0, 0] == pytest.approx(235.0 * 0.4 * 2.0)
    np.testing.assert_allclose(result.bound_g[:, -1, 0], result.mean_degree[:, -1, 0] * 188.0)


def test_a_cut_is_coloured_before_it_is_leather(result):
    assert np.all(result.flesh_leather <= result.flesh_front + 1e-12)
    assert np.all(result.grain_leather <= result.grain_front + 1e-12)

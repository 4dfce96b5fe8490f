"""Laws that uptake obeys whatever the case; each is tried on every registered one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tanwright.science.uptake.result import UptakeResult
from tanwright.science.uptake.solver import FORECAST, LEAN, Resolution, solve
from tests.invariants.uptake_cases import CASES, UptakeCase


@pytest.fixture(scope="module", params=list(CASES))
def tried(request: pytest.FixtureRequest) -> tuple[UptakeCase, UptakeResult]:
    it = CASES[request.param]()
    return it, solve(it.world, it.schedule, profiles=True)


def test_tannin_is_conserved(tried):
    _, result = tried
    held = result.vat_g + (result.bound_g + result.free_g).sum(axis=2)
    put_in = held[:, :1] + result.poured_in_g
    assert np.all(np.abs(result.imbalance_g) <= 1e-9 * put_in)


def test_nothing_is_negative_or_undefined(tried):
    _, result = tried
    for amount in (
        result.vat_tannin_g_per_l,
        result.vat_nontan_g_per_l,
        result.free_g,
        result.profile,
        result.end.total_g_per_l,
        result.end.free_g_per_l,
        result.end.nontan_g_per_l,
    ):
        assert np.all(np.isfinite(amount))
        assert np.all(amount >= 0.0)


def test_shares_and_degrees_keep_their_bounds(tried):
    it, result = tried
    through = result.struck_through
    assert np.all((through >= 0.0) & (through <= 1.0))
    assert np.all((result.flesh_front >= 0.0) & (result.grain_front >= 0.0))
    ceiling = it.world.capacity_g_per_g.max(axis=1)[:, None, None]
    assert np.all(result.profile <= ceiling[..., None] * (1.0 + 1e-9))
    assert np.all(result.least_degree <= result.mean_degree + 1e-12)
    leather = np.minimum(result.flesh_leather + result.grain_leather, 1.0)
    assert np.all(leather <= through + 1e-12)


def test_running_accounts_only_grow(tried):
    _, result = tried
    for account in (result.poured_in_g, result.poured_out_g, result.spoiled_g):
        assert np.all(np.diff(account, axis=1) >= -1e-12)


def holds_a_maximum(it: UptakeCase) -> bool:
    """Of a blend one kind may be pushed out by another; returned liquor adds to what comes in."""
    return it.world.kinds == 1 and not any(p.returned for p in it.schedule.pours)


@pytest.mark.parametrize("name", [name for name, make in CASES.items() if holds_a_maximum(make())])
def test_no_liquor_is_stronger_than_the_strongest_put_in(name: str):
    it = CASES[name]()
    result = solve(it.world, it.schedule)
    brought = [it.schedule.tannin_g_per_l, *(p.tannin_g_per_l for p in it.schedule.pours)]
    limit = np.max(brought, axis=0)[:, 0] * (1.0 + 1e-9)
    assert np.all(result.vat_tannin_g_per_l.max(axis=(1, 2)) <= limit)
    assert np.all(result.end.free_g_per_l.max(axis=(1, 2, 3)) <= limit)


def test_the_answer_does_not_hang_on_cells_and_steps(tried):
    """Against many more cells and steps; the emptied small vat is the hardest of the cases."""
    it, _ = tried
    days = np.linspace(1.0, it.schedule.end_day, 7)
    fine = solve(it.world, it.schedule, resolution=Resolution(96, 24.0, 24))
    for resolution, allowed in ((FORECAST, 0.01), (LEAN, 0.03)):
        result = solve(it.world, it.schedule, resolution=resolution)
        for name in ("vat_tannin_g_per_l", "mean_degree"):
            exact = fine.at(days, getattr(fine, name))
            error = np.abs(result.at(days, getattr(result, name)) - exact).max()
            assert error <= allowed * exact.max(), name


def test_threads_change_nothing(tried):
    it, result = tried
    alone = solve(it.world, it.schedule, threads=1)
    np.testing.assert_array_equal(alone.mean_degree, result.mean_degree)
    np.testing.assert_array_equal(alone.vat_tannin_g_per_l, result.vat_tannin_g_per_l)


def test_a_longer_tannage_begins_as_the_shorter_one(tried):
    """What is planned after a day does not reach back before it."""
    it, result = tried
    cut = max([1.0, *(c.day for c in it.schedule.conditions)]) + 0.25
    short = replace(
        it.schedule, end_day=cut, pours=tuple(p for p in it.schedule.pours if p.day < cut)
    )
    early = solve(it.world, short)
    np.testing.assert_allclose(
        early.mean_degree[:, -1], result.at(cut, result.mean_degree), rtol=0.02, atol=2e-3
    )

"""Twenty random tannages, with events, against SciPy's BDF on the same equations."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.uptake.solver import Resolution, solve
from tests.science.uptake.independent import trace
from tests.science.uptake.worlds import eventful_schedule, plausible_world

CELLS = 20
CASES = [(1 + case % 3, 1 + (case // 3) % 3) for case in range(20)]
"""(slabs, kinds of tannin) of each case."""


@pytest.mark.parametrize("case", range(20), ids=lambda c: f"{c}-{CASES[c][0]}x{CASES[c][1]}")
def test_agrees_with_an_independent_stiff_solver(case: int):
    slabs, kinds = CASES[case]
    rng = np.random.default_rng(5000 + case)
    world = plausible_world(rng, kinds=kinds, slabs=slabs)
    schedule = eventful_schedule(rng, kinds=kinds, slabs=slabs)
    days = np.array([0.3, 1.7, 4.1, 9.3, 15.9, 20.0])
    exact = trace(world, schedule, days, cells=CELLS)
    ours = solve(world, schedule, resolution=Resolution(CELLS, 12.0, 12), profiles=True)
    assert ours.euler_steps[0] == 0.0
    for mine, theirs in (
        (ours.vat_tannin_g_per_l, exact.vat_g_per_l),
        (ours.bound_g, exact.bound_g),
        (ours.free_g, exact.free_g),
    ):
        np.testing.assert_allclose(ours.at(days, mine)[0], theirs, atol=0.01 * theirs.max())
    np.testing.assert_allclose(ours.profile[0, -1], exact.profile, atol=0.01 * exact.profile.max())


def test_the_draws_cover_what_they_are_meant_to():
    """Among the twenty are closed grains, unlike slabs, lifted skins and frost."""
    closed = frost = lifted = 0
    for case, (slabs, kinds) in enumerate(CASES):
        rng = np.random.default_rng(5000 + case)
        world = plausible_world(rng, kinds=kinds, slabs=slabs)
        schedule = eventful_schedule(rng, kinds=kinds, slabs=slabs)
        closed += bool(np.any(world.grain_openness == 0.0))
        frost += any(c.heat < 1e-3 for c in schedule.conditions)
        lifted += any(c.lying is not None and not all(c.lying) for c in schedule.conditions)
    assert closed >= 4
    assert frost >= 4
    assert lifted >= 4

"""Tannin is never made or lost, and never negative, whatever happens to the vat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.science.uptake.model import FROZEN_FACTOR
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.schedule import Conditions, Pour, Schedule
from tanwright.science.uptake.solver import Resolution, solve
from tests.science.uptake.worlds import plain_schedule, plain_world, plausible_world, pour

COARSE = Resolution(cells=8, steps_per_root_day=2.0, fewest_steps=2)
MEMBERS = 3


@dataclass(frozen=True)
class Tannage:
    """One vat after another: worlds and the schedule of each vat the pelts lie in."""

    world: UptakeParameters
    vats: tuple[Schedule, ...]


def some_schedule(draw: st.DrawFn, kinds: int, slabs: int, rng: np.random.Generator) -> Schedule:
    days = draw(st.sampled_from([0.4, 3.0, 15.0]))
    vat_l = draw(st.sampled_from([0.5, 8.0, 300.0]))
    moments = st.floats(0.0, days, allow_subnormal=False)
    litres, pours = vat_l, []
    for day in sorted(draw(st.lists(moments, max_size=4))):
        what = draw(st.sampled_from(["swap", "top up", "renew", "water", "draw off"]))
        part = draw(st.floats(0.01, 0.9))
        out_l = {"swap": part, "renew": 1.0, "draw off": part}.get(what, 0.0) * litres
        in_l = {"top up": part * vat_l, "renew": vat_l, "water": part * vat_l}.get(what, 0.0)
        if what == "swap":
            in_l = out_l
        strength = 0.0 if what == "water" else draw(st.sampled_from([0.0, 3.0, 25.0, 120.0]))
        tannin = strength * rng.random((MEMBERS, kinds))
        only_below = None
        if in_l == out_l and draw(st.booleans()):
            only_below = 40.0 * rng.random(MEMBERS)
        returned = draw(st.sampled_from([0.0, 0.5, 1.0]))
        nontans = strength * rng.random(MEMBERS)
        pours.append(Pour(day, out_l, in_l, tannin, nontans, returned, only_below))
        litres += in_l - out_l
    changes = [Conditions(0.0)]
    for day in draw(st.lists(moments, max_size=3)):
        lying = tuple(draw(st.lists(st.booleans(), min_size=slabs, max_size=slabs)))
        heat = draw(st.sampled_from([FROZEN_FACTOR, 0.6, 1.0, 2.0]))
        changes.append(
            Conditions(
                day, heat, spoilage=heat, film=draw(st.sampled_from([0.1, 1, 5])), lying=lying
            )
        )
    return Schedule(
        end_day=days,
        vat_l=vat_l,
        tannin_g_per_l=draw(st.sampled_from([0.0, 2.0, 40.0])) * rng.random((MEMBERS, kinds)),
        nontan_g_per_l=10.0 * rng.random(MEMBERS),
        pours=tuple(pours),
        conditions=tuple(changes),
        stops=tuple(draw(st.lists(moments, max_size=2))),
    )


@st.composite
def tannages(draw: st.DrawFn) -> Tannage:
    kinds, slabs = draw(st.integers(1, 3)), draw(st.integers(1, 3))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    world = plausible_world(rng, members=MEMBERS, kinds=kinds, slabs=slabs)
    vats = tuple(some_schedule(draw, kinds, slabs, rng) for _ in range(draw(st.integers(1, 2))))
    return Tannage(world, vats)


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(tannages())
def test_tannin_is_conserved_and_signs_are_kept_over_any_sequence_of_events(tannage: Tannage):
    state, moved_over, had_been_put_in = None, np.zeros(MEMBERS), 0.0
    for schedule in tannage.vats:
        result = solve(tannage.world, schedule, resolution=COARSE, start=state, profiles=True)
        held = result.vat_g + (result.bound_g + result.free_g).sum(axis=2)
        put_in = held[:, :1] + result.poured_in_g
        assert np.all(np.abs(result.imbalance_g) <= 1e-9 * put_in + 1e-18)  # an attogram
        if state is not None:  # moved: the pelts begin as they came out of the vat before
            carried = held[:, 0] - result.vat_g[:, 0]
            np.testing.assert_allclose(carried, moved_over, atol=1e-12 * had_been_put_in)
        had_been_put_in = put_in.max()
        moved_over = held[:, -1] - result.vat_g[:, -1]
        state = result.end
        for amount in (
            result.vat_tannin_g_per_l,
            result.vat_nontan_g_per_l,
            result.free_g,
            result.profile,
            result.spoiled_g,
            state.total_g_per_l,
            state.free_g_per_l,
            state.nontan_g_per_l,
        ):
            assert np.all(np.isfinite(amount))
            assert np.all(amount >= 0.0)
        assert np.all((result.struck_through >= 0.0) & (result.struck_through <= 1.0))
        ceiling = tannage.world.capacity_g_per_g.max(axis=1)[:, None, None]
        assert np.all(result.mean_degree <= ceiling * (1.0 + 1e-9))
        assert np.all(result.least_degree <= result.mean_degree * (1.0 + 1e-12) + 1e-15)


def test_non_tans_are_conserved_too():
    world = plain_world(thickness=(2.0, 3.0), area=(0.4, 0.2), openness=(0.0, 0.7))
    events = (pour(2.0, 5.0, 8.0, 30.0), pour(6.0, 0.0, 4.0, 0.0))
    schedule = plain_schedule(pours=events)
    result = solve(world, schedule, resolution=COARSE)
    put_in = 20.0 * 16.0 + 8.0 * 24.0
    before = result.day == 2.0
    taken = 5.0 * result.vat_nontan_g_per_l[0, before][0]
    pelt_l = world.thickness_mm * world.area_m2
    held = 0.6 * (result.end.nontan_g_per_l[0].mean(axis=1) * pelt_l[0]).sum()
    vat = result.vat_nontan_g_per_l[0, -1] * result.vat_l[-1]
    assert abs(held + vat + taken - put_in) <= 1e-9 * put_in


def test_what_is_drawn_off_is_booked_at_the_strength_of_the_vat():
    world = plain_world(capacity=0.0, diffusivity=1e-9, film=1e-9)
    result = solve(world, plain_schedule(pours=(pour(5.0, 8.0, 3.0, 50.0),)), resolution=COARSE)
    assert result.poured_out_g[0, -1] == pytest.approx(8.0 * 20.0)
    assert result.poured_in_g[0, -1] == 150.0
    assert abs(result.vat_tannin_g_per_l[0, -1, 0] - (12 * 20 + 150) / 15) < 1e-6


def test_a_skin_out_of_the_vat_and_a_frozen_vat_stand_still():
    world = plain_world(thickness=(2.0, 3.0), area=(0.4, 0.2), openness=0.5)
    lifted = (Conditions(0.0), Conditions(3.0, lying=(False, True)), Conditions(9.0))
    result = solve(world, plain_schedule(conditions=lifted), profiles=True)
    first, last = np.searchsorted(result.day, [3.0, 9.0])
    np.testing.assert_array_equal(result.profile[0, first, 0], result.profile[0, last, 0])
    assert result.mean_degree[0, last, 1] > result.mean_degree[0, first, 1]
    assert result.mean_degree[0, -1, 0] > result.mean_degree[0, last, 0]
    frost = (Conditions(0.0), Conditions(3.0, heat=FROZEN_FACTOR), Conditions(9.0))
    still = solve(plain_world(), plain_schedule(conditions=frost))
    first, last = np.searchsorted(still.day, [3.0, 9.0])
    vat = still.vat_tannin_g_per_l[0, :, 0]
    assert abs(vat[first] - vat[last]) < 1e-3 * vat[first]


def test_spoilage_alone_is_exponential():
    world = plain_world(capacity=0.0, diffusivity=1e-9, film=1e-9, spoilage=0.05)
    result = solve(world, plain_schedule(days=30.0))
    expected = 20.0 * np.exp(-0.05 * result.day)
    np.testing.assert_allclose(result.vat_tannin_g_per_l[0, :, 0], expected, rtol=2e-3)
    np.testing.assert_allclose(result.spoiled_g[0, -1], 400.0 * (1.0 - np.exp(-1.5)), rtol=2e-3)

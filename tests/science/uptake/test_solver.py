"""What ``solve`` promises about its arguments: shapes, threads, order of worlds, going on."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from tanwright.science.uptake import kernel
from tanwright.science.uptake.result import SlabState, UptakeResult
from tanwright.science.uptake.schedule import Schedule
from tanwright.science.uptake.solver import FINE, FORECAST, LEAN, Resolution, solve
from tests.science.uptake.worlds import (
    eventful_schedule,
    plain_schedule,
    plain_world,
    plausible_world,
    pour,
)

RESOLUTION = Resolution(12, 4.0, 4)


def pick(schedule: Schedule, rows: np.ndarray) -> Schedule:
    return replace(
        schedule,
        tannin_g_per_l=schedule.tannin_g_per_l[rows],
        nontan_g_per_l=schedule.nontan_g_per_l[rows],
        pours=tuple(
            replace(p, tannin_g_per_l=p.tannin_g_per_l[rows], nontan_g_per_l=p.nontan_g_per_l[rows])
            for p in schedule.pours
        ),
    )


def per_member(result: UptakeResult) -> dict[str, np.ndarray]:
    plain = {
        f.name: getattr(result, f.name)
        for f in fields(result)
        if f.name not in ("day", "vat_l", "end", "profile", "newton_steps")
    }
    return plain | {f"end.{f.name}": getattr(result.end, f.name) for f in fields(SlabState)}


@pytest.mark.parametrize("kinds", [1, 2])
def test_threads_and_the_order_and_company_of_worlds_change_nothing(kinds: int):
    rng = np.random.default_rng(11)
    world = plausible_world(rng, members=37, kinds=kinds, slabs=2)
    schedule = eventful_schedule(rng, members=37, kinds=kinds, slabs=2)
    one = solve(world, schedule, resolution=RESOLUTION, threads=1)
    three = solve(world, schedule, resolution=RESOLUTION, threads=3)
    rows = rng.permutation(37)[:23]
    some = solve(world.rows(rows), pick(schedule, rows), resolution=RESOLUTION)
    for name, value in per_member(one).items():
        np.testing.assert_array_equal(per_member(three)[name], value, err_msg=name)
        np.testing.assert_array_equal(per_member(some)[name], value[rows], err_msg=name)


def test_going_on_from_the_end_is_the_same_as_not_stopping():
    world = plain_world(thickness=(2.0, 3.0), area=(0.3, 0.2), spoilage=0.01)
    whole = solve(world, plain_schedule(pours=(pour(8.0, 0.0, 5.0, 30.0),)), resolution=RESOLUTION)
    first = solve(world, plain_schedule(days=8.0), resolution=RESOLUTION)
    rest = Schedule(
        end_day=12.0,
        vat_l=20.0,
        tannin_g_per_l=first.vat_tannin_g_per_l[:, -1],
        nontan_g_per_l=first.vat_nontan_g_per_l[:, -1],
        pours=(pour(0.0, 0.0, 5.0, 30.0),),
    )
    second = solve(world, rest, resolution=RESOLUTION, start=first.end)
    for name in ("mean_degree", "flesh_front", "grain_front", "free_g"):
        np.testing.assert_allclose(
            getattr(second, name)[:, -1], getattr(whole, name)[:, -1], rtol=1e-9, err_msg=name
        )
    np.testing.assert_allclose(
        second.vat_tannin_g_per_l[:, -1], whole.vat_tannin_g_per_l[:, -1], rtol=1e-9
    )


def test_strengths_may_be_given_once_for_all_worlds():
    world = plain_world(members=3)
    schedule = replace(
        plain_schedule(), tannin_g_per_l=np.array([20.0]), nontan_g_per_l=np.array(16.0)
    )
    spread = solve(world, schedule, resolution=RESOLUTION)
    full = solve(world, plain_schedule(members=3), resolution=RESOLUTION)
    np.testing.assert_array_equal(spread.vat_tannin_g_per_l, full.vat_tannin_g_per_l)


def test_no_layout_of_the_input_is_compiled_for_anew():
    world = plain_world(members=4)
    solve(world, plain_schedule(members=4), resolution=RESOLUTION)
    before = len(kernel.run.signatures)
    end = solve(world.rows(slice(0, 4, 2)), plain_schedule(members=2), resolution=RESOLUTION).end
    frozen = SlabState(*(np.broadcast_to(a[:1], a.shape) for a in vars(end).values()))
    schedule = replace(
        plain_schedule(pours=(pour(2.0, 1.0, 1.0, 9.0),)), nontan_g_per_l=np.array(16.0)
    )
    schedule = replace(schedule, tannin_g_per_l=np.asfortranarray(np.full((2, 1), 20.0)))
    late = replace(schedule.pours[0], tannin_g_per_l=np.float64(9.0), nontan_g_per_l=np.zeros(2))
    schedule = replace(schedule, pours=(late,))
    solve(world.rows(slice(0, 2)), schedule, resolution=RESOLUTION, start=frozen, profiles=True)
    assert len(kernel.run.signatures) == before


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"tannin_g_per_l": np.ones((2, 1))}, "schedule.tannin_g_per_l"),
        ({"nontan_g_per_l": np.ones(2)}, "schedule.nontan_g_per_l"),
        ({"pours": (pour(1.0, 0.0, 1.0, 5.0, members=2),)}, "pour.tannin_g_per_l"),
    ],
)
def test_a_strength_of_the_wrong_shape_is_refused_by_name(change: dict, name: str):
    with pytest.raises(ValueError, match=name):
        solve(plain_world(members=3), replace(plain_schedule(members=3), **change))


def test_pelts_on_another_grid_are_refused():
    end = solve(plain_world(), plain_schedule(), resolution=RESOLUTION).end
    with pytest.raises(ValueError, match="start has shape"):
        solve(plain_world(), plain_schedule(), resolution=Resolution(16), start=end)


def test_the_record_holds_each_pour_twice_and_each_stop_once():
    schedule = plain_schedule(days=10.0, pours=(pour(4.0, 5.0, 5.0, 40.0),), stops=(3.3, 7.7))
    result = solve(plain_world(), schedule, resolution=RESOLUTION)
    assert np.count_nonzero(np.abs(result.day - 4.0) < 1e-9) == 2
    assert np.count_nonzero(np.abs(result.day - 3.3) < 1e-9) == 1
    assert np.all(np.diff(result.day) >= 0.0)
    before, after = np.flatnonzero(np.abs(result.day - 4.0) < 1e-9)
    vat = result.vat_tannin_g_per_l[0, :, 0]
    assert vat[after] == pytest.approx((15.0 * vat[before] + 200.0) / 20.0)


def test_profiles_are_kept_only_when_asked_for_and_agree_with_the_mean():
    lean = solve(plain_world(), plain_schedule(), resolution=RESOLUTION)
    full = solve(plain_world(), plain_schedule(), resolution=RESOLUTION, profiles=True)
    assert lean.profile.size == 0
    np.testing.assert_allclose(full.profile.mean(axis=3), full.mean_degree, rtol=1e-12)
    np.testing.assert_array_equal(full.profile.min(axis=3), full.least_degree)


def test_newton_needs_few_steps():
    rng = np.random.default_rng(3)
    world = plausible_world(rng, members=32)
    result = solve(world, plain_schedule(members=32), resolution=FORECAST)
    stages = 2 * (result.day.size - 1)
    assert np.all(result.newton_steps <= 5 * stages)
    assert np.all(result.euler_steps == 0.0)


def test_the_offered_resolutions_are_ordered():
    assert LEAN.cells < FORECAST.cells < FINE.cells
    assert LEAN.steps_per_root_day <= FORECAST.steps_per_root_day < FINE.steps_per_root_day

"""Tannages on which every law of uptake is tried. A new case is one function with ``@case``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from tanwright.science.uptake.model import FROZEN_FACTOR, heat_factor, spoilage_factor
from tanwright.science.uptake.parameters import UptakeParameters
from tanwright.science.uptake.schedule import Conditions, Schedule
from tests.science.uptake.worlds import plain_schedule, plausible_world, pour

MEMBERS = 5


@dataclass(frozen=True)
class UptakeCase:
    """Worlds and what happens to their vat."""

    world: UptakeParameters
    schedule: Schedule


CASES: dict[str, Callable[[], UptakeCase]] = {}


def case(make: Callable[[], UptakeCase]) -> Callable[[], UptakeCase]:
    """Enrols ``make`` under its name."""
    CASES[make.__name__] = make
    return make


def spread(seed: int, *, kinds: int = 1, slabs: int = 1) -> UptakeParameters:
    return plausible_world(np.random.default_rng(seed), members=MEMBERS, kinds=kinds, slabs=slabs)


@case
def two_sided_light_skin() -> UptakeCase:
    world = replace(spread(1), grain_openness=np.full((MEMBERS, 1), 0.6))
    events = (pour(3.0, 5.0, 5.0, 40.0, members=MEMBERS),)
    return UptakeCase(world, plain_schedule(members=MEMBERS, pours=events))


@case
def one_sided_with_the_hair_on() -> UptakeCase:
    world = replace(spread(2), grain_openness=np.zeros((MEMBERS, 1)))
    return UptakeCase(world, plain_schedule(members=MEMBERS, days=40.0, vat_l=50.0))


@case
def blend_of_two_unlike_tannins() -> UptakeCase:
    events = (pour(5.0, 0.0, 6.0, 35.0, members=MEMBERS, kinds=2),)
    return UptakeCase(spread(3, kinds=2), plain_schedule(members=MEMBERS, kinds=2, pours=events))


@case
def blend_of_three() -> UptakeCase:
    return UptakeCase(spread(4, kinds=3), plain_schedule(members=MEMBERS, kinds=3))


@case
def three_skins_of_unlike_thickness() -> UptakeCase:
    schedule = plain_schedule(members=MEMBERS, vat_l=80.0)
    return UptakeCase(spread(5, slabs=3), schedule)


@case
def one_of_two_skins_taken_out_and_put_back() -> UptakeCase:
    moves = (
        Conditions(0.0),
        Conditions(4.0, lying=(True, False)),
        Conditions(9.0, lying=(True, True)),
    )
    schedule = plain_schedule(members=MEMBERS, conditions=moves)
    return UptakeCase(spread(6, slabs=2), schedule)


@case
def a_frozen_week_and_a_hot_one() -> UptakeCase:
    weather = (
        Conditions(0.0, heat=float(heat_factor(10.0)), spoilage=float(spoilage_factor(10.0))),
        Conditions(5.0, heat=FROZEN_FACTOR, spoilage=FROZEN_FACTOR),
        Conditions(12.0, heat=float(heat_factor(28.0)), spoilage=float(spoilage_factor(28.0))),
    )
    return UptakeCase(spread(7), plain_schedule(members=MEMBERS, conditions=weather))


@case
def renewed_from_weak_to_strong() -> UptakeCase:
    steps = ((3.0, 8.0), (7.0, 16.0), (12.0, 32.0))
    events = tuple(pour(day, 20.0, 20.0, g, members=MEMBERS) for day, g in steps)
    return UptakeCase(spread(8), plain_schedule(members=MEMBERS, tannin=4.0, pours=events))


@case
def rinsed_in_water() -> UptakeCase:
    events = (pour(10.0, 20.0, 20.0, 0.0, members=MEMBERS),)
    return UptakeCase(spread(9), plain_schedule(members=MEMBERS, pours=events))


@case
def strengthened_for_need_only() -> UptakeCase:
    swap = pour(6.0, 8.0, 8.0, 60.0, members=MEMBERS)
    swap = replace(swap, returned=1.0, only_below_g_per_l=np.array([10.0, 20.0, 25.0, 30.0, 99.0]))
    return UptakeCase(spread(10), plain_schedule(members=MEMBERS, pours=(swap,)))


@case
def tiny_greedy_vat() -> UptakeCase:
    world = replace(spread(11), capacity_g_per_g=np.full((MEMBERS, 1), 0.9))
    return UptakeCase(world, plain_schedule(members=MEMBERS, vat_l=1.0, tannin=60.0))

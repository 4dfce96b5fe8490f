"""Parameters refuse what cannot be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.science.uptake.worlds import plain_world


def test_members_kinds_and_slabs_come_from_the_shapes():
    world = plain_world(members=4, kinds=2, thickness=(1.0, 2.0, 3.0), area=(1.0, 1.0, 1.0))
    assert (world.members, world.kinds, world.slabs) == (4, 2, 3)
    assert world.rows(np.array([3, 1])).members == 2


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("affinity_l_per_g", np.ones((2, 2)), "has shape"),
        ("thickness_mm", np.array([[0.0], [1.0]]), "positive"),
        ("pore_share", np.array([0.0, 0.5]), "positive"),
        ("area_m2", np.array([[-1.0], [1.0]]), "negative"),
        ("spoilage_per_day", np.array([np.nan, 0.0]), "finite"),
    ],
)
def test_a_bad_parameter_is_refused_by_name(name: str, value: np.ndarray, words: str):
    with pytest.raises(ValueError, match=f"{name}.*{words}"):
        replace(plain_world(members=2), **{name: value})

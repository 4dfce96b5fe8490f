"""Cited constants of science/ and the reference tables carry the same published figures."""

import numpy as np
import pytest

from tanwright.reference.loader import table
from tanwright.science import bark_yield, beamhouse, hide

GROUP_IDS = {
    "1": "cedar", "2": "douglas-fir", "3": "fir", "4": "pine", "5": "spruce", "6": "willow",
    "7": "birch", "8": "mixed", "9": "oak", "10": "woodland-oak",
}  # fmt: skip


@pytest.mark.parametrize(("row_id", "key"), GROUP_IDS.items())
def test_allometry(row_id: str, key: str) -> None:
    row = next(row for row in table("allometry") if row.text("id") == row_id)
    group = bark_yield.GROUPS[key]
    assert (row.number("b0"), row.number("b1")) == (group.b0, group.b1)
    assert row.text("kind") == group.wood
    assert float(bark_yield.above_ground_kg(20.0, group)) == pytest.approx(
        row.number("check_at_20_cm_kg"), abs=0.006
    )


@pytest.mark.parametrize(("row_id", "key"), GROUP_IDS.items())
def test_genera_of_the_table_find_the_same_group(row_id: str, key: str) -> None:
    row = next(row for row in table("allometry") if row.text("id") == row_id)
    assert {bark_yield.group_of(genus).key for genus in row.words("genera")} == {key}


def test_lime_in_water() -> None:
    rows = table("lime_solubility")
    at = np.array([row.number("temperature_c") for row in rows])
    printed = np.array([row.number("cao_g_per_l") for row in rows])
    assert np.allclose(beamhouse.saturated_lime_g_per_l(at), printed, atol=1e-12)


def test_nitrogen_of_hides() -> None:
    printed = {row.text("animal"): row.number("nitrogen_pct") for row in table("hide_nitrogen")}
    for animal, nitrogen in hide.NITROGEN_PCT.items():
        assert printed[animal] == nitrogen

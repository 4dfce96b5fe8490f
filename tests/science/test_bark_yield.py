"""Bark from trees and trunks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science import bark_yield

groups = st.sampled_from(list(bark_yield.GROUPS.values()))
diameters = st.floats(2.5, 56.0)


@given(groups, diameters, diameters)
def test_a_thicker_tree_carries_more(group: bark_yield.TreeGroup, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert bark_yield.stem_bark_kg(low, group) <= bark_yield.stem_bark_kg(high, group)


@given(groups, diameters)
def test_stem_and_foliage_stay_below_the_whole(group: bark_yield.TreeGroup, dbh: float) -> None:
    whole = float(bark_yield.above_ground_kg(dbh, group))
    parts = sum(
        float(bark_yield.component_kg(dbh, group, part))
        for part in ("stem bark", "stem wood", "foliage")
    )
    assert parts < whole


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Quercus robur", "oak"),
        ("Picea abies", "spruce"),
        ("Tsuga canadensis", "fir"),
        ("Salix caprea", "willow"),
        ("Betula", "birch"),
        ("Castanea sativa", "mixed"),
        ("Acer rubrum", "birch"),
        ("Acer saccharum", "oak"),
        ("Acer campestre", "mixed"),
        ("Larix decidua", "cedar"),
    ],
)
def test_genus_finds_its_group(name: str, key: str) -> None:
    assert bark_yield.group_of(name).key == key


def test_every_genus_points_to_a_group() -> None:
    assert set(bark_yield._GENERA) | set(bark_yield._SPECIES.values()) <= set(bark_yield.GROUPS)


def test_a_herb_has_no_group() -> None:
    with pytest.raises(InputError, match="no biomass group"):
        bark_yield.group_of("Potentilla erecta")


def test_sizes_outside_the_fit_are_refused() -> None:
    with pytest.raises(InputError, match="diameter"):
        bark_yield.above_ground_kg(1.0, bark_yield.GROUPS["oak"])
    with pytest.raises(InputError, match="diameter"):
        bark_yield.above_ground_kg(400.0, bark_yield.GROUPS["oak"])


def test_a_thin_bark_is_its_surface_times_its_thickness() -> None:
    volume = float(bark_yield.section_bark_l(30.0, 2.0, 0.1))
    assert volume == pytest.approx(np.pi * 0.3 * 2.0 * 0.1, rel=1e-3)


@given(st.floats(5.0, 60.0), st.floats(0.5, 6.0), st.floats(0.01, 0.99))
def test_bark_is_the_outer_ring(diameter: float, length: float, part: float) -> None:
    thickness = part * 5.0 * diameter
    outer = np.pi / 4.0 * (diameter / 100.0) ** 2
    inner = np.pi / 4.0 * (diameter / 100.0 - 2.0 * thickness / 1000.0) ** 2
    expected = 1000.0 * (outer - inner) * length
    ours = float(bark_yield.section_bark_l(diameter, length, thickness))
    assert ours == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_bark_thicker_than_the_trunk_is_refused() -> None:
    with pytest.raises(InputError, match="thicker"):
        bark_yield.section_bark_l(10.0, 1.0, 60.0)


@given(st.floats(0.0, 2.0), st.floats(0.1, 100.0))
def test_moisture_bases_and_masses_agree(moisture: float, dry: float) -> None:
    wet = bark_yield.wet_basis(moisture)
    assert float(wet / (1.0 - wet)) == pytest.approx(moisture, abs=1e-12)
    green = bark_yield.green_from_dry_kg(dry, moisture)
    assert float(green * (1.0 - wet)) == pytest.approx(dry)


def test_a_log_agrees_both_ways() -> None:
    # ring of bark over wood volume, then back through the share of the wood
    wood = np.pi / 4.0 * 0.26**2 * 2.0 * 1000.0
    ring = float(bark_yield.section_bark_l(30.0, 2.0, 20.0))
    assert float(bark_yield.section_bark_of_wood_l(wood, ring / wood)) == pytest.approx(ring)
    assert float(bark_yield.bark_mass_kg(ring, 0.56)) == pytest.approx(0.56 * ring)


def test_arrays_broadcast() -> None:
    diameters_cm = np.array([10.0, 20.0, 30.0])
    assert bark_yield.stem_bark_kg(diameters_cm, bark_yield.GROUPS["oak"]).shape == (3,)
    part = np.array([[0.5], [0.75]])
    assert bark_yield.peelable_kg(diameters_cm, part).shape == (2, 3)


def test_an_unknown_group_names_the_known_ones() -> None:
    with pytest.raises(InputError, match="use one of cedar, douglas-fir"):
        bark_yield.tree_group("palm")
    assert bark_yield.tree_group("oak").name.endswith("beech")

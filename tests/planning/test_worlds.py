"""From draws to the numbers the engine runs on."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.planning.worlds import (
    NEAREST_SERIES,
    cook_c,
    log_spread,
    make_worlds,
    middle_world,
    response_of,
)
from tanwright.reference import parameters
from tests.planning.tannages import drawn


def test_body_and_thick_place_together_are_the_pelt() -> None:
    setting, _, worlds = drawn()
    uptake = worlds.uptake
    volume_l = (uptake.area_m2 * uptake.thickness_mm).sum(axis=1)
    density = parameters.parameter("pelt_density").median
    assert volume_l * density == pytest.approx(worlds.pelt_kg.sum(axis=1), rel=1e-9)
    hide_g = (uptake.area_m2 * uptake.thickness_mm).sum(axis=1) * uptake.hide_g_per_l
    assert hide_g == pytest.approx(1000.0 * worlds.hide_kg.sum(axis=1), rel=1e-9)
    assert np.all(uptake.thickness_mm[:, 1] >= uptake.thickness_mm[:, 0])
    share = uptake.area_m2[:, 1] / uptake.area_m2.sum(axis=1)
    assert share == pytest.approx(parameters.parameter("thick_area").median)
    assert setting.skins[0].count == 1


def test_twelve_skins_weigh_twelve_times_one() -> None:
    _, _, one = drawn()
    _, _, dozen = drawn(skin_count=12, vat_volume="100 L")
    assert dozen.pelt_kg == pytest.approx(12.0 * one.pelt_kg)
    assert dozen.thickness_mm == pytest.approx(one.thickness_mm)


def test_hair_closes_the_grain_side() -> None:
    _, _, off = drawn()
    _, _, on = drawn(skin_hair="on")
    assert np.all(on.uptake.grain_openness == 0.0)
    assert np.all((off.uptake.grain_openness > 0.0) & (off.uptake.grain_openness <= 1.0))


def test_every_world_is_physical() -> None:
    _, _, worlds = drawn(2000)
    for values in (
        worlds.pelt_kg, worlds.hide_kg, worlds.thick_mm, worlds.drawn_g_per_kg,
        worlds.solubles_per_degree, worlds.colour_degree, worlds.leather_degree,
        worlds.uptake.thickness_mm, worlds.uptake.area_m2, worlds.uptake.diffusivity_mm2_per_day,
    ):  # fmt: skip
        assert np.all(np.isfinite(values))
        assert np.all(values > 0.0)
    for share in (worlds.tannin_share, worlds.purity, worlds.uptake.pore_share):
        assert np.all((share > 0.0) & (share < 1.0))
    assert np.all(worlds.drawn_g_per_kg < worlds.contained_g_per_kg)
    assert np.all(worlds.hide_kg < worlds.pelt_kg)


def test_fresh_material_holds_less_in_a_kilo_and_fine_pieces_give_more() -> None:
    _, _, dry = drawn()
    _, _, fresh = drawn(material_state="fresh")
    _, _, fine = drawn(material_grind="fine")
    _, _, coarse = drawn(material_grind="coarse")
    assert np.median(fresh.drawn_g_per_kg) < 0.8 * np.median(dry.drawn_g_per_kg)
    assert np.all(fine.drawn_g_per_kg > coarse.drawn_g_per_kg)


def test_moving_the_skins_thins_the_film_and_pumps() -> None:
    _, _, still = drawn(vat_move="still")
    _, _, often = drawn(vat_move="often")
    assert np.all(often.uptake.film_mm_per_day > still.uptake.film_mm_per_day)
    assert np.all(often.uptake.diffusivity_mm2_per_day > still.uptake.diffusivity_mm2_per_day)


def test_a_blend_has_unlike_tannins_and_one_material_the_common_one() -> None:
    two = [{"id": "unknown-bark"}, {"id": "rhus-coriaria-leaf"}]
    _, _, blend = drawn(material=two)
    assert blend.uptake.diffusivity_mm2_per_day.shape[1] == 2
    ratio = blend.uptake.diffusivity_mm2_per_day[:, 1] / blend.uptake.diffusivity_mm2_per_day[:, 0]
    assert 0.2 < log_spread(ratio) < 0.8
    _, _, one = drawn()
    assert one.uptake.diffusivity_mm2_per_day.shape[1] == 1


def test_the_middle_world_is_the_median_of_each_unknown() -> None:
    setting, z, worlds = drawn(2001)
    middle = middle_world(setting)
    assert middle.members == 1
    assert middle.tannin_share[0, 0] == pytest.approx(setting.lots[0].tannin.median)
    after = middle_world(setting, z + 1.0)
    at = make_worlds(setting, np.median(z + 1.0, axis=0)[None, :])
    assert after.tannin_share == pytest.approx(at.tannin_share)
    assert float(np.median(worlds.tannin_share)) == pytest.approx(
        middle.tannin_share[0, 0], rel=0.05
    )


def test_rows_pick_the_same_worlds_everywhere() -> None:
    _, _, worlds = drawn(50)
    some = worlds.rows(slice(10, 20))
    assert some.members == 10
    assert some.uptake.thickness_mm == pytest.approx(worlds.uptake.thickness_mm[10:20])
    assert some.drawn_g_per_kg == pytest.approx(worlds.drawn_g_per_kg[10:20])


@pytest.mark.parametrize(
    ("material", "warmth"),
    [("quercus-robur-bark", (70.0, 90.0)), ("rhus-coriaria-leaf", (45.0, 65.0))],
)
def test_bark_is_simmered_and_leaves_are_kept_cooler(
    material: str, warmth: tuple[float, float]
) -> None:
    setting, _, _ = drawn(10, material=[{"id": material}])
    assert warmth[0] <= cook_c(setting.lots[0]) <= warmth[1]


def test_every_part_of_a_plant_has_a_series_that_stands_for_it() -> None:
    for material in (
        "unknown-bark", "unknown-leaf", "quercus-robur-gall", "camellia-sinensis-leaf",
        "castanea-sativa-wood", "rumex-hymenosepalus-root",
    ):  # fmt: skip
        setting, _, worlds = drawn(20, material=[{"id": material}])
        assert response_of(setting.lots[0]) is not None
        assert np.all(worlds.drawn_g_per_kg > 0.0)
    assert set(NEAREST_SERIES) == {"bark", "leaf", "root", "wood", "fruit"}


def test_the_spread_of_nothing_is_not_a_number() -> None:
    assert np.isnan(log_spread(np.array([])))
    assert log_spread(np.array([1.0, 1.0])) == 0.0

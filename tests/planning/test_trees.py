"""What a tree gives follows its size, its kind and what is known of it."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.planning.trees import PARTS_OF_RANGE, Trunk, tree_yield
from tanwright.reference.lots import Lot
from tanwright.science import bark_yield

PLAIN = Lot()


def test_the_middle_of_the_bark_is_that_of_the_equations() -> None:
    """Oven-dry bark of the stem, peeled by the middle of the usual share, with 13 % water."""
    found = tree_yield("quercus-robur-bark", Trunk(30.0), lot=PLAIN)
    stem = float(bark_yield.stem_bark_kg(30.0, bark_yield.tree_group("oak")))
    low, high = bark_yield.PEELABLE_SHARE
    assert found.air_dry_kg.p50 == pytest.approx(stem * (low + high) / 2.0 / 0.87, rel=0.05)
    assert found.air_dry_kg.p05 < 0.65 * found.air_dry_kg.p50
    assert found.fresh_kg.p50 > found.air_dry_kg.p50


def test_more_tree_gives_more_of_everything() -> None:
    thin, thick = (tree_yield("spruce", Trunk(cm), lot=PLAIN) for cm in (15.0, 40.0))
    for name in ("fresh_kg", "air_dry_kg", "tannin_kg", "skin_kg"):
        assert getattr(thick, name).p50 > 3.0 * getattr(thin, name).p50


def test_a_name_that_fits_many_species_is_wider_than_one_species() -> None:
    many = tree_yield("oak", Trunk(30.0), lot=PLAIN)
    one = tree_yield("quercus-robur-bark", Trunk(30.0), lot=PLAIN)
    assert len(many.species) > 5
    assert one.species == ("quercus-robur-bark",)
    assert all(name.startswith("quercus-") for name in many.species)
    assert many.tannin_pct.p95 / many.tannin_pct.p05 > one.tannin_pct.p95 / one.tannin_pct.p05


def test_a_firmer_leather_means_less_skin() -> None:
    soft = tree_yield("oak", Trunk(30.0), lot=PLAIN, leather="soft")
    sole = tree_yield("oak", Trunk(30.0), lot=PLAIN, leather="sole")
    assert sole.skin_kg.p50 < 0.75 * soft.skin_kg.p50


def test_a_measured_thickness_of_bark_narrows_the_range() -> None:
    loose = tree_yield("oak", Trunk(30.0, 2.0), lot=PLAIN)
    sharp = tree_yield("oak", Trunk(30.0, 2.0, 8.0), lot=PLAIN)
    assert sharp.air_dry_kg.p95 / sharp.air_dry_kg.p05 < loose.air_dry_kg.p95 / loose.air_dry_kg.p05


def test_the_causes_share_out_the_range() -> None:
    found = tree_yield("oak", Trunk(30.0), lot=PLAIN)
    assert {cause.name for cause in found.causes} == set(PARTS_OF_RANGE)
    assert sum(cause.share for cause in found.causes) == pytest.approx(1.0)
    assert [cause.share for cause in found.causes] == sorted(
        (cause.share for cause in found.causes), reverse=True
    )


def test_the_same_seed_gives_the_same_answer() -> None:
    once, again = (tree_yield("oak", Trunk(30.0), lot=PLAIN, seed=3) for _ in range(2))
    other = tree_yield("oak", Trunk(30.0), lot=PLAIN, seed=4)
    assert once == again
    assert once != other
    assert other.skin_kg.p50 == pytest.approx(once.skin_kg.p50, rel=0.1)


def test_what_is_known_of_the_lot_moves_the_strength() -> None:
    plain = tree_yield("alder", Trunk(20.0), lot=PLAIN)
    old = tree_yield("alder", Trunk(20.0), lot=Lot(tree_age="old"))
    assert old.tannin_pct.p50 < 0.8 * plain.tannin_pct.p50


@pytest.mark.parametrize("name", ["pear", "sumac leaf", "zzz"])
def test_a_tree_that_nobody_weighed(name: str) -> None:
    with pytest.raises(UnknownMaterialError, match="no tree is called"):
        tree_yield(name, Trunk(30.0), lot=PLAIN)


@pytest.mark.parametrize("cm", [1.0, 200.0])
def test_a_diameter_outside_the_equations(cm: float) -> None:
    with pytest.raises(InputError, match="than any that was weighed"):
        tree_yield("oak", Trunk(cm), lot=PLAIN)

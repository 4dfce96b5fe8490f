"""Priors: the statistical rule of docs/method/priors.md."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.reference.evidence import (
    AIR_DRY_SOLIDS,
    Pooled,
    logit,
    lot_spread_floor,
    pooled,
)
from tanwright.reference.lots import LIGHTS, SOILS, TREE_AGES, TRUNK_PARTS, Lot
from tanwright.reference.materials import PARTS, material, materials
from tanwright.reference.priors import (
    UNNAMED_SHIFT,
    kinship,
    left_out_scores,
    measured_purities,
    moisture_prior,
    purity_prior,
    tannin_prior,
)

IDS = [item.id for item in materials()] + [f"unknown-{part}" for part in PARTS]


def evidence_of(id: str) -> Pooled:
    found = pooled(material(id))
    assert found is not None
    return found


def percent(id: str, lot: Lot | None = None) -> tuple[float, float, float]:
    low, middle, high = 100.0 * tannin_prior(id, lot).unknown.quantile(np.array([0.05, 0.5, 0.95]))
    return float(low), float(middle), float(high)


def test_oak_bark_is_about_eleven_per_cent() -> None:
    low, middle, high = percent("quercus-robur-bark")
    assert 10.0 < middle < 12.5
    assert 5.5 < low < 7.5
    assert 16.0 < high < 20.0


def test_sumac_is_about_twenty_four_per_cent() -> None:
    low, middle, high = percent("rhus-coriaria-leaf")
    assert 22.0 < middle < 26.0
    assert 12.0 < low < 18.0
    assert 31.0 < high < 40.0


def test_a_bark_that_nobody_named_is_wide() -> None:
    low, middle, high = percent("unknown-bark")
    assert 8.5 < middle < 12.0
    assert 2.0 < low < 4.0
    assert 25.0 < high < 35.0


@pytest.mark.parametrize("id", IDS)
def test_no_prior_is_a_point_and_none_leaves_the_possible(id: str) -> None:
    prior = tannin_prior(id)
    unknown = prior.unknown
    assert unknown.name == f"tannin:{id}"
    assert unknown.shape == "logit"
    assert unknown.spread >= lot_spread_floor()
    assert unknown.spread < 1.6
    low, middle, high = percent(id)
    assert 0.0 < low < middle < high < 100.0
    assert unknown.sources
    assert prior.rule
    assert "\n" not in prior.rule
    assert unknown.label.startswith("how strong the ")


@pytest.mark.parametrize("id", [item.id for item in materials() if pooled(item) is not None])
def test_the_range_of_a_lot_reaches_the_published_figures(id: str) -> None:
    """The middle of each independent figure lies within the central 99 % of the prior."""
    unknown = tannin_prior(id).unknown
    for part in evidence_of(id).statements:
        centre = (part.centre - logit(unknown.median)) / unknown.spread
        assert abs(centre) < 2.6, part.observation.id


def test_the_floor_is_the_spread_of_several_figures_for_one_material() -> None:
    assert lot_spread_floor() == pytest.approx(0.331, abs=0.02)


def test_a_material_without_figures_falls_back_on_its_genus() -> None:
    prior = tannin_prior("quercus-agrifolia-bark")
    assert prior.evidence == ()
    assert "other Quercus" in prior.rule
    assert prior.unknown.spread > tannin_prior("quercus-robur-bark").unknown.spread
    assert percent("quercus-agrifolia-bark")[1] == pytest.approx(10.0, abs=2.0)


def test_without_genus_it_falls_back_on_family_then_part() -> None:
    assert "other Cunoniaceae" in tannin_prior("eucryphia-cordifolia-bark").rule
    assert "all" in tannin_prior("gordonia-lasianthus-bark").rule
    genus = tannin_prior("quercus-agrifolia-bark").unknown.spread
    part = tannin_prior("gordonia-lasianthus-bark").unknown.spread
    unnamed = tannin_prior("unknown-bark").unknown.spread
    assert genus < part < unnamed


def test_a_context_figure_does_not_enter() -> None:
    assert tannin_prior("hamamelis-virginiana-leaf").evidence == ()
    assert tannin_prior("anadenanthera-peregrina-bark").evidence == ()
    figures = {row.high_pct for row in tannin_prior("moullava-digyna-pod").evidence}
    assert figures == {24.0}


def test_repeats_count_once() -> None:
    larch = evidence_of("larix-decidua-bark")
    assert {part.observation.source for part in larch.statements} == {"procter1903", "bennett1921"}
    myrobalan = evidence_of("libidibia-coriaria-pod")
    assert [part.observation.source for part in myrobalan.statements].count("eb1911") == 0


def test_figures_of_one_group_are_less_sure_than_those_of_two() -> None:
    """Two statements of one group keep the error of the group; independent ones halve it."""
    willow = evidence_of("picea-abies-bark")
    assert len({part.group for part in willow.statements}) == 2
    pine = evidence_of("pinus-sylvestris-bark")
    assert len(pine.statements) == 2
    assert len({part.group for part in pine.statements}) == 1
    assert pine.error >= 0.20


def test_memory_is_wider_than_reading() -> None:
    caprea = evidence_of("salix-caprea-bark")
    assert caprea.statements[0].observation.provenance == "memory"
    rubra = evidence_of("quercus-rubra-bark")
    assert rubra.statements[0].observation.provenance == "read"
    assert caprea.error > rubra.error


def test_up_to_is_read_as_an_upper_lot() -> None:
    wattle = evidence_of("acacia-binervata-bark").statements[0]
    assert wattle.observation.high_pct == 30.0
    assert wattle.centre < logit(0.30)
    assert wattle.centre == pytest.approx(logit(0.30) - 1.3 * lot_spread_floor())
    assert percent("acacia-binervata-bark")[1] < 30.0


def test_a_range_is_read_from_its_ends() -> None:
    larch = next(
        part
        for part in evidence_of("larix-decidua-bark").statements
        if part.observation.reading == "range"
    )
    assert larch.centre == pytest.approx(0.5 * (logit(0.09) + logit(0.10)))
    assert larch.lot_spread == pytest.approx((logit(0.10) - logit(0.09)) / 2.6)


def test_one_measured_sample_is_one_lot_not_the_mean() -> None:
    cone = evidence_of("anacardium-occidentale-bark").statements[0]
    assert cone.observation.reading == "measured"
    assert cone.error >= lot_spread_floor()


def test_an_oven_dry_figure_is_turned_to_air_dry() -> None:
    mulga = evidence_of("acacia-aneura-bark").statements[0]
    assert mulga.observation.basis == "oven-dry"
    assert mulga.centre == pytest.approx(logit(0.0862 * AIR_DRY_SOLIDS))


def test_disagreement_widens() -> None:
    """Mangrove lots of one species ran from 4.5 to 48 %; wattle bark agrees with itself."""
    mangrove = tannin_prior("rhizophora-mucronata-bark").unknown.spread
    wattle = tannin_prior("acacia-mearnsii-bark").unknown.spread
    assert mangrove > 1.5 * wattle
    assert evidence_of("rhizophora-mucronata-bark").lot_spread > 0.6


def test_kin_foretell_a_plant_left_out_about_as_surely_as_they_say() -> None:
    scores = np.concatenate([left_out_scores(part) for part in PARTS if part not in ("cup", "nut")])
    assert scores.size > 200
    assert 0.82 < np.mean(np.abs(scores) < 1.645) < 0.95
    assert 0.9 < scores.std() < 1.2
    assert abs(scores.mean()) < 0.2


def test_a_prior_half_as_wide_would_fail_the_same_check() -> None:
    """Control: the check can fail."""
    scores = 2.0 * left_out_scores("bark")
    assert np.mean(np.abs(scores) < 1.645) < 0.75


def test_variances_of_kinship_are_positive_and_nested() -> None:
    for part in PARTS:
        kin = kinship(part)
        assert kin.species > 0.0
        assert kin.genus >= 0.0
        assert kin.family >= 0.0
        assert kin.total == pytest.approx(kin.species + kin.genus + kin.family)


def test_unnamed_plants_are_set_lower_than_the_listed_ones() -> None:
    assert UNNAMED_SHIFT < 0.0
    assert percent("unknown-bark")[1] < percent("gordonia-lasianthus-bark")[1]


def test_unknown_ids_and_states_are_refused() -> None:
    with pytest.raises(UnknownMaterialError, match="quercus-robur-bark"):
        tannin_prior("quercus-robor-bark")
    with pytest.raises(InputError, match='state "wet"'):
        moisture_prior("quercus-robur-bark", "wet")


@settings(deadline=None)
@given(
    id=st.sampled_from(IDS),
    part_of_trunk=st.sampled_from([None, *TRUNK_PARTS]),
    tree_age=st.one_of(st.none(), st.sampled_from(TREE_AGES), st.floats(0.5, 900.0)),
    light=st.sampled_from([None, *LIGHTS]),
    rained_on=st.sampled_from([None, True, False]),
    age_years=st.one_of(st.none(), st.floats(0.0, 40.0)),
    mouldy=st.sampled_from([None, True, False]),
    grind=st.sampled_from([None, "coarse", "fine"]),
    soil=st.sampled_from([None, *SOILS]),
)
def test_a_lots_history_never_narrows(id: str, **facts: object) -> None:
    plain = tannin_prior(id).unknown
    prior = tannin_prior(id, Lot(**facts))  # type: ignore[arg-type]
    assert prior.unknown.spread >= plain.spread - 1e-12
    shift = sum(part.log_shift for part in prior.modifiers)
    assert logit(prior.unknown.median) == pytest.approx(logit(plain.median) + shift)
    extra = sum(part.extra_spread**2 for part in prior.modifiers)
    assert prior.unknown.spread == pytest.approx(math.sqrt(plain.spread**2 + extra))
    for part in prior.modifiers:
        assert part.reason
        assert set(part.sources) <= set(prior.unknown.sources)
        if part.log_shift == 0.0:
            assert part.extra_spread > 0.0


@pytest.mark.parametrize("id", IDS)
def test_water_and_purity_are_shares_and_ranges(id: str) -> None:
    dry, fresh, purity = moisture_prior(id), moisture_prior(id, "fresh"), purity_prior(id)
    assert 0.10 < dry.median < 0.16
    assert fresh.median > dry.median
    for unknown in (dry, fresh, purity):
        assert unknown.shape == "logit"
        assert unknown.spread > 0.1
        low, high = unknown.quantile(np.array([0.05, 0.95]))
        assert 0.0 < low < high < 1.0


def test_fresh_bark_takes_its_water_from_the_forest_inventory() -> None:
    assert moisture_prior("quercus-alba-bark", "fresh").median == pytest.approx(0.471, abs=5e-4)
    assert moisture_prior("betula-papyrifera-bark", "fresh").median == pytest.approx(
        0.341, abs=5e-4
    )
    assert moisture_prior("quercus-robur-bark", "fresh").median == pytest.approx(0.45)
    assert moisture_prior("quercus-alba-bark", "fresh").sources == ("fia-refspecies",)


@pytest.mark.parametrize(
    ("id", "purity"),
    [
        ("quercus-robur-bark", 0.615),
        ("rhus-coriaria-leaf", 0.515),
        ("schinopsis-lorentzii-wood", 0.879),
        ("acacia-mearnsii-bark", 0.748),
        ("rhizophora-mucronata-bark", 0.661),
        ("terminalia-chebula-fruit", 0.707),
        ("rumex-hymenosepalus-root", 0.692),
    ],
)
def test_purity_of_the_measured_lots(id: str, purity: float) -> None:
    assert purity_prior(id).median == pytest.approx(purity, abs=6e-4)
    assert purity_prior(id).sources == ("parker1895",)


def test_two_measured_valonias_are_averaged() -> None:
    assert measured_purities()["quercus-ithaburensis-cup"] == pytest.approx(0.683, abs=1e-3)


def test_a_purity_without_a_measured_lot_is_wider() -> None:
    assert purity_prior("picea-abies-bark").spread > purity_prior("quercus-robur-bark").spread
    assert purity_prior("unknown-exudate").median > purity_prior("unknown-whole-herb").median

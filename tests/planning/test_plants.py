"""The evidence of a plant, put together."""

from __future__ import annotations

import pytest

from tanwright.errors import UnknownMaterialError
from tanwright.planning import plants


def test_the_list_holds_priors_and_published_figures() -> None:
    found = plants.listed("oak", part="bark", track_record="industrial")
    assert {"quercus-robur-bark", "quercus-petraea-bark"} <= {item.id for item in found}
    for item in found:
        assert item.part == "bark"
        assert item.tannin_pct.p05 < item.tannin_pct.p50 < item.tannin_pct.p95
    robur = next(item for item in found if item.id == "quercus-robur-bark")
    low, _, high = robur.published.partition(" to ")
    assert 3.0 < float(low) < float(high) < 25.0


def test_nothing_found_tells_what_is_near() -> None:
    with pytest.raises(UnknownMaterialError, match="quercus-robur-bark"):
        plants.listed("quercus robr")
    with pytest.raises(UnknownMaterialError, match="ask for less at once"):
        plants.listed("", part="gall", region="New Zealand", track_record="industrial")


def test_a_plant_is_described_with_every_source_that_it_cites() -> None:
    found = plants.describe("English oak bark")
    assert found.material.id == "quercus-robur-bark"
    keys = {source.key for source in found.sources}
    assert {row.source for row in found.observations} <= keys
    assert {caution.source for caution in found.cautions} <= keys
    assert found.water_dry_pct.p95 < found.water_fresh_pct.p05
    assert 0.0 < found.purity_pct.p05 < found.purity_pct.p95 < 100.0
    assert found.purity_sources


def test_a_poisonous_plant_comes_with_its_caution() -> None:
    (first, *_) = plants.listed("", track_record="avoid")
    assert plants.describe(first.id).cautions

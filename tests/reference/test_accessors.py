"""The small typed doors to the tables."""

from __future__ import annotations

import math

import pytest

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.reference.animals import animal, animals, regions, stage, stages, weight_ratios
from tanwright.reference.cautions import cautions, cautions_for, troubles
from tanwright.reference.leathers import leather, leathers
from tanwright.reference.liquors import (
    extraction_series,
    lime_solubility,
    look,
    looks,
    series_for,
)
from tanwright.reference.materials import material, materials
from tanwright.reference.parameters import parameter, parameters
from tanwright.reference.tests_of_leather import (
    hide_nitrogen,
    leather_tests,
    shrinkage_temperatures,
    standards,
)
from tanwright.reference.trees import (
    allometry_group,
    allometry_groups,
    bark_properties,
    component_ratio,
)
from tanwright.reference.variation import variations, variations_of

ANIMALS = [
    "squirrel", "rabbit", "hare", "fox", "sheep", "goat", "roe deer", "deer", "red deer", "elk",
    "pig", "calf", "cattle", "bull", "fish",
]  # fmt: skip


@pytest.mark.parametrize("name", ANIMALS)
def test_every_animal_has_sizes_that_fit_each_other(name: str) -> None:
    found = animal(name)
    low, high = found.skin_share
    middle = [0.5 * sum(span) for span in (found.green_kg, found.area_m2, found.thickness_mm)]
    from_size = middle[1] * middle[2] * 1.08
    assert 0.6 * low < from_size / middle[0] < 1.4 * high, "thickness x area against the weight"


def test_animals_are_found_by_other_names() -> None:
    assert animal("Rabbits").id == "rabbit"
    assert animal("goat skin").id == "goat"
    assert animal("cow").id == "cattle"
    assert animal("roe-deer").id == "roe-deer"
    assert animal("white-tailed deer").id == "deer"
    assert [item.name for item in animals()] == ANIMALS


def test_an_unknown_animal_is_refused_with_near_ones() -> None:
    with pytest.raises(InputError, match="did you mean rabbit"):
        animal("rabit")
    with pytest.raises(InputError, match="give the thickness"):
        animal("dragon")


def test_stages_and_weights() -> None:
    assert stage("Dry salted").id == "dry-salted"
    assert stage("green").to_green == (1.0, 1.0)
    assert stage("limed").hide_share == (0.18, 0.22)
    assert [item.id for item in stages()][:2] == ["green", "salted"]
    with pytest.raises(InputError, match="write one of green, salted"):
        stage("pickled")
    for item in stages():
        water, hide = item.water_share, item.hide_share
        assert water[0] + hide[0] <= 1.0
    soaked = next(part for part in weight_ratios() if part.id == "dried-to-soaked")
    assert soaked.ratio == (2.2, 2.8)


def test_regions_make_up_the_hide() -> None:
    assert sum(sum(item.area_share) / 2.0 for item in regions()) == pytest.approx(1.0, abs=0.03)
    assert regions()[0].thickness_ratio == (1.0, 1.0)


def test_leathers_climb_from_soft_to_sole() -> None:
    degrees = [sum(item.degree) for item in leathers()]
    assert degrees == sorted(degrees)
    for item in leathers():
        assert item.start_bk[1] <= item.finish_bk[0]
        assert item.step_bk[0] >= 3.0
        assert item.oil_pct[0] < item.oil_pct[1]
    assert leather(" Bag ").id == "bag"
    with pytest.raises(InputError, match="did you mean firm"):
        leather("frim")
    with pytest.raises(InputError, match="soft, bag, firm, sole"):
        leather("zzz")


def test_looks_darken_with_strength() -> None:
    middles = [sum(item.strength_bk) for item in looks()]
    assert middles == sorted(middles)
    assert look("Strong Tea").id == "strong-tea"
    assert look("water").id == "clear"
    with pytest.raises(InputError, match="did you mean"):
        look("pail tea")
    with pytest.raises(InputError, match="write one of"):
        look("xyz")


def test_extraction_series_have_their_bands_in_order() -> None:
    for series in extraction_series():
        temperatures = series.temperature_c
        assert list(temperatures) == sorted(temperatures)
        assert temperatures[0] == 15.0
        assert len(temperatures) == len(series.tannin_pct)
        best = [band for band in series.bands if band.tannin_pct == series.best_pct]
        assert best[0].temperature_c[0] == series.best_c[0]
        assert best[-1].temperature_c[1] == series.best_c[1]
    assert len(extraction_series()) == 9


@pytest.mark.parametrize(
    ("id", "series"),
    [
        ("quercus-robur-bark", "oak"),
        ("quercus-alba-bark", "oak"),
        ("castanea-sativa-bark", "oak"),
        ("rhus-glabra-leaf", "sumac"),
        ("acacia-dealbata-bark", "mimosa"),
        ("vachellia-nilotica-bark", "mimosa"),
        ("ceriops-tagal-bark", "mangrove"),
        ("salix-caprea-bark", "oak"),
        ("unknown-wood", "quebracho"),
        ("unknown-root", "canaigre"),
        ("quercus-ithaburensis-cup", "valonia-smyrna"),
    ],
)
def test_the_nearest_series_stands_in(id: str, series: str) -> None:
    assert series_for(id).id == series


def test_every_material_has_a_series() -> None:
    for item in materials():
        assert series_for(item.id).best_pct > 0.0


def test_lime_dissolves_less_in_warm_water() -> None:
    strengths = [item.cao_g_per_l for item in lime_solubility()]
    assert strengths == sorted(strengths, reverse=True)


def test_cautions_come_with_the_step_the_animal_and_the_plant() -> None:
    def topics(*words: str) -> set[str]:
        return {part.topic for part in cautions_for(words)}

    assert {"lime", "effluent"} <= topics("step:liming")
    assert {"tularemia", "wildlife-law", "hygiene"} <= topics("animal:hare")
    assert {"fire", "boiling", "iron"} <= topics("step:cooking")
    assert {"anthrax", "q-fever", "orf"} <= topics("animal:goat")
    assert {"prion", "wildlife-law"} <= topics("animal:roe-deer")
    assert "mould-dust" in topics("lot:mouldy")
    assert "sulfide" in topics("sulfide")
    assert topics() == set()
    sumac = cautions_for(["material:rhus-glabra-leaf"])
    assert {"look-alike", "gathering", "plant"} <= {part.topic for part in sumac}
    assert any("poison sumac" in part.text for part in sumac)
    poison = cautions_for(["material:coriaria-myrtifolia-leaf"])
    assert {"poisonous-plant", "plant"} <= {part.topic for part in poison}
    mangrove = cautions_for(["material:rhizophora-mangle-bark"])
    assert {"protected-plant", "living-tree", "bark-dust"} <= {part.topic for part in mangrove}
    assert "poisonous-plant" in topics("material:unknown-leaf")


def test_cautions_are_shown_once_and_in_order() -> None:
    found = cautions_for(["lime", "step:liming", "stage:limed", "lime"])
    assert len({part.id for part in found}) == len(found)
    order = [part.id for part in cautions()]
    assert [order.index(part.id) for part in found] == sorted(
        order.index(part.id) for part in found
    )


def test_every_dangerous_topic_of_the_trade_has_a_caution() -> None:
    topics = {part.topic for part in cautions()}
    assert topics >= {
        "lime", "lye", "sulfide", "acid", "fire", "boiling", "anthrax", "tularemia", "q-fever",
        "orf", "prion", "rabies", "wildlife-law", "effluent", "iron", "poisonous-plant",
        "protected-plant", "mould-dust", "look-alike",
    }  # fmt: skip


def test_cautions_for_every_animal_and_material_can_be_asked() -> None:
    for item in animals():
        assert cautions_for([f"animal:{item.id}"])
    for plant in materials():
        cautions_for([f"material:{plant.id}"])


def test_a_caution_that_is_not_kept_is_refused() -> None:
    with pytest.raises(InputError, match='no caution is kept for "weather"'):
        cautions_for(["weather"])
    with pytest.raises(InputError, match='no caution is kept for "moon:full"'):
        cautions_for(["moon:full"])
    with pytest.raises(UnknownMaterialError):
        cautions_for(["material:nothing-bark"])


def test_troubles_have_a_remedy_and_come_vat_first() -> None:
    places = [part.at for part in troubles()]
    assert places == sorted(places, key=["vat", "leather"].index)
    assert all(part.sign and part.remedy and part.prevent for part in troubles())
    assert {"case-hardened", "pale-line", "mould-on-liquor"} <= {part.id for part in troubles()}


def test_parameters_are_ranges_with_sources() -> None:
    found = parameters()
    assert {"diffusivity", "half_saturation", "binding_capacity", "liquor_held"} <= set(found)
    for name, unknown in found.items():
        assert unknown.name == name
        assert unknown.spread > 0.0
        assert unknown.sources
        assert parameter(name) is unknown
    with pytest.raises(InputError, match="did you mean diffusivity"):
        parameter("diffusvity")
    with pytest.raises(InputError, match="write one of the table's names"):
        parameter("qqqq")


def test_allometry_gives_its_own_check_values() -> None:
    for group in allometry_groups():
        mass_kg = math.exp(group.b0 + group.b1 * math.log(20.0))
        assert mass_kg == pytest.approx(group.check_at_20_cm_kg, abs=0.006)


def test_trees_of_the_materials_find_their_group() -> None:
    def group(id: str) -> str:
        found = allometry_group(id)
        return found.id if found else ""

    assert group("quercus-robur-bark") == "9"
    assert group("salix-viminalis-bark") == "6"
    assert group("castanea-sativa-wood") == "8"
    assert group("unknown-bark") == ""
    assert group("acacia-mearnsii-bark") == ""
    for row in bark_properties():
        if row.material_id:
            assert group(row.material_id) == row.allometry_group, row.species
            assert material(row.material_id).scientific_name == row.species


def test_component_ratios() -> None:
    bark = component_ratio("stem bark", "hardwood")
    assert math.exp(bark.a0 + bark.a1 / 30.0) == pytest.approx(0.12632, abs=1e-5)
    with pytest.raises(KeyError):
        component_ratio("acorns", "hardwood")


def test_bark_water_share() -> None:
    hemlock = next(row for row in bark_properties() if row.species == "Tsuga canadensis")
    assert hemlock.water_share == pytest.approx(0.496, abs=5e-4)


def test_leather_tests_shrinkage_standards_and_nitrogen() -> None:
    assert {test.id for test in leather_tests("vat")} >= {"cut", "dry-bend", "texture"}
    assert len(leather_tests()) > len(leather_tests("liquor"))
    strip = {row.id: (row.low_c, row.high_c) for row in shrinkage_temperatures()}
    assert strip["raw"] == (58.0, 64.0)
    assert {row.method for row in shrinkage_temperatures()} == {"strip in water", "micro hot table"}
    assert any(row.id == "ISO 3380" for row in standards())
    for row in hide_nitrogen()[:4]:
        assert row.hide_per_nitrogen == pytest.approx(100.0 / row.nitrogen_pct, abs=6e-4)


def test_variations_of_a_plant() -> None:
    oak = variations_of(material("quercus-robur-bark"))
    assert any(row.topic == "tree-age" for row in oak)
    assert all("Quercus" in row.plant for row in oak)
    assert variations_of(material("unknown-bark")) == ()
    assert len(variations()) == 118


def test_a_caution_of_ours_is_not_laid_to_a_source_of_figures() -> None:
    """Cautions of materials are from memory, whatever source their tannin rests on."""
    own = {
        caution.id: caution.source
        for item in materials()
        for caution in cautions_for([f"material:{item.id}"])
        if caution.id == f"material-{item.id}"
    }
    assert len(own) > 80
    assert set(own.values()) == {"memory"}


def test_deadly_look_alikes_are_told() -> None:
    told = {
        id: " ".join(caution.text for caution in cautions_for([f"material:{id}"]))
        for id in ("rhus-coriaria-leaf", "rhus-chinensis-leaf", "tsuga-canadensis-bark")
    }
    assert "POISONOUS: redoul" in told["rhus-coriaria-leaf"]
    assert "Toxicodendron" in told["rhus-chinensis-leaf"]
    assert "Yew" in told["tsuga-canadensis-bark"]
    tasting = cautions_for(["tasting"])[0].text
    assert "poison hemlock (the herb, not the tree)" in tasting
    mugwort = " ".join(c.text for c in cautions_for(["material:artemisia-vulgaris-whole-herb"]))
    assert "react badly to this plant" in mugwort

"""Home tests move belief the way that the books say, refuse what may harm, and claim no more."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.planning.home_tests import CLASSES, EATEN, Judged, home_tests, judge, may_be_tasted
from tanwright.reference import materials, priors
from tanwright.reference.home_tests import IronColour, iron_colours, plant_tests, results_of

HOME = [test for test in home_tests() if test.place == "home"]


def pyrogallol(judged: Judged) -> float:
    return judged.classes["gallotannin"] + judged.classes["ellagitannin"]


def test_without_results_the_belief_is_that_of_the_priors() -> None:
    judged = judge("bark", {}, "quercus-robur-bark")
    unknown = priors.tannin_prior("quercus-robur-bark").unknown
    assert judged.tannin_pct.p50 == pytest.approx(100.0 * unknown.median, rel=0.02)
    assert judged.tannin_pct == judged.tannin_before_pct
    assert judged.classes["mixed"] == pytest.approx(0.85)
    assert judged.reasons == ()
    assert "Nothing was tested yet" in judged.verdict


@pytest.mark.parametrize("part", materials.PARTS)
def test_every_part_has_a_belief_about_class(part: str) -> None:
    judged = judge(part, {})
    assert tuple(judged.classes) == CLASSES
    assert sum(judged.classes.values()) == pytest.approx(1.0)
    assert min(judged.classes.values()) > 0.0


def test_an_unknown_bark_is_most_likely_condensed_and_an_unknown_gall_gallotannin() -> None:
    assert judge("bark", {}).classes["condensed"] > 0.6
    assert judge("gall", {}).classes["gallotannin"] > 0.4


def test_blue_black_speaks_for_pyrogallols_and_green_black_for_catechols() -> None:
    """bennett1921, adcock and thatcher1921: blue-black, greenish black."""
    for part in ("bark", "leaf", "fruit"):
        before = judge(part, {})
        blue, green = judge(part, {"iron": "blue-black"}), judge(part, {"iron": "green-black"})
        assert pyrogallol(blue) > pyrogallol(before) > pyrogallol(green)
        assert green.classes["condensed"] > before.classes["condensed"]


def test_blue_black_does_not_decide_for_a_bark() -> None:
    """Bark of the English oak goes blue-black by a companion, so the test is not decisive
    (procter1903; procter-labbook p. 148)."""
    blue = judge("bark", {"iron": "blue-black"})
    assert blue.classes["condensed"] + blue.classes["mixed"] > 0.8
    assert "stays open" in blue.verdict


@pytest.mark.parametrize("row", iron_colours(), ids=lambda row: row.id)
def test_printed_iron_colours_are_held_possible_and_mostly_likely(row: IronColour) -> None:
    """adcock, thatcher1921, procter-labbook p. 148, procter1903 and bailey, as the table has it."""
    printed, item = row.colour, materials.material(row.material_id)
    if printed == "both":
        assert item.tannin_class in ("mixed", "ellagitannin")
        return
    found = {each.id: dict(zip(CLASSES, each.shares, strict=True)) for each in results_of("iron")}
    classes = {"hydrolysable": "gallotannin"}.get(item.tannin_class, item.tannin_class)
    share = found[printed][classes]
    assert share >= 0.10
    exceptions = {"abies-alba-bark", "salix-fragilis-bark", "acacia-mearnsii-bark"}
    if item.id not in exceptions and classes != "mixed":
        assert share == max(each[classes] for each in found.values())


@pytest.mark.parametrize("colour", ["blue-black", "green-black", "violet-black", "brown"])
def test_iron_does_not_tell_how_strong_it_is(colour: str) -> None:
    """Beyond that there is some tannin at all, the named plant's range stays."""
    before = judge("bark", {}, "quercus-robur-bark")
    after = judge("bark", {"iron": colour}, "quercus-robur-bark")
    for end in ("p05", "p50", "p95"):
        assert getattr(after.tannin_pct, end) == pytest.approx(
            getattr(before.tannin_pct, end), rel=0.06
        )


def test_lime_water_and_standing_name_the_class() -> None:
    """thatcher1921: grey or blue against pink to brown; procter1903: bloom and reds."""
    assert judge("leaf", {"lime-water": "pink-brown"}).classes["condensed"] > 0.5
    assert pyrogallol(judge("leaf", {"lime-water": "blue-grey"})) > 0.65
    bloom = judge("fruit", {"standing": "bloom"})
    assert bloom.classes["ellagitannin"] > 0.7
    assert judge("bark", {"standing": "reds"}).classes["condensed"] > 0.8


@pytest.mark.parametrize("test", ["gelatin", "strip"])
def test_a_stronger_sign_means_a_stronger_plant(test: str) -> None:
    steps = [judge("leaf", {test: each.id}).tannin_pct.p50 for each in results_of(test)]
    assert steps == sorted(steps)
    assert steps[-1] > 3.0 * steps[0]


def test_pucker_grades_too_where_it_is_allowed() -> None:
    item = "punica-granatum-fruit-hull"
    part = materials.material(item).part
    steps = [judge(part, {"pucker": each.id}, item).tannin_pct.p50 for each in results_of("pucker")]
    assert steps == sorted(steps)


def test_no_sign_at_all_means_leave_it() -> None:
    judged = judge("leaf", {"iron": "nothing", "gelatin": "nothing"})
    assert judged.hardly_any > 0.9
    assert judged.verdict.startswith("Probably hardly any tannin")


def test_all_signs_mean_a_trial_and_never_more() -> None:
    judged = judge("gall", {"iron": "blue-black", "gelatin": "curds", "strip": "leathery"})
    assert judged.hardly_any < 0.02
    assert "trial on an offcut" in judged.verdict
    assert judged.tannin_pct.p95 / judged.tannin_pct.p05 > 2.5


def test_signs_of_the_class_repeat_each_other() -> None:
    one = judge("bark", {"iron": "green-black"}).classes["condensed"]
    both = judge("bark", {"iron": "green-black", "standing": "reds"}).classes["condensed"]
    alone = judge("bark", {"standing": "reds"}).classes["condensed"]
    prior = judge("bark", {}).classes["condensed"]

    def odds(share: float) -> float:
        return share / (1.0 - share)

    strangers = odds(prior) * (odds(one) / odds(prior)) * (odds(alone) / odds(prior))
    assert max(odds(one), odds(alone)) < odds(both) < strangers


def test_foam_makes_gelatin_count_half() -> None:
    plain = judge("leaf", {"gelatin": "curds", "foam": "none"})
    soapy = judge("leaf", {"gelatin": "curds", "foam": "lasting"})
    assert soapy.tannin_pct.p50 < plain.tannin_pct.p50
    assert any("counts half" in reason for reason in soapy.reasons)


def test_results_come_in_any_order() -> None:
    one = judge("bark", {"iron": "green-black", "gelatin": "cloud", "standing": "reds"})
    other = judge("bark", {"standing": "reds", "gelatin": "cloud", "iron": "green-black"})
    assert one == other


def test_nobody_is_told_to_taste_what_has_no_name_or_may_harm() -> None:
    for part, id in (
        ("leaf", None),
        ("leaf", "rhus-glabra-leaf"),
        ("leaf", "coriaria-myrtifolia-leaf"),
        ("nut", "areca-catechu-nut"),  # causes cancer when chewed
        ("whole-herb", "ephedra-antisyphilitica-whole-herb"),
        ("bark", "burkea-africana-bark"),  # no danger is told of it, nor that anybody eats it
        ("bark", "croton-sonderianus-bark"),
    ):
        with pytest.raises(InputError, match="must not be tasted"):
            judge(part, {"pucker": "strong"}, id)
    assert may_be_tasted(materials.material("punica-granatum-fruit-hull"))
    assert not may_be_tasted(materials.material("unknown-leaf"))
    assert all(may_be_tasted(materials.material(id)) for id in EATEN)


def test_a_plant_to_avoid_stays_one() -> None:
    judged = judge("leaf", {"gelatin": "curds"}, "coriaria-myrtifolia-leaf")
    assert judged.verdict.startswith("Leave it alone")


def test_cautions_stand_with_what_is_proposed() -> None:
    judged = judge("leaf", {"iron": "blue-black", "lime-water": "blue-grey"})
    topics = {caution.topic for caution in judged.cautions}
    assert {"iron-test", "lime", "unnamed-plant"} <= topics
    named = judge("leaf", {"iron": "blue-black"}, "rhus-glabra-leaf")
    assert "unnamed-plant" not in {caution.topic for caution in named.cautions}
    assert "look-alike" in {caution.topic for caution in named.cautions}
    for test in home_tests():
        assert test.cautions, test.id


def test_every_test_says_how_what_and_its_limits() -> None:
    assert {"iron", "gelatin", "lime-water", "standing", "foam", "pucker"} <= {t.id for t in HOME}
    for test in HOME:
        assert test.how
        assert len(test.results) >= 2
        assert test.limits
    laboratory = {test.id for test in home_tests()} - {test.id for test in HOME}
    assert {"bromine", "formaldehyde"} <= laboratory
    assert [test.place for test in home_tests()] == sorted(
        (test.place for test in home_tests()), key=["home", "laboratory"].index
    )


@pytest.mark.parametrize("name", [*CLASSES, "none"])
def test_shares_of_a_test_add_up(name: str) -> None:
    for test in plant_tests():
        results = results_of(test.id)
        whole = sum(getattr(each, name) for each in results)
        graded = any(each.from_pct for each in results)
        assert whole == pytest.approx(0.0 if not results or (graded and name != "none") else 1.0)
        steps = [each.from_pct for each in results if each.from_pct]
        assert steps == sorted(steps)


@pytest.mark.parametrize(
    ("part", "results", "id", "told"),
    [
        ("stem", {}, None, "no part of a plant"),
        ("bark", {"iron": "purple"}, None, "no result"),
        ("bark", {"rust": "blue"}, None, "no test"),
        ("bark", {"bromine": "yes"}, None, "laboratory"),
        ("leaf", {}, "quercus-robur-bark", "is a bark"),
    ],
)
def test_what_cannot_be_is_refused(
    part: str, results: dict[str, str], id: str | None, told: str
) -> None:
    with pytest.raises(InputError, match=told):
        judge(part, results, id)


def test_an_unknown_plant_is_refused_with_near_matches() -> None:
    with pytest.raises(UnknownMaterialError):
        judge("bark", {}, "quercus-rubor-bark")

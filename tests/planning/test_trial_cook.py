"""What a trial with kitchen gear says about a pile."""

from __future__ import annotations

from typing import Any

import pytest

from tanwright.errors import InputError
from tanwright.planning.readings import Strength
from tanwright.planning.trial_cook import assess
from tanwright.planning.trial_records import LitreWeight, Snip, Trial, TrialAnswer


def trial(bk: float | None = None, **more: Any) -> TrialAnswer:
    given: dict[str, Any] = {
        "material_id": "quercus-robur-bark", "state": "dry", "mass_kg": 0.25, "water_l": 2.0,
        "waters": 1, "strength": None if bk is None else Strength(bk, "bk", 15.6),
        "calibrated_at_c": 15.6, **more,
    }  # fmt: skip
    return assess(Trial(**given), members=400)


def test_without_a_reading_the_belief_stays_the_prior() -> None:
    answer = trial()
    assert answer.after_pct.p50 == pytest.approx(answer.before_pct.p50, rel=0.05)
    assert answer.measure_next


def test_a_stronger_liquor_is_a_stronger_pile_and_any_reading_narrows() -> None:
    found = [trial(bk) for bk in (3.0, 6.0, 10.0)]
    middles = [answer.after_pct.p50 for answer in found]
    assert middles == sorted(middles)
    for answer in found:
        before = answer.before_pct.p95 / answer.before_pct.p05
        assert answer.after_pct.p95 / answer.after_pct.p05 < before
        assert answer.after_pct.p05 <= answer.after_pct.p50 <= answer.after_pct.p95


def test_the_mass_balance_is_near_what_was_read() -> None:
    answer = trial(7.0)
    assert answer.strength_bk is not None
    assert answer.strength_bk.p50 == pytest.approx(7.0, rel=0.15)


def test_more_water_or_less_bark_for_the_same_strength_is_a_stronger_pile() -> None:
    usual = trial(6.0).after_pct.p50
    assert trial(6.0, water_l=3.0).after_pct.p50 > usual
    assert trial(6.0, mass_kg=0.5).after_pct.p50 < usual


def test_a_warm_reading_is_corrected_upward() -> None:
    warm = trial(strength=Strength(6.0, "bk", 35.0)).after_pct.p50
    assert warm > trial(6.0).after_pct.p50


def test_a_bark_of_unheard_strength_is_told_to_be_read_again() -> None:
    rich = trial(strength=Strength(1.030, "sg", 15.6), material_id="unknown-bark")
    assert rich.after_pct.p50 > 35.0
    assert any("More than a third tannin is rare in a bark" in told for told in rich.told)
    assert not any("third tannin" in told for told in trial(10.0).told)


def test_scales_agree() -> None:
    usual = trial(8.0).after_pct.p50
    assert trial(strength=Strength(1.008, "sg", 15.6)).after_pct.p50 == pytest.approx(
        usual, rel=0.05
    )
    assert trial(strength=Strength(1.6, "tw", 15.6)).after_pct.p50 == pytest.approx(usual, rel=0.05)
    assert trial(strength=Strength(2.06, "brix", 15.6)).after_pct.p50 == pytest.approx(
        usual, rel=0.2
    )


def test_the_weight_of_a_litre_tells_less_than_a_hydrometer() -> None:
    litre = trial(litre=LitreWeight(1006.0, 1000.0, 18.0))
    by_tool = trial(float(litre.strength_bk.p50) if litre.strength_bk else 8.0)
    assert litre.after_pct.p95 - litre.after_pct.p05 > by_tool.after_pct.p95 - by_tool.after_pct.p05


@pytest.mark.parametrize(("sign", "word"), [("none", "weak"), ("curds", "fair")])
def test_gelatin_answers_to_tannin(sign: str, word: str) -> None:
    answer = trial(gelatin=sign)
    prior = trial()
    if sign == "none":
        assert answer.after_pct.p50 < prior.after_pct.p50
    else:
        assert answer.after_pct.p50 >= 0.98 * prior.after_pct.p50
    assert any("tannin only" in reason for reason in answer.reasons)


def test_iron_says_little_and_its_absence_is_told() -> None:
    blue, none = trial(iron="blue-black"), trial(iron="none")
    assert blue.after_pct.p50 == pytest.approx(trial().after_pct.p50, rel=0.15)
    assert blue.told == ()
    assert "leached out or another plant" in none.told[0]


def test_a_fast_snip_is_a_strong_liquor() -> None:
    fast, slow = trial(snip=Snip(1.0, 1.5, 18.0)), trial(snip=Snip(20.0, 1.5, 18.0))
    assert fast.after_pct.p50 > slow.after_pct.p50


def test_a_slip_is_set_aside_and_told() -> None:
    answer = trial(70.0)
    assert any("set aside" in told for told in answer.told)
    assert answer.after_pct.p50 == pytest.approx(answer.before_pct.p50, rel=0.2)


def test_signs_that_contradict_each_other_are_told() -> None:
    assert trial(11.0, gelatin="none", iron="none").told


def test_fresh_bark_is_told_as_it_lies_and_kept_as_air_dry() -> None:
    fresh = trial(6.0, state="fresh")
    assert fresh.after_pct.p50 < 0.8 * fresh.air_dry_pct.p50
    assert fresh.figure.low_pct == fresh.air_dry_pct.p05
    dry = trial(6.0)
    assert dry.after_pct.p50 == pytest.approx(dry.air_dry_pct.p50, rel=0.05)


def test_a_strength_without_its_cook_is_refused() -> None:
    for given in ({"mass_kg": None}, {"water_l": None}):
        with pytest.raises(InputError, match="without what was cooked") as caught:
            trial(6.0, **given)
        assert "--mass" in caught.value.remedy


def test_the_next_reading_is_one_not_yet_taken() -> None:
    options = trial(6.0).measure_next
    assert options
    assert not any("hydrometer" in option.what for option in options)
    for option in options:
        assert 0.0 <= option.narrows_amount <= 1.0
    assert trial(6.0, gelatin="curds").measure_next == ()
    unsaid = trial().measure_next
    assert any("hydrometer" in option.what for option in unsaid)


@pytest.mark.parametrize(
    ("material", "word"),
    [
        ("unknown-bark", "tannin"),
        ("rhus-coriaria-leaf", "tannin"),
        ("acacia-mearnsii-bark", "strong"),
    ],
)
def test_the_verdict_is_one_plain_sentence_with_its_range(material: str, word: str) -> None:
    answer = trial(material_id=material)
    assert word in answer.verdict
    assert "%" in answer.verdict
    assert answer.cautions
    assert answer.sources


def test_the_same_trial_gives_the_same_answer() -> None:
    assert trial(6.0).after_pct == trial(6.0).after_pct

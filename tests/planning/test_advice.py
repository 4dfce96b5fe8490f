"""Cautions at the step, troubles by their sign, questions before a verdict."""

from __future__ import annotations

from typing import Any

import pytest

from tanwright.planning import advice
from tanwright.planning.amounts import work_out
from tanwright.planning.setting import settle
from tests.planning.tannages import drawn, plan, sheet


def topics(**changed: Any) -> str:
    return " ".join(c.text for c in advice.cautions_of(settle(sheet(**changed))))


def test_every_caution_has_a_source() -> None:
    found = advice.cautions_of(settle(sheet()))
    assert len(found) >= 8
    assert all(caution.topic and caution.text and caution.source for caution in found)
    assert len({caution.text for caution in found}) == len(found)


def test_lime_is_cautioned_where_a_skin_must_be_unhaired() -> None:
    assert "Lime" in topics()
    assert "sulfide" in topics()
    assert "Lime" not in topics(skin_hair="on")
    assert "Lime" not in topics(skin=[{"animal": "fish"}])
    assert "Lime water" not in topics(skin_stage="limed", skin_weight="1.4 kg")


def test_animals_and_plants_bring_their_own() -> None:
    assert "tularemia" in topics(skin=[{"animal": "rabbit", "hair": "on"}])
    assert "poisonous" in topics(material=[{"id": "unknown-bark"}])
    assert topics(material_mouldy=True) != topics()


def test_the_done_gate_asks_thick_thin_texture_and_bend() -> None:
    asked = advice.questions(settle(sheet()))
    assert all(question.endswith(("?", "lost.")) for question in asked)
    told = " ".join(asked)
    for word in ("thickest", "thin place", "raw skin", "bend", "Before giving a skin up"):
        assert word in told
    fish = " ".join(advice.questions(settle(sheet(skin=[{"animal": "fish"}]))))
    assert "haunch" not in fish
    assert "flank" not in fish


def rule(**changed: Any) -> str:
    setting, _, worlds = drawn(**changed)
    return advice.rule_of_thumb(worlds, setting, work_out(worlds, setting))


def test_the_rule_of_thumb_is_right_for_fair_bark_in_a_snug_vat() -> None:
    good = rule(vat_volume="6 L")
    assert "The rule holds here" in good
    assert "common practice" in good


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"material_tannin": "2 %", "vat_volume": "6 L"}, "it takes more"),
        ({"vat_volume": "80 L"}, "it takes more"),
        ({"material_tannin": "45 %", "vat_volume": "6 L"}, "more than is needed"),
    ],
)
def test_the_tool_says_when_the_rule_is_wrong(changed: dict[str, Any], words: str) -> None:
    assert words in rule(**changed)


def test_troubles_name_a_sign_and_a_remedy() -> None:
    answer = plan(material_have="1.5 kg")
    assert answer.troubles
    for trouble in answer.troubles:
        assert trouble.what
        assert trouble.sign
        assert trouble.remedy
        assert trouble.source
        assert trouble.chance is None or 0.0 <= trouble.chance <= 1.0
    spent = answer.troubles[0]
    assert "spent" in spent.what
    assert spent.chance is not None
    assert spent.chance > 0.3


def test_warm_and_cold_vats_have_their_own_troubles() -> None:
    warm = " ".join(t.what for t in plan(vat_temperature="28 C").troubles)
    cold = " ".join(t.what for t in plan(vat_temperature="2 C").troubles)
    assert "sours" in warm
    assert "all but stops" in cold
    assert "sours" not in cold


def test_one_pot_says_when_from_which_sign_and_how_much() -> None:
    told = " ".join(plan(material_have="2.5 kg").one_pot)
    assert "Cook one pot first" in told
    assert "°Bk" in told
    assert "gather" in told
    assert "Without an instrument" in told


def test_the_mark_of_the_first_pot_parts_enough_from_short() -> None:
    setting, _, worlds = drawn(600, material_have="2.5 kg")
    amounts = work_out(worlds, setting)
    ratio = amounts.break_even_share / worlds.tannin_share[:, 0]
    enough = amounts.enough > 0.5
    assert (ratio[enough] <= 1.0).all()
    assert (ratio[~enough] > 1.0).all()

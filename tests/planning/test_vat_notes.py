"""What an answer says of the size of the vat: no smaller one than the skins have room in."""

from __future__ import annotations

import re

from tanwright.planning.answering import LEAST_VAT_L
from tanwright.planning.answers import Answer
from tests.planning.tannages import plan


def smaller(answer: Answer) -> list[str]:
    return [note for note in answer.notes if "A smaller one" in note]


def advised_l(answer: Answer) -> float:
    (note,) = smaller(answer)
    found = re.search(r"about (\d+) L", note)
    assert found is not None
    return float(found[1])


def test_a_large_vat_is_told_with_room_for_the_pelt() -> None:
    answer = plan(vat_volume="60 L", material_have="20 kg")
    assert advised_l(answer) >= 5.0 * answer.skins[0].pelt_kg.p05
    assert "without folds" in smaller(answer)[0]


def test_small_skins_are_not_sent_to_a_jar() -> None:
    fish = {"animal": "fish", "count": 8, "weight": "40 g"}
    answer = plan(skin=[fish], vat_volume="20 L", vat_temperature="10 C", material_have="6 kg")
    assert advised_l(answer) == LEAST_VAT_L


def test_wool_fills_a_vat_so_no_smaller_one_is_advised() -> None:
    flock = {"animal": "sheep", "count": 6, "weight": "3 kg"}
    shorn = plan(skin=[flock], vat_volume="400 L", material_have="200 kg")
    woolly = plan(skin=[flock | {"hair": "on"}], vat_volume="400 L", material_have="200 kg")
    assert smaller(shorn)
    assert not smaller(woolly)

"""Treatments of each question, and what is said before a trial is cut."""

from __future__ import annotations

import time

import pytest

from tanwright.errors import InputError
from tanwright.planning.trials import question as q
from tanwright.planning.trials import treatments as t
from tanwright.planning.trials.records import CONTROL

OAK = {"quercus-robur-bark": 1.0}
ALDER, WILLOW = "alnus-glutinosa-bark", "salix-caprea-bark"


def test_plants_are_held_against_the_usual_one() -> None:
    found = t.which(OAK, [ALDER, "quercus-robur-bark", WILLOW, ALDER])
    assert [item.key for item in found] == [CONTROL, ALDER, WILLOW]
    assert found[1].shares == {ALDER: 1.0}
    with pytest.raises(InputError, match="nothing to compare"):
        t.which(OAK, ["quercus-robur-bark"])


def test_doses_hold_the_usual_one_as_control() -> None:
    found = t.dose(OAK, 1.6, 5)
    assert found[0].key == CONTROL
    assert found[0].dose == 1.6
    assert sorted(item.dose or 0.0 for item in found)[0] == pytest.approx(0.8)
    assert len({item.key for item in found}) == 5


@pytest.mark.parametrize(("plants", "blends"), [(2, 4), (3, 7), (4, 10)])
def test_blends_hold_the_usual_one_once(plants: int, blends: int) -> None:
    ids = ["quercus-robur-bark", ALDER, WILLOW, "picea-abies-bark"][:plants]
    found, efficiency = t.blend(OAK, ids)
    assert len(found) == blends
    assert [item.key for item in found].count(CONTROL) == 1
    assert efficiency == 1.0
    assert all(sum(item.shares.values()) == pytest.approx(1.0) for item in found)


def test_a_usual_blend_that_is_not_among_them_comes_on_top() -> None:
    found, _ = t.blend({"quercus-robur-bark": 0.9, ALDER: 0.1}, ["quercus-robur-bark", ALDER])
    assert len(found) == 5
    assert found[0].shares == pytest.approx({"quercus-robur-bark": 0.9, ALDER: 0.1})


def test_scarce_plants_get_smaller_shares() -> None:
    found, efficiency = t.blend(
        OAK, ["quercus-robur-bark", ALDER], stock_kg={ALDER: 0.06}, kg_each=0.05
    )
    assert sum(item.shares.get(ALDER, 0.0) for item in found) * 0.05 <= 0.06
    assert 0.05 < efficiency < 1.0


def test_ways_of_preparing_share_one_liquor() -> None:
    found = t.pretreatment(OAK, ["bated a day", "", "bated a day", "pickled"])
    assert [item.pretreatment for item in found] == ["", "bated a day", "pickled"]
    with pytest.raises(InputError, match="no other way"):
        t.pretreatment(OAK, [" "])


def wish(blocks: tuple[int, ...], **given: int) -> q.Wish:
    return q.Wish("which", t.which(OAK, [ALDER, WILLOW]), blocks, **given)


def test_a_proposal_says_how_sure_and_what_more_would_buy() -> None:
    begun = time.process_time()
    found = q.propose(wish((6, 5, 4, 6), graders=2))
    assert time.process_time() - begun < 1.0, "a page waits for it"
    assert found.now is not None
    assert found.smallest is not None
    assert found.now.patches == 21
    assert [item.patches for item in found.more] == [23, 25, 29]
    chances = [found.now.chance, *(item.chance for item in found.more)]
    assert chances == sorted(chances)
    assert found.smallest.chance >= q.SURE
    assert found.smallest_jars == 2, "a jar may go its own way"
    assert found.second_jar is not None
    assert found.second_jar.chance > found.now.chance
    assert "21 patches" in found.answers[0]
    assert any("one jar" in note for note in found.notes)
    assert any("memory" in note for note in found.notes)
    assert q.propose(wish((6, 5, 4, 6), graders=2)) == found


def test_a_large_trial_is_told_that_fewer_would_do() -> None:
    found = q.propose(wish((20, 20, 20), graders=3, jars_each=2))
    assert found.now is not None
    assert found.smallest is not None
    assert found.smallest.patches < 60
    assert "would do" in found.answers[1]


def test_blocks_of_one_are_told_and_not_reckoned() -> None:
    found = q.propose(wish((1, 1, 1, 1)))
    assert found.now is None
    assert any("cannot compare" in note for note in found.notes)


def test_nothing_in_hand_is_refused() -> None:
    with pytest.raises(InputError, match="no patches"):
        q.propose(wish(()))


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.0, "hardly ever"), (0.1, "1 time in 10"), (0.79, "7 times in 10"), (0.97, "almost always")],
)
def test_chances_are_never_rounded_up(share: float, words: str) -> None:
    assert q.times_in_ten(share) == words


def test_patches_come_and_go_where_they_are_few_and_many() -> None:
    assert q.with_more((3, 1, 2), 3) == (3, 3, 3)
    assert q.with_fewer((3, 1, 2), 3) == (1, 1, 1)
    assert q.with_fewer((1, 1), 2) == ()


def test_two_materials_of_one_genus_have_keys_of_their_own() -> None:
    found, _ = t.blend({ALDER: 1.0}, [ALDER, "quercus-robur-bark", "quercus-robur-gall"])
    keys = [item.key for item in found]
    assert len(set(keys)) == len(keys) == 7
    assert "robur-bark100" in keys
    assert "robur-gall100" in keys
    oaks = [
        f"quercus-{kind}" for kind in ("robur-bark", "petraea-bark", "robur-gall", "cerris-bark")
    ]
    found, _ = t.blend(OAK, [*oaks, "quercus-ithaburensis-cup"])
    assert len({item.key for item in found}) == 15
    assert max(len(item.key) for item in found) <= 40

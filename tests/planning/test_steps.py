"""The steps of a plan: made ready first, kept cool, asked early, gathered by lot."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from tanwright.planning.answers import Answer, Step
from tanwright.planning.lately import Lately, lately_of
from tanwright.planning.looks_and_gate import LONGEST_WITHOUT_A_LOOK
from tanwright.planning.setting import settle
from tests.planning.tannages import START, forecast, on, plan, readings, sheet

TWO = [
    {"id": "salix-caprea-bark", "have": "5 kg"},
    {"id": "quercus-robur-bark", "have": "6 kg"},
]
DEER: dict[str, Any] = {"skin": [{"animal": "deer"}], "material": TWO, "vat_volume": "50 L"}


def of(answer: Answer, action: str) -> list[Step]:
    return [step for step in answer.schedule if step.action == action]


@pytest.mark.parametrize(
    ("changed", "asked", "not_asked"),
    [
        ({}, ("thawed", "fleshed", "unhaired", "lime out", "pH 8", "Move the start"), ()),
        ({"skin_stage": "salted"}, ("salt washed out", "unhaired", "lime"), ("thawed",)),
        ({"skin_stage": "dried"}, ("soaked soft", "lime"), ()),
        ({"skin_stage": "limed"}, ("lime out",), ("unhaired", "fleshed")),
        ({"skin_hair": "on"}, ("hair kept on", "fleshed"), ("unhaired", "lime out")),
        ({"skin": [{"animal": "fish"}]}, ("scales",), ("unhaired", "lime")),
    ],
)
def test_a_raw_skin_is_made_ready_first(
    changed: dict[str, Any], asked: tuple[str, ...], not_asked: tuple[str, ...]
) -> None:
    answer = plan(members=60, **changed)
    first = answer.schedule[0]
    assert first.action == "prepare"
    assert answer.next_action == first
    assert all(word in first.headline for word in asked)
    assert not any(word in first.headline for word in not_asked)
    assert ("goggles" in first.reason) == ("lime out" in first.headline)


def test_a_delimed_pelt_goes_straight_in() -> None:
    answer = plan(members=60, skin_stage="delimed", skin_weight="1.8 kg")
    assert not of(answer, "prepare")
    assert answer.next_action.action == "start"


def test_a_vat_too_hot_for_raw_skin_comes_before_all_else() -> None:
    answer = plan(members=60, vat_temperature="35 C")
    assert answer.next_action.action == "wait"
    assert answer.schedule[0] == answer.next_action
    assert "35 °C is too hot for raw skin" in answer.next_action.headline
    assert "shade" in answer.next_action.headline
    assert "35 °C" in answer.troubles[0].what
    cool = plan(members=60, vat_temperature="25 C")
    assert not of(cool, "wait")


@pytest.mark.parametrize("row", ["4,temperature,37,C", "4,event,heat 36 C,,"])
def test_heat_that_was_written_down_is_told_first(row: str) -> None:
    answer = forecast(row, day=4, members=60, skin_thickness="3 mm")
    assert answer.next_action.action == "move"
    assert "below 30 °C" in answer.next_action.headline
    assert "raw skin shrinks" in answer.troubles[0].what


def test_fish_skin_has_a_lower_limit_than_other_skins() -> None:
    fish: dict[str, Any] = {"skin": [{"animal": "fish", "count": 8}], "vat_volume": "20 L"}
    cool = plan(members=60, **fish)
    assert "below 20 °C" in of(cool, "start")[0].headline
    assert any("cold-water fish" in caution.text for caution in cool.cautions)
    warm = plan(members=60, vat_temperature="24 C", **fish)
    assert warm.next_action.action == "wait"
    assert any("24 °C" in note and "fish" in note for note in warm.notes)
    goat = plan(members=60, vat_temperature="24 C")
    assert "below 30 °C" in of(goat, "start")[0].headline
    assert not any("cold-water fish" in caution.text for caution in goat.cautions)


@pytest.mark.parametrize(
    "rows",
    [("8,cut,through,,neck",), ("8,cut,through,,neck", "8,cut,through,,belly")],
)
def test_a_cut_that_is_through_brings_the_gate_to_today(rows: tuple[str, ...]) -> None:
    answer = forecast(*rows, day=8, skin_thickness="2.4 mm", aim_leather="firm")
    assert answer.next_action.action == "gate"
    assert answer.next_action.date == on(8)
    assert re.search(r"coloured through; by reckoning \d+ g .* wanted \d+ to \d+", (
        answer.next_action.reason
    ))  # fmt: skip
    assert all(step.headline.startswith("If it is not done") for step in of(answer, "strengthen"))
    assert of(answer, "rinse")[0].date == on(9)


@pytest.mark.parametrize("rows", [("8,cut,half,,neck",), ("8,cut,through,,belly",)])
def test_a_cut_that_is_not_through_or_only_at_the_belly_is_not_the_gate(
    rows: tuple[str, ...],
) -> None:
    answer = forecast(*rows, day=8, skin_thickness="2.6 mm")
    assert answer.next_action.action != "gate"


def test_taken_out_after_it_is_through_is_not_put_back() -> None:
    answer = forecast("5,cut,through,,neck", "6,event,taken out,,", day=7)
    assert answer.next_action.action == "gate"
    assert not of(answer, "move")
    assert "oil" in of(answer, "rinse")[0].headline
    raw = forecast("5,cut,a third,,neck", "6,event,taken out,,", day=7)
    assert raw.next_action.action == "move"
    assert "back into the vat" in raw.next_action.headline


@pytest.mark.parametrize("word", ["done", "finished", "ready"])
def test_done_can_be_written_down_and_leaves_rinsing_and_drying(word: str) -> None:
    answer = forecast("9,cut,through,,neck", f"10,event,{word},,", day=10, members=60)
    assert [step.action for step in answer.schedule] == ["rinse"]
    assert answer.next_action.action == "rinse"
    assert not any(change.what == "interruptions" for change in answer.changes)


def test_done_against_all_reckoning_asks_for_one_more_cut() -> None:
    answer = forecast("3,event,done,,", day=3, members=60, skin_thickness="4 mm")
    assert [step.action for step in answer.schedule] == ["gate", "rinse"]
    assert "%" in answer.next_action.headline


def said(*rows: str, now: float = 10.0) -> Lately:
    return lately_of(readings(*rows).rows, settle(sheet()), "", now)


def test_what_the_newest_readings_say_of_today() -> None:
    assert said() == Lately()
    assert said("3,cut,through,,neck").through
    assert not said("3,cut,through,,neck", "4,cut,half,,haunch").through
    assert not said("3,cut,through,,belly").through
    assert not said("3,cut,through,,neck", "3,cut,0.6,,belly").through
    assert said("2,event,away,,", "9,event,back,,").back
    assert not said("2,event,away,,", "4,event,back,,").back
    assert said("3,event,done,,").done
    assert not said("3,event,done,,", "4,event,put back,,").done


def test_after_ten_days_away_nose_and_hands_come_before_gathering() -> None:
    answer = forecast(
        "4,event,away,,", "14,event,back,,", "14,strength,4,bk",
        day=14, material_have="1.3 kg", skin_thickness="2.5 mm",
    )  # fmt: skip
    words = answer.next_action.headline
    assert answer.next_action.action == "move"
    places = [words.index(word) for word in ("Smell", "turn", "feel", "cook", "gather")]
    assert places == sorted(places)
    due = [step.action for step in answer.schedule if step.date == on(14)]
    assert due.index("strengthen") < due.index("gather")


def test_gathering_is_told_lot_by_lot_with_the_figures_of_the_amounts() -> None:
    answer = plan(**DEER)
    (step,) = of(answer, "gather")
    figures = [float(found) for found in re.findall(r"([\d.]+) kg of", step.headline)]
    worst = [answer.still_needed_kg[key].p95 for key in answer.still_needed_kg]
    assert figures == pytest.approx(worst, rel=0.05)
    assert "willow" in step.headline
    assert "oak" in step.headline


def test_grams_are_not_sent_for() -> None:
    answer = plan(material=[{"id": "quercus-robur-bark"}], skin=[{"animal": "rabbit"}], members=60)
    for step in of(answer, "gather"):
        for grams in re.findall(r"\b([\d.]+) g\b", step.headline):
            assert float(grams) > 50.0


def test_a_long_tannage_is_looked_at_every_two_or_three_weeks() -> None:
    answer = plan(
        skin=[{"animal": "cattle", "thickness": "6 mm"}], vat_volume="150 L", tools_pot="40 L",
        material_have="120 kg", aim_leather="firm",
    )  # fmt: skip
    assert answer.finish.p50 is not None
    days = [START, *answer.look_on, answer.finish.p50]
    assert (answer.finish.p50 - START).days > 60
    gaps = [(late - early).days for early, late in pairwise(days)]
    assert max(gaps) <= LONGEST_WITHOUT_A_LOOK + 1
    assert list(answer.look_on) == sorted(set(answer.look_on))


def test_no_cook_is_told_after_the_latest_finish() -> None:
    for have in ("5 kg", "20 kg"):
        answer = plan(material_have=have, skin_thickness="1 mm", vat_volume="15 L")
        last = answer.finish.p95
        assert last is not None
        assert all(step.date <= last for step in of(answer, "strengthen"))


def test_more_than_is_needed_is_cooked_only_with_the_reason() -> None:
    answer = plan(material_have="9 kg")
    told = [step for step in answer.schedule if "most likely needed" in step.reason]
    assert len(told) == 1
    assert "next skin" in told[0].reason
    few = plan(material_have="1.5 kg")
    assert not [step for step in few.schedule if "most likely needed" in step.reason]


def test_a_cook_tells_of_liquor_that_there_is_room_for() -> None:
    answer = plan(vat_volume="40 L", material_have="9 kg")
    for step in of(answer, "strengthen"):
        found = re.search(r"ook ([\d.]+) (kg|g) .*: ([\d.]+) L taken", step.headline)
        assert found is not None
        kg = float(found[1]) * (1.0 if found[2] == "kg" else 1e-3)
        assert float(found[3]) == pytest.approx(6.0 * kg, rel=0.1)


def test_a_full_vat_says_where_the_rest_of_the_liquor_goes() -> None:
    heavy: dict[str, Any] = {
        "skin": [{"animal": "cattle", "thickness": "6 mm"}], "vat_volume": "150 L",
        "tools_pot": "40 L", "material_have": "120 kg", "aim_leather": "firm",
    }  # fmt: skip
    start = of(plan(members=60, **heavy), "start")[0]
    assert "second water of a pot is the first of the next" in start.reason
    roomy = of(plan(members=60, vat_volume="40 L", material_have="4 kg"), "start")[0]
    assert "second water of a pot" not in roomy.reason


def test_a_person_without_an_instrument_is_told_looks() -> None:
    seen = plan(tools={"pot": "10 L"}, material_have="5 kg")
    measured = plan(material_have="5 kg")
    for answer, by_eye in ((seen, True), (measured, False)):
        told = answer.one_pot[0]
        look = re.search(
            r"(look like|[Pp]aler than|It takes) (pale |strong |black )?(tea|coffee)", told
        )
        assert bool(look) == by_eye, told
        for step in of(answer, "strengthen"):
            assert ("looks paler" in step.reason) == (by_eye and "Only if" in step.reason)


def test_hair_slip_is_among_the_first_two_troubles_with_the_hair_on() -> None:
    answer = plan(members=60, skin_hair="on", vat_temperature="35 C", material_have="1 kg")
    assert any("Hair lets go" in trouble.what for trouble in answer.troubles[:2])
    assert "35 °C" in answer.troubles[0].what
    bare = plan(members=60)
    assert not any("Hair lets go" in trouble.what for trouble in bare.troubles)


def test_one_pot_of_two_plants_names_both_and_expects_their_blend() -> None:
    answer = plan(**DEER)
    told = answer.one_pot[0]
    assert "willow" in told
    assert "oak" in told
    assert not re.search(r"Below 0 °Bk|[Pp]aler than pale tea \(0", told)


def test_a_first_pot_expected_to_fall_short_says_so_in_that_order() -> None:
    answer = plan(material_have="1.5 kg")
    assert "falls" in answer.one_pot[0]
    assert "short" in answer.one_pot[0]
    assert "Below" not in answer.one_pot[0]
    well = plan(material_have="8 kg").one_pot[0]
    found = re.search(r"Below (\d+) °Bk \(expected (\d+) °Bk\)", well)
    assert found is not None
    assert int(found[1]) <= int(found[2])


def test_two_waters_of_the_first_pot_fit_and_add_up() -> None:
    told = plan(material_have="8 kg").one_pot[0]
    found = re.search(r"first, ([\d.]+) kg .* two waters of ([\d.]+) L: .* about ([\d.]+) L", told)
    assert found is not None
    kg, water, out = (float(part) for part in found.groups())
    assert 2.0 * water - 2.0 * kg == pytest.approx(out, rel=0.06)
    assert np.isclose(water / kg, 4.0, rtol=0.05)


def test_the_snip_is_dried_in_warm_air() -> None:
    asked = " ".join(plan(members=60).questions)
    assert "warm air" in asked
    assert "beside a stove" not in asked


def test_a_plant_to_leave_alone_is_said_before_anything_else() -> None:
    answer = plan(material=[{"id": "metopium-toxiferum-leaf", "have": "3 kg"}])
    assert answer.next_action.action == "wait"
    assert "Leave the" in answer.next_action.headline
    assert "take another plant" in answer.next_action.headline
    usual = plan()
    assert all("Leave the" not in step.headline for step in usual.schedule)

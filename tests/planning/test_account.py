"""The tannin account of a vat adds up, whatever was done to it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tanwright.planning.answers import Answer
from tanwright.planning.keeping import take_back
from tanwright.planning.renewal import renewed
from tanwright.planning.telling.told import tell
from tanwright.planning.telling.voice import Voice
from tests.planning import tannages

START = date(2027, 3, 20)
TABLES = {
    "skin": [{"animal": "goat", "weight": "2.2 kg"}],
    "material": [{"id": "quercus-robur-bark", "have": "6 kg"}],
    "vat": {"volume": "18 L", "temperature": "12 C"},
    "aim": {"leather": "soft", "start": START.isoformat()},
}
HEADER = "date,kind,value,unit,place,note\n"

done_to_it = st.lists(
    st.tuples(
        st.integers(1, 18),
        st.sampled_from(
            (
                "strengthened,1.2,kg,,",
                "strengthened,6,L,swap,30 Bk",
                "strengthened,2,L,top-up,0 Bk",
                "look,tea,,,",
                "cut,40 %,,neck,",
                "event,frozen,,,",
                "event,taken out,,,",
            )
        ),
    ),
    max_size=5,
)


def forecast(rows: list[tuple[int, str]], day: int) -> Answer:
    lines = [f"{START.isoformat()},event,started,,,\n"]
    lines += [f"{START + timedelta(days=n)},{row}\n" for n, row in sorted(rows)]
    found = renewed(TABLES, HEADER + "".join(lines), START + timedelta(days=day), 60)
    assert found["problem"] is None, found["problem"]
    return take_back(found["answer"])


@settings(max_examples=12, deadline=None)
@given(done_to_it)
def test_what_was_brought_in_lies_somewhere_or_is_lost(rows: list[tuple[int, str]]) -> None:
    terms = {term.name: term.mean_g for term in forecast(rows, 20).account}
    brought = terms.pop("brought-in")
    assert brought > 0.0
    # A kept answer carries six digits.
    assert sum(terms.values()) == pytest.approx(brought, rel=1e-5)
    assert all(grams >= -1e-6 * brought for grams in terms.values())


@pytest.mark.parametrize(
    ("changed", "rows"),
    [
        ({}, ()),
        ({"skin_thickness": "4 mm", "material_have": "12 kg"}, ("3,strength,14,bk",)),
        ({"vat_volume": "60 L"}, ("2,strengthened,20,L,swap,35 Bk", "9,cut,half,,neck")),
        ({"skin": [{"animal": "deer"}, {"animal": "goat"}]}, ("5,strengthened,1,kg",)),
        ({"skin_hair": "on"}, ("1,event,frozen,,", "8,event,thawed,,")),
        ({"vat_temperature": "28 C"}, ("6,strengthened,3,L,top-up,0 Bk",)),
        ({"material": [{"id": "salix-caprea-bark"}, {"id": "quercus-robur-bark"}]},
         ("4,strengthened,2,kg", "6,look,tea,,")),
        ({"aim_leather": "firm"}, ("3,event,taken out,,", "7,event,put back,,")),
    ],
)  # fmt: skip
def test_the_means_add_up_to_a_millionth(changed: dict[str, object], rows: tuple[str, ...]) -> None:
    for day in (4, 20):
        seen = [row for row in rows if int(row.split(",")[0]) <= day]
        answer = tannages.forecast("0,event,started,,", *seen, day=day, members=40, **changed)
        terms = {term.name: term.mean_g for term in answer.account}
        brought = terms.pop("brought-in")
        assert brought > 0.0
        assert sum(terms.values()) == pytest.approx(brought, rel=1e-6)


def test_what_is_fixed_is_the_degree_of_tannage_times_the_hide_substance() -> None:
    answer = forecast([(2, "look,tea,,,")], 14)
    fixed = next(term for term in answer.account if term.name == "fixed")
    hide_g = 1000.0 * sum(skin.hide_substance_kg.p50 * skin.count for skin in answer.skins)
    assert fixed.range_g.p50 == pytest.approx(answer.degree_now.p50 * hide_g, rel=0.15)


def test_before_the_skins_go_in_there_is_no_account() -> None:
    found = renewed(TABLES, "", START, 60)
    assert take_back(found["answer"]).account == ()


def test_it_is_told_in_the_readers_units() -> None:
    answer = forecast([(2, "look,tea,,,")], 14)
    for system, unit in (("metric", "g"), ("us", "oz")):
        lines = tell(answer, Voice(system)).account
        assert lines[0].what == "Brought in with the liquors"
        assert lines[0].share == 1.0
        assert sum(line.share for line in lines[1:]) == pytest.approx(1.0, abs=4e-3)
        assert unit in lines[0].likely


def test_after_a_no_the_gate_waits_and_after_a_yes_it_is_rinsed() -> None:
    through = [(28, "cut,through,,neck,"), (28, "cut,through,,belly,")]
    asked = forecast(through, 28)
    assert asked.next_action.action == "gate"
    assert asked.next_action.date == START + timedelta(days=28)
    no = forecast([*through, (28, "event,not done,,,")], 28)
    gates = [step.date for step in no.schedule if step.action == "gate"]
    assert min(gates) >= START + timedelta(days=31)
    assert "Ask again" in next(step.headline for step in no.schedule if step.action == "gate")
    yes = forecast([*through, (28, "event,not done,,,"), (30, "event,done,,,")], 30)
    assert any(step.action == "rinse" and step.headline.startswith("Now") for step in yes.schedule)


def gate_days(answer: Answer) -> list[int]:
    return [(step.date - tannages.START).days for step in answer.schedule if step.action == "gate"]


@pytest.mark.parametrize("no_day", [20, 36, 40])
def test_a_no_is_heeded_where_the_reckoned_finish_is_past(no_day: int) -> None:
    """Half of the worlds are through by day 36 and fewer than three in four: not asked daily."""
    pours = [f"{day},strengthened,9,L,swap,40 Bk" for day in (2, 12, 24, 36) if day <= no_day]
    vat = {"members": 60, "skin_thickness": "4 mm"}
    for seen in (no_day, no_day + 1, no_day + 2):
        answer = tannages.forecast(*pours, f"{no_day},event,not done,,", day=seen, **vat)
        assert min(gate_days(answer)) >= no_day + max(3, no_day // 10)
        rinse = next(step.date for step in answer.schedule if step.action == "rinse")
        assert rinse > tannages.on(min(gate_days(answer)))


def test_the_wait_is_told_and_ends() -> None:
    rows = ("28,cut,through,,neck", "28,event,not done,,")
    told = next(s for s in tannages.forecast(*rows, day=28).schedule if s.action == "gate")
    assert "asked again 3 days after it" in told.reason
    assert min(gate_days(tannages.forecast(*rows, day=31))) == 31


def test_topped_up_without_litres_is_water_to_the_old_level_and_says_so() -> None:
    plain = tannages.forecast("2,look,tea,,", day=6, members=60)
    topped = tannages.forecast("2,look,tea,,", "4,event,topped up,,", day=6, members=60)
    assert [t.mean_g for t in topped.account] == [t.mean_g for t in plain.account]
    note = next(note for note in topped.notes if "topped up" in note)
    assert "top-up" in note
    assert "0 Bk" in note

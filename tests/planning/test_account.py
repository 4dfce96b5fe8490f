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

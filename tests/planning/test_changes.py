"""What a forecast says of itself: what changed, by how much, and why."""

from __future__ import annotations

import re

import pytest

from tanwright.planning.answers import Answer, Change
from tests.planning.tannages import finish_day, forecast


def named(answer: Answer, part: str) -> list[Change]:
    return [change for change in answer.changes if part in change.what]


def of_the_finish(answer: Answer) -> Change:
    return answer.changes[0]


def test_nothing_said_is_nothing_changed() -> None:
    answer = forecast(day=0)
    change = of_the_finish(answer)
    assert change.before == change.after
    assert "no reading has said otherwise" in change.why
    assert len(answer.changes) == 1


@pytest.mark.parametrize(("share", "word"), [("0.2", "lower"), ("0.95", "higher")])
def test_a_cut_moves_the_finish_by_how_fast_tannin_goes_in(share: str, word: str) -> None:
    change = of_the_finish(forecast(f"6,cut,{share},,neck", day=6))
    assert change.before != change.after
    assert "how fast tannin moves" in change.why
    assert word in change.why


def test_a_weak_liquor_moves_it_by_the_strength_of_the_bark() -> None:
    answer = forecast("0,strength,4,bk", day=0)
    assert "how strong" in of_the_finish(answer).why
    assert "lower" in of_the_finish(answer).why
    (belief,) = named(answer, "how strong")
    assert "%" in belief.before
    assert belief.before != belief.after
    (amount,) = named(answer, "needed in all")
    assert "kg" in amount.after
    assert re.search(r"range is now \d+ ?% of what it was|wider", amount.why)


@pytest.mark.parametrize(
    ("rows", "word"),
    [
        (("2,event,moved to 2 C,,",), "later"),
        (("2,event,frozen,,", "9,event,thawed,,"), "later"),
        (("1,event,moved to 28 C,,",), "earlier"),
    ],
)
def test_an_interruption_is_told_with_its_cost(rows: tuple[str, ...], word: str) -> None:
    answer = forecast(*rows, day=9)
    (change,) = named(answer, "interruption")
    assert word in change.after
    days = int(re.findall(r"(\d+) days?", change.after)[0])
    assert 1 <= days <= 40
    assert rows[0].split(",")[2] in change.why


def test_a_short_absence_costs_little_and_says_so() -> None:
    answer = forecast("1,event,away,,", "2,event,back,,", day=3)
    (change,) = named(answer, "interruption")
    assert "half a day" in change.after


def test_the_cost_of_a_frost_is_what_it_adds_to_the_finish() -> None:
    frozen = forecast("4,event,frozen,,", "16,event,thawed,,", day=16)
    calm = forecast(day=4)
    (change,) = named(frozen, "interruption")
    days = int(re.findall(r"(\d+) days?", change.after)[0])
    assert days == pytest.approx(finish_day(frozen) - finish_day(calm), abs=4)


def test_a_first_liquor_of_ones_own_is_why_the_finish_moved() -> None:
    answer = forecast("0,strengthened,400,g,,", day=2)
    assert "what was done" in of_the_finish(answer).why


def test_a_belief_is_only_told_when_its_words_differ() -> None:
    answer = forecast("6,cut,half,,neck", day=6)
    assert all(change.before != change.after for change in answer.changes)


def test_a_belief_about_fresh_bark_is_told_as_it_lies() -> None:
    answer = forecast("0,strength,4,bk", day=0, material_state="fresh")
    (belief,) = named(answer, "how strong")
    need = answer.needs[0].tannin_pct
    low, high = (float(word) for word in re.findall(r"[\d.]+", belief.after))
    assert low == pytest.approx(need.p05, rel=0.05)
    assert high == pytest.approx(need.p95, rel=0.05)


def test_an_interruption_is_told_in_days_alone() -> None:
    answer = forecast("2,event,frozen,,", "9,event,thawed,,", day=9)
    (change,) = named(answer, "interruption")
    assert change.before == "no delay"
    assert re.fullmatch(r"\d+ days? later", change.after)


def test_a_sour_liquor_is_not_blamed_on_what_came_between() -> None:
    answer = forecast("0,ph,3.3,,", "1,event,away,,", "2,event,back,,", day=3)
    (change,) = named(answer, "interruption")
    assert "half a day" in change.after


def test_an_interruption_without_a_finish_is_told_too() -> None:
    answer = forecast("2,event,away,,", "12,event,back,,", day=12, material_have="700 g")
    assert answer.finish.p50 is None
    (change,) = named(answer, "interruption")
    assert "no finish in sight" in (change.before, change.after)
    assert "away" in change.why


@pytest.mark.parametrize(("hot", "word"), [("heat,,,35 C", "spent sooner"), ("away,,,", "")])
def test_heat_is_explained(hot: str, word: str) -> None:
    answer = forecast(f"1,event,{hot}", "6,event,back,,", day=9, vat_temperature="6 C")
    (change,) = named(answer, "interruption")
    assert re.search(r"later|earlier", change.after)
    assert ("spent sooner" in change.why) == bool(word)

"""An answer as text: what is first, in plain words, at 80 columns, in units and scale owned."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from rich.console import Console

from tanwright.cli.render_answer import render_forecast, render_plan
from tanwright.planning.answers import (
    AccountTerm,
    Answer,
    Caution,
    Change,
    DateRange,
    Enough,
    Fan,
    Range,
)
from tanwright.planning.changes import NO_DELAY
from tanwright.planning.sheet import Container
from tanwright.planning.telling.voice import Voice
from tests.planning.answer_fixture import a_forecast, a_plan, on

VOICE = Voice("metric", "sg", (Container("bucket", 2.5, None, "bark"),), 2026)
Render = Callable[..., None]


def page(
    render: Render, answer: Answer, voice: Voice = VOICE, *, full: bool = False, width: int = 80
) -> str:
    out = io.StringIO()
    console = Console(file=out, width=width, highlight=False, markup=False, color_system=None)
    render(answer, console, voice, full=full)
    return out.getvalue()


def flat(text: str) -> str:
    """Without line ends, so that wrapping does not matter."""
    return " ".join(text.split())


def headings(text: str) -> list[str]:
    return [line for line in text.splitlines() if line and not line.startswith(" ")]


def test_a_plan_says_first_whether_it_is_enough() -> None:
    text = page(render_plan, a_plan())
    assert headings(text)[:5] == [
        "1 goat skin, to go in on 1 March; leather: soft",
        "Is it enough?",
        "How much",
        "When",
        "Next",
    ]
    assert "Probably enough: 63 in 100, with 6 kg of English oak bark." in flat(text)
    assert "holds 8.2 % tannin or more; safe (9 times in 10) at 13 %" in flat(text)


def test_the_first_screen_holds_the_answers() -> None:
    first = page(render_plan, a_plan()).splitlines()[:25]
    assert any(line.startswith("Next") for line in first)
    assert any("Leather by" in line for line in first)


def test_a_forecast_says_first_what_to_do() -> None:
    text = page(render_forecast, a_forecast())
    assert headings(text)[:5] == [
        "1 goat skin, started 1 March, seen from 11 March; leather: soft",
        "Next",
        "Readings to look at again",
        "What changed, and why",
        "Now",
    ]
    assert "12 March: Swap 8 L for stronger liquor; the vat is then 1.016 SG" in flat(text)
    assert "Why: the vat has fallen below strong tea." in text
    assert "line 3, strength 120 bk: left out. Ten times" in flat(text)
    assert "line 4, cut 0.4: odd, but used." in flat(text)
    assert "line 2" not in text
    assert "Finish: 29 March before; 2 April now. Two frozen days" in flat(text)
    assert "Struck through: 44 % of the thickness (31 % to 58 %)." in flat(text)
    assert "line 2" in page(render_forecast, a_forecast(), full=True)


@pytest.mark.parametrize("width", [40, 60, 80, 120])
@pytest.mark.parametrize(("render", "make"), [(render_plan, a_plan), (render_forecast, a_forecast)])
@pytest.mark.parametrize("full", [False, True])
def test_nothing_is_wider_than_the_terminal(
    width: int, render: Render, make: Callable[[], Answer], full: bool
) -> None:
    for line in page(render, make(), full=full, width=width).splitlines():
        assert len(line) <= width
        assert line == line.rstrip()
        assert "\x1b" not in line


def test_a_number_stays_with_its_unit() -> None:
    for width in range(30, 100, 7):
        text = page(render_plan, a_plan(), width=width)
        paragraphs = text[: text.index("Day by day")].splitlines()
        for line in paragraphs:
            assert line.strip() not in ("%.", "kg.", "%")
            assert not line.lstrip().startswith(("% ", "kg "))


def test_amounts_come_in_own_containers_with_causes_and_cooks() -> None:
    text = flat(page(render_plan, a_plan()))
    assert "3.1 to 9.6 kg, most likely 5.4 kg (1 to 4 buckets)" in text
    assert "3 to 9 cooks of 1.1 kg in the pot" in text
    assert "6 kg of it tans 1.2 to 3.9 kg, most likely 2.2 kg of such skin" in text
    assert "Most likely none to gather beyond that; at worst 3.6 kg." in text
    assert "how strong the bark is 62 %" in text
    other = replace(VOICE, containers=(Container("basin", 2.5, None, "pods"),))
    assert "basin" not in page(render_plan, a_plan(), other)


def test_us_units_reach_every_amount() -> None:
    text = flat(page(render_forecast, a_forecast(), replace(VOICE, system="us", containers=())))
    assert "6.8 to 21 lb, most likely 12 lb" in text
    assert "Swap 2.1 gal for stronger liquor" in text
    how_much = text[text.index("How much") : text.index("What to measure")]
    assert "kg" not in how_much


@pytest.mark.parametrize(
    ("scale", "shown"),
    [
        ("sg", "1.008 SG, tea"),
        ("bk", "8 °Bk, tea"),
        ("brix", "2.1 °Bx, tea"),
        ("tw", "1.6 °Tw, tea"),
        (None, "tea, 8 °Bk"),
    ],
)
def test_strengths_come_in_the_owned_scale_and_as_a_look(scale: str | None, shown: str) -> None:
    voice = replace(VOICE, scale=scale)  # type: ignore[arg-type]
    assert shown in flat(page(render_plan, a_plan(), voice))


def test_the_short_form_counts_what_it_leaves_out() -> None:
    answer = replace(a_plan(), schedule=a_plan().schedule * 3)
    short, full = page(render_plan, answer), page(render_plan, answer, full=True)
    assert "and 9 more days' work between: --full shows all." in short
    assert "more days' work" not in full
    assert "procter1903" not in short
    assert "Sources: bailey, bennett1921, procter1903." in full
    assert "1000 worlds" in full


def test_the_done_gate_and_the_drying_are_never_left_out() -> None:
    plan = a_plan()
    cooks = tuple(replace(plan.schedule[1], date=on(day)) for day in range(1, 12))
    gate, dry = plan.schedule[-1], replace(plan.schedule[-1], action="rinse", headline="Dry it")
    late = replace(plan.schedule[1], date=on(40), headline="Cook once more")
    text = flat(page(render_plan, replace(plan, schedule=(*cooks, gate, dry, late))))
    assert "Ask the three questions" in text[text.index("Day by day") :]
    assert "Dry it" in text
    assert "Cook once more" not in text
    assert "and 5 more days' work between" in text


def test_colour_comes_through_before_leather() -> None:
    plan = a_plan()
    day = np.array([0.0, 9.0, 12.0, 30.0])
    fan = Fan(day, np.array([0.0, 0.2, 0.5, 0.8]), np.array([0.0, 0.4, 1.0, 1.0]),
              np.array([0.0, 1.0, 1.0, 1.0]))  # fmt: skip
    text = flat(page(render_plan, replace(plan, depth_fan=fan)))
    assert "Colour through: from 10 March on, most likely 13 March; it may take far" in text
    assert text.index("Colour through") < text.index("Leather by: 19 March to 17 April")
    assert "Tanned through" not in text
    seen = replace(plan, depth_fan=fan, today=on(20))
    assert "Colour through" not in page(render_plan, seen)


@pytest.mark.parametrize("width", [50, 80])
def test_the_reason_of_the_next_step_is_told_once(width: int) -> None:
    plan = a_plan()
    for full, times in ((False, 1), (True, 2)):
        assert page(render_plan, plan, width=width, full=full).count("colours") == times


def test_a_day_likely_missed_brings_advice() -> None:
    plan = replace(a_plan(), wanted_by=date(2026, 3, 20), in_time_probability=0.36)
    text = flat(page(render_plan, plan))
    assert "To come nearer to it: start 9 days earlier, move the skin oftener, keep the vat" in text
    begun = flat(page(render_plan, replace(plan, today=on(5))))
    assert "To come nearer to it: move the skin oftener" in begun
    assert "To come nearer" not in page(render_plan, replace(plan, in_time_probability=0.83))


def test_a_first_liquor_is_filled_up_once() -> None:
    plan = a_plan()
    start = replace(plan.schedule[0], headline="Cook it; fill the vat to 45 L", litres=45.2)
    text = flat(page(render_plan, replace(plan, schedule=(start,), next_action=start)))
    assert "put in 45 L" not in text
    assert text.count("45 L") == 2


def test_interruptions_are_told_by_what_they_cost() -> None:
    rest = Change("interruptions", NO_DELAY, "4 days later", "the vat went through: away")
    endless = Change("interruptions", "no finish", "none either", "the vat went through: away")
    text = flat(page(render_forecast, replace(a_forecast(), changes=(rest,))))
    assert "Interruptions: 4 days later. The vat went through: away." in text
    text = flat(page(render_forecast, replace(a_forecast(), changes=(endless,))))
    assert "Interruptions: no finish without them, none either with them." in text


def test_what_says_nothing_to_a_tanner_is_only_in_full() -> None:
    bare = Change("How fast tannin moves", "0.14 to 1.9 mm2/day", "0.2 to 0.9 mm2/day", "cuts")
    answer = replace(a_forecast(), changes=(*a_forecast().changes, bare))
    assert "mm2" not in page(render_forecast, answer)
    assert "mm2/day" in page(render_forecast, answer, full=True)
    assert "What changed" not in page(render_forecast, replace(answer, changes=(bare,)))


LIME = Caution("lime", "Lime water can blind: goggles on. Cover the tubs.", "common-practice")
TREE = Caution("living-tree", "A ring of bark kills a tree.", "common-practice")
FIRE = Caution("fire", "Never leave a pot on a flame.", "common-practice")
ODD = Caution("a new topic", "Mind the bees.", "memory")


@pytest.mark.parametrize(
    ("action", "shown"),
    [
        ("prepare", {"lime"}),
        ("start", {"lime", "fire"}),
        ("strengthen", {"fire"}),
        ("gather", {"living-tree"}),
        ("look", set()),
        ("something new", {"lime", "fire", "living-tree"}),
    ],
)
def test_dangers_of_the_step_at_hand_are_shown_and_the_others_counted(
    action: str, shown: set[str]
) -> None:
    plan = a_plan()
    step = replace(plan.schedule[0], action=action)
    every = (LIME, TREE, FIRE, ODD)
    answer = replace(plan, next_action=step, schedule=(step,), cautions=every)
    text = flat(page(render_plan, answer))
    for caution, sign in ((LIME, "can blind: goggles on."), (TREE, "ring"), (FIRE, "flame")):
        assert (sign in text) is (caution.topic in shown)
    assert "bees" in text
    assert "Cover the tubs" not in text
    left = 3 - len(shown)
    assert (f"{left} more caution" in text) is (left > 0)
    full = flat(page(render_plan, answer, full=True))
    for caution in every:
        assert caution.text in full


def test_dangers_of_the_coming_week_are_shown_and_no_later_ones() -> None:
    plan = a_plan()
    look = replace(plan.schedule[2], date=on(1))
    cook = plan.schedule[1]
    for day, seen in ((8, True), (9, False)):
        answer = replace(
            plan, next_action=look, schedule=(look, replace(cook, date=on(day))), cautions=(FIRE,)
        )
        assert ("flame" in page(render_plan, answer)) is seen


def test_gate_dangers_and_defaults_are_always_shown() -> None:
    text = flat(page(render_plan, a_plan()))
    assert "Before you call it done" in text
    assert "Is the cut one even brown" in text
    assert "No iron pot or wire" in text
    assert "Hair was not mentioned" in text
    assert "Sign: the liquor pales within a day or two" in text
    assert "By 10 March the strength left in the vat tells" in text
    assert "Takes 38 % off the range of the finish day and 8 % off the range of the amount." in text


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.99, "Almost surely enough: 99 in 100"),
        (0.9, "Very likely enough: 90 in 100"),
        (0.5, "It could go either way: 50 in 100"),
        (0.31, "Probably not enough: 31 in 100"),
        (0.001, "Almost surely not enough: under 1 in 100"),
        (1.0, "Almost surely enough: over 99 in 100"),
    ],
)
def test_chances_come_in_words_first(chance: float, words: str) -> None:
    answer = replace(a_plan(), enough=Enough(chance, 8.2, None, "quercus-robur-bark"))
    assert words in page(render_plan, answer)


def test_nothing_in_hand_asks_for_gathering_not_for_a_chance() -> None:
    plan = a_plan()
    need = replace(plan.needs[0], have_kg=None, tans_skin_kg=None)
    text = flat(page(render_plan, replace(plan, needs=(need,))))
    assert "Nothing is in hand yet" in text
    assert "The most likely amount below is enough if the English oak bark holds 8.2 %" in text
    assert "63 in 100" not in text
    assert "Still to gather" not in text


def test_when_the_other_plant_alone_would_do_no_strength_of_nought_is_told() -> None:
    plan = a_plan()
    other = replace(plan.needs[0], material_id="salix-caprea-bark", name="goat willow bark")
    blend = replace(
        plan,
        needs=(*plan.needs, other),
        enough=Enough(0.99, 0.0, 0.0, plan.needs[0].material_id),
    )
    text = flat(page(render_plan, blend))
    assert "would do alone, without the English oak bark" in text
    assert "0 % tannin or more" not in text
    assert "at 0 %" not in text


def test_no_strength_is_enough() -> None:
    answer = replace(a_plan(), enough=Enough(0.0, None, None, "quercus-robur-bark"))
    assert "No strength that this material can have would make it enough." in flat(
        page(render_plan, answer)
    )


@pytest.mark.parametrize(
    ("window", "words"),
    [
        (DateRange(None, None, None), "not within the time that was looked at"),
        (DateRange(on(20), None, None), "21 March at the earliest"),
        (DateRange(on(20), on(30), None), "from 21 March on, most likely 31 March"),
        (DateRange(on(20), on(20), on(20)), "Leather by: 21 March."),
        (DateRange(on(20), on(30), date(2027, 1, 3)), "21 March to 3 January 2027"),
    ],
)
def test_finish_windows_without_an_end(window: DateRange, words: str) -> None:
    assert words in flat(page(render_plan, replace(a_plan(), finish=window)))


def test_amounts_that_are_not_finite_are_said_in_words() -> None:
    inf = float("inf")
    plan = a_plan()
    need = replace(plan.needs[0], need_kg=Range(3.0, 9.0, inf), cooks=Range(3.0, 9.0, inf))
    text = flat(page(render_plan, replace(plan, needs=(need,))))
    assert "about 9 kg, and possibly far more" in text
    assert "3 or more cooks" in text
    assert "inf" not in text.replace("information", "")


def test_a_bare_answer_leaves_empty_headings_out() -> None:
    bare = replace(
        a_plan(), schedule=(), one_pot=(), measure_next=(), worth_knowing=(), troubles=(),
        questions=(), cautions=(), notes=(), look_on=(), amount_causes=(), wanted_by=None,
    )  # fmt: skip
    text = page(render_plan, bare)
    for absent in ("Day by day", "one pot", "measure", "wrong first", "done", "care", "granted"):
        assert absent not in text


def test_the_tannin_account_is_listed_in_full_only() -> None:
    terms = (
        AccountTerm("brought-in", 800.0, Range(600.0, 790.0, 1000.0)),
        AccountTerm("fixed", 500.0, Range(400.0, 500.0, 610.0)),
        AccountTerm("in-liquor", 300.0, Range(200.0, 290.0, 390.0)),
    )
    answer = replace(a_forecast(), account=terms)
    assert "Where the tannin is" not in page(render_forecast, answer)
    text = flat(page(render_forecast, answer, full=True))
    assert "Fixed in the skins: 500 g (400 to 610 g)." in text
    assert text.index("Brought in") < text.index("In the liquor")

"""What a trial tells, in words and figures, and when it cannot."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest

from tanwright.errors import InputError
from tanwright.planning.pictures.trial_effects import draw_effects
from tanwright.planning.trials.analysis import Telling, analyse
from tanwright.planning.trials.answer_words import (
    answer,
    chances,
    figure,
    pair_words,
    summary,
    telling_words,
)
from tanwright.planning.trials.diagnosing import diagnose
from tanwright.planning.trials.records import Grade, Measure, Seen
from tests.planning.trials.seen_fixture import seen_trial


def test_a_clear_lead_is_told_in_words_first() -> None:
    found = analyse(seen_trial({"control": 0.0, "oak": 1.5}), wanted={"firmness": "more"})
    words = answer(found.qualities[0], found.labels)
    assert words.startswith("Oak beat the usual way for firmness, ")
    assert "chances in" in words


def test_where_neither_end_is_better_nobody_beats_anybody() -> None:
    found = analyse(seen_trial({"control": 0.0, "oak": 1.5}))
    assert answer(found.qualities[0], found.labels).startswith(
        "Oak came out firmer than the usual way, "
    )


def test_less_is_better_turns_the_winner_round() -> None:
    found = analyse(seen_trial({"control": 0.0, "oak": 1.5}), wanted={"firmness": "less"})
    assert answer(found.qualities[0], found.labels).startswith("The usual way beat oak")


def test_many_differences_are_told_in_brief() -> None:
    lead = {"control": 0.0, "a": 1.8, "b": 1.2, "c": -1.2, "d": -1.8, "e": 0.1}
    found = analyse(seen_trial(lead, graders=3, patches=8))
    words = answer(found.qualities[0], found.labels)
    assert len(words) < 400
    assert "than the usual way" in words
    assert "At the head, firmer than the rest on average: a." in words
    assert "told apart too, in the figures." in words
    lead = {"control": 0.0, **dict.fromkeys("abcd", 1.9)}
    found = analyse(seen_trial(lead, graders=3, patches=8))
    pairs = tuple(replace(pair, verdict="apart") for pair in found.qualities[0].pairs)
    words = answer(replace(found.qualities[0], pairs=pairs), found.labels)
    assert words.startswith("All 4 others came out firmer than the usual way")


def test_equals_are_not_told_apart() -> None:
    found = analyse(
        seen_trial({"control": 0.0, "oak": 0.0}, patches=4, qualities=("colour",), seed=3)
    )
    words = answer(found.qualities[0], found.labels)
    assert "No telling them apart on depth of colour" in words or "alike" in words
    assert not any(pair.verdict == "apart" for pair in found.qualities[0].pairs)


def test_multiplicity_is_told() -> None:
    lead = {"control": 0.0, "oak": 1.5, "willow": 0.0, "alder": -1.0}
    found = analyse(seen_trial(lead, qualities=("firmness", "feel")))
    assert found.telling.looked_at == 12
    assert 0 < found.telling.told <= 12
    assert found.telling.likely_wrong <= 0.1 * found.telling.told
    assert telling_words(found.telling).startswith("12 pairs were looked at and ")


def test_every_pair_has_its_chance_and_interval() -> None:
    found = analyse(seen_trial({"control": 0.0, "oak": 1.0, "willow": 0.2}))
    for pair in found.qualities[0].pairs:
        assert 0.5 <= pair.chance <= 1.0
        assert pair.difference.p05 <= pair.difference.p50 <= pair.difference.p95
        assert pair_words(found.qualities[0], pair, found.labels).endswith(".")


def test_rows_alone_and_beside_grades() -> None:
    seen = seen_trial({"control": 0.0, "oak": 1.5}, rows=2)
    both = analyse(seen).qualities[0]
    assert both.kind == "grades and rows"
    alone = analyse(replace(seen, grades=())).qualities[0]
    assert (alone.kind, alone.unit) == ("rows", "chance")
    assert alone.agreement is not None
    assert alone.agreement > 0.5
    alike = replace(alone.pairs[0], verdict="alike")
    assert "alike to 12 in 100 of an even chance" in pair_words(
        alone, alike, {"control": "x", "oak": "y"}
    )
    assert "of two average pieces its own lies ahead" in pair_words(
        alone, alone.pairs[0], {"control": "x", "oak": "y"}
    )
    assert 0.0 <= alone.effects[0].typical.p05 <= alone.effects[0].typical.p95 <= 1.0


def test_grades_and_rows_of_unlike_qualities_are_kept_apart() -> None:
    seen = seen_trial({"control": 0.0, "oak": 1.5}, rows=1)
    moved = tuple(replace(row, quality="grain") for row in seen.rankings)
    found = analyse(replace(seen, rankings=moved))
    assert [(q.id, q.kind) for q in found.qualities] == [("firmness", "grades"), ("grain", "rows")]


def measures(seen: Seen, name: str, unit: str, by_treatment: dict[str, float]) -> Seen:
    own = tuple(
        Measure(p.code, name, by_treatment[p.treatment] + 0.1 * (i % 3), unit)
        for i, p in enumerate(seen.patches)
    )
    return replace(seen, measures=own)


def test_a_measure_is_told_in_its_unit() -> None:
    seen = measures(
        seen_trial({"control": 0.0, "oak": 0.0}), "shrinkage", "°C", {"control": 72.0, "oak": 78.0}
    )
    result = next(q for q in analyse(seen).qualities if q.kind == "measure")
    assert result.unit == "°C"
    against = result.effects[1].against
    assert against is not None
    assert against.p50 == pytest.approx(6.0, abs=0.5)


def test_a_measure_in_another_unit_and_all_alike_are_left_out_with_the_reason() -> None:
    seen = seen_trial({"control": 0.0, "oak": 0.0})
    wrong = analyse(measures(seen, "thickness", "cm", {"control": 0.2, "oak": 0.3}))
    assert "write it in mm" in wrong.left_out["thickness"]
    same = replace(seen, measures=tuple(Measure(p.code, "bend", 0.0, "mm") for p in seen.patches))
    assert "the same" in analyse(same).left_out["bend"]
    note = diagnose(same, analyse(same))[0]
    assert (note.weight, note.about) == ("cannot say", "bend")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("one jar", "in one jar only"),
        ("no control", "No patch was done the usual way"),
        ("one block", "one place of one skin"),
        ("apart", "never lay in the same part"),
        ("thin", "fewer than 3 patches"),
        ("flat", "gave the same grade"),
        ("lost", "say nothing on firmness"),
    ],
)
def test_what_the_data_cannot_say_is_said(change: str, words: str) -> None:
    seen = seen_trial({"control": 0.0, "oak": 1.0, "willow": 0.0}, patches=4)
    patches, grades = seen.patches, seen.grades
    if change == "one jar":
        patches = tuple(replace(p, jar="") for p in patches)
    elif change == "no control":
        patches = tuple(replace(p, treatment=p.treatment.replace("control", "")) for p in patches)
    elif change == "one block":
        patches = tuple(replace(p, block="leg") for p in patches)
    elif change == "apart":
        patches = tuple(
            replace(p, block="neck" if p.treatment == "oak" else p.block) for p in patches
        )
    elif change == "thin":
        patches = tuple(p for p in patches if p.treatment != "oak" or p.code in ("oa0", "oa1"))
    elif change == "flat":
        grades = tuple(replace(g, grade=3) if g.grader == "grader 1" else g for g in grades)
    elif change == "lost":
        grades = tuple(g for g in grades if g.code != "oa1")
    seen = replace(seen, patches=patches, grades=grades)
    notes = diagnose(seen, analyse(seen))
    assert any(words in note.what for note in notes), notes


def test_strangers_to_each_other_are_noticed() -> None:
    seen = seen_trial({"control": 0.0, "oak": 1.0})
    turned = tuple(
        replace(g, grade=6 - g.grade) if g.grader == "grader 2" else g for g in seen.grades
    )
    notes = diagnose(replace(seen, grades=turned), analyse(replace(seen, grades=turned)))
    assert any("hardly agree" in note.what for note in notes)


def test_grades_that_never_overlap_are_told_once() -> None:
    seen = seen_trial({"control": -1.9, "oak": 1.9})
    notes = [n for n in diagnose(seen, analyse(seen)) if "never overlap" in n.what]
    assert len(notes) == 1
    assert "oak above the usual way" in notes[0].what


def test_bad_input_is_refused_plainly() -> None:
    seen = seen_trial({"control": 0.0, "oak": 1.0})
    with pytest.raises(InputError, match='no quality is called "frimness"; did you mean firmness'):
        analyse(replace(seen, grades=(Grade("co0", "a", "frimness", 3),)))
    off = analyse(replace(seen, grades=(*seen.grades, Grade("co0", "z", "firmness", 9))))
    assert "9 is no step of firmness" in off.left_out["firmness"]
    with pytest.raises(InputError, match="nothing to compare"):
        analyse(replace(seen, patches=seen.patches[:3]))


def test_chances_are_never_told_higher_than_they_are() -> None:
    assert chances(0.899) == "4 chances in 5"
    assert chances(0.9) == "9 chances in 10"
    assert chances(0.949) == "9 chances in 10"
    assert chances(0.95) == "19 chances in 20"
    assert chances(0.999) == "better than 99 chances in 100"
    assert chances(0.55) == "about even chances"
    assert chances(0.66) == "about even chances"
    assert chances(0.49) == "2 chances in 5"
    assert chances(0.33) == "1 chance in 4"
    assert chances(0.2) == "1 chance in 5"
    assert chances(0.1) == "1 chance in 10"
    assert chances(0.03) == "less than 1 chance in 10"


@pytest.mark.parametrize(
    ("told", "wrong", "words"),
    [
        (1, 0.08, "It may still be chance."),
        (4, 0.22, "Most likely all of these are so, but one may still be chance."),
        (12, 0.9, "about one of these will be chance"),
        (40, 2.4, "about 2 of these will be chance"),
    ],
)
def test_what_may_be_chance_is_told_without_fractions(told: int, wrong: float, words: str) -> None:
    sentence = telling_words(Telling(50, told, wrong))
    assert sentence.endswith(f"{words}") or f"{words}, and nobody can say which." in sentence
    assert "0." not in sentence


def test_figures_read_as_people_write_them() -> None:
    assert [figure(v) for v in (0.0, -0.001, 1.0, -0.5, 0.123, 12.34, 123.4)] == [
        "0", "0", "1", "−0.5", "0.12", "12.3", "123",
    ]  # fmt: skip


def test_pictures_hold_words_and_numbers() -> None:
    found = analyse(seen_trial({"control": 0.0, "oak": 1.5}))
    picture = draw_effects(found.qualities[0], found)
    assert picture.svg.startswith("<?xml") or picture.svg.startswith("<svg")
    assert "style=" not in picture.svg
    assert picture.words.startswith("Oak came out firmer")
    assert picture.numbers.splitlines()[0].startswith("treatment,patches,p05")
    assert len(picture.numbers.splitlines()) == 3


def test_sixty_patches_and_three_graders_take_less_than_two_seconds() -> None:
    lead = {"control": 0.0, "oak": 1.0, "willow": -0.5, "alder": 0.3}
    seen = seen_trial(lead, patches=15, graders=3)
    analyse(seen)
    began = time.process_time()
    found = analyse(seen)
    assert time.process_time() - began < 2.0
    assert summary(found)

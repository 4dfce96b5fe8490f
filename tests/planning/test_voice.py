"""Numbers in plain words, in the reader's units, scale and containers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tanwright.planning.answers import Range
from tanwright.planning.sheet import Container
from tanwright.planning.telling.retell import retold
from tanwright.planning.telling.voice import (
    Voice,
    chance_word,
    count_range,
    in_hundred,
    per_cent,
    sentence,
)
from tanwright.units import format_mass
from tests.planning.answer_fixture import a_plan

METRIC = Voice("metric", "sg", (), 2026)
US = Voice("us", None, (), 2026)


@pytest.mark.parametrize(
    ("text", "us"),
    [
        ("Cook 2.7 kg of bark", "Cook 5 lb 15 oz of bark"),
        ("Cook 2.7 kg of bark in 2 pots", "Cook 5 lb 15 oz of bark in 2 pots"),
        ("a trial of 250 g", "a trial of 8.8 oz"),
        ("gather 1.3 to 6.6 kg more", "gather 2.9 to 15 lb more"),
        ("fill it to 40 L", "fill it to 11 gal"),
        ("keep it at 70 to 80 °C", "keep it at 158 to 176 °F"),
        ("raw pelt below 30 °C", "raw pelt below 86 °F"),
        ("borax (2-3 g/L)", "borax (2-3 g/L)"),
        ("A 3 mm sliver", "A 0.12 in sliver"),
        ("quercus-robur-2 g", "quercus-robur-2 g"),
        ("below 3 °Bk", "below 3 °Bk"),
        ("18 to 1.1e+4 kg", "18 to 1.1e+4 kg"),
        ("nothing to turn into gallons", "nothing to turn into gallons"),
    ],
)
def test_sentences_come_in_the_readers_units(text: str, us: str) -> None:
    assert US.words(text) == us
    assert replace(US, system="metric").words(text) == text


@pytest.mark.parametrize(
    ("text", "metric", "us"),
    [
        ("Cook 13.84 kg of bark", "Cook 14 kg of bark", "Cook 31 lb of bark"),
        ("Cook 2.537 kg of bark", "Cook 2.5 kg of bark", "Cook 5 lb 9 oz of bark"),
        ("about 345.6 g", "about 350 g", "about 12 oz"),
        ("8.533 L of it", "8.5 L of it", "2.3 gal of it"),
        ("13.84 to 20.11 kg", "14 to 20 kg", "31 to 44 lb"),
        ("a vat of 125 L", "a vat of 125 L", "a vat of 33 gal"),
        ("fold it at 12.25 °C", "fold it at 12.25 °C", "fold it at 54 °F"),
    ],
)
def test_amounts_are_rounded_once(text: str, metric: str, us: str) -> None:
    assert METRIC.words(text) == metric
    assert US.words(text) == us


def test_an_amount_in_a_sentence_and_in_a_figure_are_the_same() -> None:
    for kg in (13.84, 13.61, 2.537, 0.9061, 0.3456, 44.95):
        assert US.words(format_mass(kg)) == US.mass(kg)
        assert METRIC.words(format_mass(kg)) == METRIC.mass(kg)


def test_dates_are_written_out_and_per_cent_set_apart() -> None:
    assert METRIC.words("done 2026-03-09, by 2027-01-02") == "done 9 March, by 2 January 2027"
    assert METRIC.words("about 59% pale") == "about 59 % pale"


def test_sentences_come_in_the_readers_scale() -> None:
    assert METRIC.words("below 3 °Bk, cook 2 kg") == "below 1.003 SG, cook 2 kg"
    assert METRIC.words("about 5 to 12 °Bk") == "about 1.005 to 1.012 SG"
    assert replace(METRIC, scale="bk").words("below 3 °Bk") == "below 3 °Bk"


def test_a_difference_of_strengths_is_no_strength() -> None:
    assert METRIC.words("back in, about 5 °Bk stronger") == "back in, about 0.005 SG stronger"
    assert replace(METRIC, scale="tw").words("5 °Bk stronger") == "1.0 °Tw stronger"
    assert replace(METRIC, scale=None).words("5 °Bk stronger") == "5 °Bk stronger"


def test_only_sentences_are_told_anew() -> None:
    plan = a_plan()
    assert retold(plan, lambda text: text) == plan
    loud = retold(plan, str.upper)
    assert loud.schedule[1].headline == plan.schedule[1].headline.upper()
    assert loud.schedule[1].action == "strengthen"
    assert loud.schedule[1].material_id == "quercus-robur-bark"
    assert loud.cautions[0].text == plan.cautions[0].text.upper()
    assert loud.cautions[0].source == "procter1903"
    assert loud.one_pot[0] == plan.one_pot[0].upper()
    assert loud.sources == plan.sources
    assert loud.needs == plan.needs


def test_words_for_chances_cover_nought_to_one() -> None:
    assert [chance_word(p) for p in (1.0, 0.8, 0.6, 0.5, 0.2, 0.1, 0.0)] == [
        "almost surely",
        "very likely",
        "probably",
        "maybe",
        "probably not",
        "very likely not",
        "almost surely not",
    ]
    assert in_hundred(0.0) == "under 1 in 100"
    assert in_hundred(0.004) == "under 1 in 100"
    assert in_hundred(0.995) == "over 99 in 100"
    assert per_cent(1.2) == "100 %"


def test_small_helpers() -> None:
    assert sentence("the cut is pale") == "The cut is pale."
    assert sentence("Is it done?") == "Is it done?"
    assert sentence("  ") == ""
    assert count_range(Range(0.2, 0.5, 0.9)) == "1"
    assert count_range(Range(2.1, 3.0, 4.0)) == "3 to 4"
    assert METRIC.day(date(2026, 3, 9)) == "9 March"
    assert METRIC.day(date(2027, 3, 9)) == "9 March 2027"
    assert METRIC.short_day(date(2026, 3, 9)) == " 9 Mar"
    assert METRIC.masses(Range(2.0, 2.0, 2.0)) == "2 kg"


def test_litres_come_in_own_containers() -> None:
    voice = replace(METRIC, containers=(Container("tub", None, 20.0),))
    assert voice.volume(40.0) == "40 L (2 tubs)"
    assert METRIC.volume(40.0) == "40 L"


def test_pictures_get_the_same_units_and_scale() -> None:
    assert METRIC.picture_reader().strength_unit == "SG"
    assert not METRIC.picture_reader().by_eye
    assert US.picture_reader().by_eye
    assert US.picture_reader().volume_unit == "gal"

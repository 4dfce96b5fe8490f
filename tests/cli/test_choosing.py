"""``choose``, ``almanac`` and ``home-test`` answer in text and in JSON, and refuse in one line."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tanwright.cli import run

Ask = Callable[..., str]
HERE = ("choose", "--place", "Germany", "--weight", "2.3 kg", "--day", "2026-05-03")


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Ask:
    """Run a command that should do well and return what it prints, wide enough not to wrap."""
    monkeypatch.setenv("COLUMNS", "400")
    monkeypatch.delenv("TANWRIGHT_UNITS", raising=False)

    def asked(*arguments: str) -> str:
        assert run.run(arguments) == 0, capsys.readouterr().err
        return capsys.readouterr().out

    return asked


@pytest.fixture
def refused(capsys: pytest.CaptureFixture[str]) -> Ask:
    """Run a command that should be refused and return the one line that it tells."""

    def asked(*arguments: str) -> str:
        assert run.run(arguments) == 2
        told = capsys.readouterr()
        assert told.out == ""
        assert told.err.count("\n") == 1
        return told.err.removeprefix("tanwright: ").rstrip("\n")

    return asked


def test_choose_ranks_and_says_why(ask: Ask) -> None:
    text = ask(*HERE, "--leather", "bag", "--latitude", "51", "--top", "3")
    assert "plant parts in Germany" in text
    assert "English oak bark" in text
    assert "follow the local rules" in text
    record = json.loads(ask(*HERE, "--leather", "bag", "--latitude", "51", "--json"))
    assert len(record["ranked"]) == 8
    scores = [each["score"] for each in record["ranked"]]
    assert scores == sorted(scores, reverse=True)
    assert set(record["ranked"][0]["parts"]) == set(record["ranked"][0]["reasons"])


def test_weights_of_the_command_line_change_the_order(ask: Ask) -> None:
    plain = json.loads(ask(*HERE, "--json"))["ranked"]
    kind = json.loads(ask(*HERE, "--json", "--weigh", "source=10", "--weigh", "quality=0"))[
        "ranked"
    ]
    assert kind[0]["parts"]["source"] == 1.0
    assert [each["material_id"] for each in kind] != [each["material_id"] for each in plain]
    assert " lb" in ask(*HERE, "--units", "us")


def test_the_height_moves_the_season(ask: Ask) -> None:
    low = ask(*HERE, "--latitude", "51", "--top", "40")
    high = ask(*HERE, "--latitude", "51", "--height", "1600 ft", "--top", "40")
    assert low != high
    assert ask(*HERE, "--latitude", "51", "--height", "0 m", "--top", "40") == low


def test_choose_without_a_weight_takes_a_usual_skin(ask: Ask) -> None:
    assert "2.3 kg of skin" in ask("choose", "--animal", "goat", "--day", "2026-05-03")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--place", "Germny"), '--place: no country or region is called "Germny"'),
        (("--animal", "dragon"), '--animal: no animal is called "dragon"'),
        (("--leather", "silk"), '--leather: no leather is called "silk"'),
        (("--weight", "100 g"), "--weight: 100 g is not the weight of one green goat skin"),
        (("--weight", "much"), "--weight:"),
        (("--day", "yesterday"), '--day: "yesterday" is no date'),
        (("--day", "1492-10-12"), "--day: the year 1492"),
        (("--latitude", "100"), "--latitude: 100 is no latitude"),
        (("--height", "280 m"), "--height: a height alone moves no days; add --latitude"),
        (("--latitude", "51", "--height", "280"), '--height: "280" needs a unit; write 350 m'),
        (("--latitude", "51", "--height", "9 km"), "--height: a height of 9000 m cannot be"),
        (("--weigh", "luck=3"), '--weigh: "luck=3" is no weight'),
        (("--weigh", "quality=lots"), '--weigh: "quality=lots" is no weight'),
        (("--weigh", "quality=12"), "--weigh: a weight of 12 is not known"),
    ],
)
def test_choose_refuses_in_one_line(refused: Ask, arguments: tuple[str, ...], told: str) -> None:
    assert refused("choose", *arguments).startswith(told)


def test_the_almanac_tells_sources_and_contradictions(ask: Ask) -> None:
    assert "procter1903" in ask("almanac", "sources")
    one = ask("almanac", "sources", "paaver2019")
    assert "8 tannin figures" in one
    oak = ask("almanac", "contradictions", "--material", "quercus-robur-bark")
    assert "Which oak has the richer bark" in oak
    assert "[eb9]" in oak
    assert ask("almanac", "contradictions", "--material", "rhus-typhina-leaf").strip() == (
        "No contradiction is known."
    )
    record = json.loads(ask("almanac", "contradictions", "--json"))
    assert len(record["contradictions"]) > 30
    assert "Commands:" in ask("almanac")


def test_the_reference_is_written_as_a_zip(ask: Ask, tmp_path: Path) -> None:
    assert "Written: reference.zip" in ask("almanac", "export", str(tmp_path / "reference.zip"))
    assert "tables/observations.csv" in zipfile.ZipFile(tmp_path / "reference.zip").namelist()


def test_an_unknown_source_is_refused(refused: Ask) -> None:
    assert "did you mean paaver2019" in refused("almanac", "sources", "paver2019")


def test_home_tests_are_explained_and_judged(ask: Ask) -> None:
    how = ask("home-test")
    assert "iron=blue-black" in how
    assert "for a laboratory only" in how
    text = ask("home-test", "leaf", "iron=blue-black", "gelatin=curds")
    assert text.startswith("Worth a trial on an offcut")
    assert "Beware: Iron water" in text
    record = json.loads(ask("home-test", "bark", "iron=green-black", "--json"))
    assert record["classes"]["condensed"] > 0.8
    named = json.loads(ask("home-test", "bark", "--plant", "quercus-robur-bark", "--json"))
    assert named["classes"]["mixed"] > 0.8


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("leaf", "iron"), 'TEST=RESULT: "iron" is no result'),
        (("leaf", "iron=pink"), 'iron: "pink" is no result'),
        (("leaf", "rust=blue"), 'no test is called "rust"'),
        (("leaf", "iorn=blue-black"), 'no test is called "iorn"; did you mean iron?'),
        (("leaf", "iron=blue-black", "iron=nothing"), "TEST=RESULT: the test iron is told twice"),
        (("leaf", "bromine=yes"), "bromine: bromine water is for a laboratory"),
        (("leaf", "pucker=strong"), "pucker: a plant that is not known as harmless"),
        (("stem",), 'part: no part of a plant is called "stem"'),
    ],
)
def test_home_tests_refuse_in_one_line(refused: Ask, arguments: tuple[str, ...], told: str) -> None:
    assert refused("home-test", *arguments).startswith(told)

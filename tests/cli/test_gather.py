"""``tanwright gather``: windows, logs and stands in words and as JSON; slips in one line."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from tanwright.cli import run

Ask = Callable[..., str]


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Ask:
    """Run ``gather`` and return what it prints, its white space evened out."""
    monkeypatch.setenv("COLUMNS", "300")
    monkeypatch.delenv("TANWRIGHT_UNITS", raising=False)

    def asked(*arguments: str) -> str:
        assert run.run(["gather", *arguments]) == 0, capsys.readouterr().err
        return " ".join(capsys.readouterr().out.split())

    return asked


def test_windows_are_told_for_ones_own_place(ask: Ask) -> None:
    told = ask("windows", "quercus-robur-bark", "--latitude", "52.5", "--height", "50 m")
    assert "bark slips (best) about 19 April to 19 June" in told
    assert "local rules go first" in told
    assert "--latitude moves them" in ask("windows", "quercus-robur-bark")
    feet = ask("windows", "quercus-robur-bark", "--latitude", "52.5", "--height", "164 ft")
    assert feet == told
    assert "at any time of the year" in ask("windows", "schinopsis-balansae-wood")
    assert "dry season" in ask("windows", "vachellia-nilotica-pod", "--latitude", "10")


def test_windows_warn_of_look_alikes_and_protection(ask: Ask) -> None:
    assert "poison sumac" in ask("windows", "rhus-typhina-leaf")
    assert "redoul" in ask("windows", "rhus-coriaria-leaf")
    assert "lacquer" in ask("windows", "rhus-chinensis-gall")
    assert "Yew can pass for fir" in ask("windows", "abies-alba-bark")
    assert "protected in places" in ask("windows", "arctostaphylos-uva-ursi-leaf")
    assert "Beware" not in ask("windows", "quercus-robur-bark")


def test_a_stand_that_does_not_come_again(ask: Ask) -> None:
    spruce = ask("stand", "picea-abies-bark")
    assert spruce.startswith("Nothing of it should be cut: only what is felled or fallen anyway")
    assert "may be cut" not in spruce
    told = ask("stand", "arctostaphylos-uva-ursi-leaf")
    assert "a third of the leaf at most, so that the plant keeps feeding its roots (memory)" in told


def test_logs_together(ask: Ask) -> None:
    logs = ("logs", "4 x oak, 30 cm", "10 oak, 20 cm, 3 m", "spruce, 25 cm, 4 m, 8 mm")
    lying = ("--since", "2026-05-01", "--today", "2026-08-01")
    told = ask(*logs, *lying)
    assert "4 x oak, 30 cm" in told
    assert "10 x oak, 20 cm" in told
    assert "green skin it may tan, soft leather" in told
    assert "Rain:" in told
    assert "chainsaw" in told
    found = json.loads(ask(*logs, *lying, "--json"))
    assert [line["trunks"]["count"] for line in found["lines"]] == [4, 10, 1]
    assert found["skin_kg"]["p05"] < found["skin_kg"]["p50"] < found["skin_kg"]["p95"]
    assert "lb" in ask("logs", "oak, 12 in", "--units", "us")


def test_a_stand(ask: Ask) -> None:
    cuts = ("--cut", "2010-05-03 25 % north end", "--cut", "2024-05-03 25 % north end")
    told = ask("stand", "quercus-robur-bark", *cuts, "--today", "2026-11-01")
    assert told.startswith("75 % of it may be cut, more from May 2040.")
    assert "Harm: The cut of May 2024" in told
    assert "north end: 25 %" in told
    found = json.loads(ask("stand", "quercus-robur-bark", *cuts, "--json"))
    assert len(found["pieces"]) == 2
    comma = json.loads(ask("stand", "quercus-robur-bark", "--cut", "2020-05-03 12,5 %", "--json"))
    assert sorted(piece["share"] for piece in comma["pieces"]) == [0.125, 0.875]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["windows", "no-such-thing"], 'no material is called "no-such-thing"'),
        (["windows", "quercus-robur-bark", "--latitude", "99"], "--latitude: latitude in degrees"),
        (["windows", "quercus-robur-bark", "--year", "99999"], "--year: the year 99999"),
        (
            ["windows", "quercus-robur-bark", "--height", "350"],
            '--height: "350" needs a unit; write 350 m or 1200 ft',
        ),
        (["windows", "quercus-robur-bark", "--height", "350 m"], "--height: a height alone moves"),
        (["logs", "oak"], 'LOG: "oak" is no log; write "4 x oak, 30 cm'),
        (["logs", "oak, 30"], 'LOG: "30" needs a unit'),
        (["logs", "0 x oak, 30 cm"], "LOG: 0 trunks of one size cannot be"),
        (["logs", "oak, 30 cm", "--rain", "drizzle"], '--rain: rain "drizzle" is not known'),
        (["logs", "oak, 30 cm", "--since", "spring"], '--since: "spring" is no day'),
        (
            ["logs", "oak, 30 cm", "--since", "2030-01-02", "--today", "2029-05-03"],
            "--since: a trunk cannot lie since 2030-01-02 when it is seen on 2029-05-03",
        ),
        (["logs", "oak, 30 cm", "--leather", "x"], '--leather: no leather is called "x"'),
        (["stand", "oak"], '"oak" fits'),
        (["stand", "quercus-robur-bark", "--cut", "soon"], '--cut: "soon" is no cut'),
        (["stand", "quercus-robur-bark", "--cut", "2020-13-01"], "is no day"),
        (["stand", "quercus-robur-bark", "--cut", "2020-05-03 0.25"], '0.25" is no cut; write'),
        (["stand", "quercus-robur-bark", "--cut", "2020-05-03 north 25 %"], "is no cut; write"),
        (["stand", "quercus-robur-bark", "--cut", "2020-12-01 200 %"], "--cut: a cut cannot take"),
        (
            ["stand", "quercus-robur-bark", "--cut", "2030-02-03 9 %", "--today", "2029-05-03"],
            "--cut: the cut of 2030-02-03 is still to come; write days to 2029-05-03",
        ),
    ],
)
def test_slips_are_told_in_one_line(
    arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run.run(["gather", *arguments]) == 2
    told = capsys.readouterr().err
    assert told.startswith("tanwright: ")
    assert message in told
    assert told.count("\n") == 1

"""The command try: how to find a pile's strength, what readings say of it, and what is kept."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from tanwright.cli.run import run
from tanwright.planning.trial_how import how_to_try

OAK = ["try", "quercus-robur-bark"]
COOK = ["--mass", "250 g", "--water", "2 L"]


def test_without_readings_it_says_how(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(OAK) == 0
    out = capsys.readouterr().out
    for part in (
        "250 g",
        "2 L",
        "--strength",
        "--litre-weight",
        "--gelatin",
        "--iron",
        "Take care",
    ):
        assert part in out
    assert all(line == line.rstrip() for line in out.splitlines())
    assert run([*OAK, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["material_id"] == "quercus-robur-bark"
    assert len(found["how_to"]) == len(how_to_try("quercus-robur-bark"))
    assert all(way["source"] for way in found["how_to"])


def test_leaves_are_not_cooked_as_hot_as_bark() -> None:
    bark, leaf = how_to_try("quercus-robur-bark")[0], how_to_try("rhus-coriaria-leaf")[0]
    assert any("70 to 80" in step for step in bark.steps)
    assert any("50 to 60" in step for step in leaf.steps)


def test_a_strength_narrows_the_belief(capsys: pytest.CaptureFixture[str]) -> None:
    reading = ["--strength", "7 Bk", "--at", "18 C", "--calibrated-at", "20 C"]
    assert run([*OAK, *COOK, *reading, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    before, after = found["before_pct"], found["after_pct"]
    assert after["p95"] - after["p05"] < before["p95"] - before["p05"]
    assert run([*OAK, *COOK, *reading]) == 0
    out = capsys.readouterr().out
    assert "Tannin in this pile" in out
    assert "before the trial" in out


def test_a_litre_of_water_weighed_in_the_same_jug_counts(
    capsys: pytest.CaptureFixture[str],
) -> None:
    strengths = []
    for extra in ([], ["--water-weight", "1002 g"]):
        assert run([*OAK, *COOK, "--litre-weight", "1008 g", *extra, "--json"]) == 0
        strengths.append(json.loads(capsys.readouterr().out)["strength_bk"]["p50"])
    assert strengths[1] < strengths[0]


def test_the_result_is_kept_and_a_plan_can_take_it_up(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    piles = tmp_path / "piles.toml"
    command = [*OAK, *COOK, "--strength", "7 Bk", "--keep", str(piles)]
    assert run(command) == 0
    assert "piles.toml" in capsys.readouterr().out
    kept = tomllib.loads(piles.read_text())["known"]["quercus-robur-bark"]
    assert kept["tannin"].endswith(" %")
    assert kept["how"] == "tanwright try"
    assert run(command) == 0
    assert list(tomllib.loads(piles.read_text())["known"]) == ["quercus-robur-bark"]


@pytest.mark.parametrize(
    ("options", "place"),
    [
        (["--strength", "7 Bk"], "--mass: "),
        (["--mass", "250 g", "--litre-weight", "1008 g"], "--water: "),
        ([*COOK, "--strength", "strong"], "--strength: "),
        ([*COOK, "--strength", "7 Bk", "--at", "18"], "--at: "),
        ([*COOK, "--water-weight", "998 g"], "--water-weight: "),
        (["--mass", "0 g", "--iron", "grey"], "--mass: "),
        (["--iron", "purple"], "--iron: "),
        (["--gelatin", "lumps"], "--gelatin: "),
        (["--state", "damp"], "--state: "),
        (["--snip-thickness", "1 mm"], "--snip-thickness: "),
    ],
)
def test_what_cannot_be_used_names_its_option(
    capsys: pytest.CaptureFixture[str], options: list[str], place: str
) -> None:
    assert run([*OAK, *options]) == 2
    shown = capsys.readouterr()
    assert shown.err.startswith(f"tanwright: {place}")
    assert len(shown.err.strip().splitlines()) == 1
    assert shown.out == ""


def test_an_unknown_plant_gets_near_matches(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["try", "quercus-rubur-bark"]) == 2
    assert "quercus-robur-bark" in capsys.readouterr().err

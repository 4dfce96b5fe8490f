"""The command trial map: from outline files to patches, codes and the PDF."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tanwright.cli.run import run
from tanwright.planning.trials.files import read_patches

LEG = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="120mm">{}</svg>'
BODY = '<polygon id="leg" points="0,0 1133,60 1133,380 0,453"/>'


@pytest.fixture
def leg(tmp_path: Path) -> str:
    path = tmp_path / "leg.svg"
    path.write_text(LEG.format(BODY))
    return f"shanks={path}"


def test_patches_map_and_table_are_written(
    leg: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, table = tmp_path / "map.pdf", tmp_path / "patches.csv"
    asked = ["trial", "map", leg, "--skin", "goat 1", "--out", str(out), "--patches", str(table)]
    assert run([*asked, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    patches = read_patches(table)
    assert len(patches) == len(found["patches"]) == found["fits"] > 4
    assert 0.8 <= found["ratio"] <= 1.0
    assert {(patch.region, patch.skin, patch.offcut) for patch in patches} == {
        ("shanks", "goat 1", "leg")
    }
    assert out.read_bytes().startswith(b"%PDF")
    first = table.read_bytes()
    assert run([*asked, "--treatments", str(table)]) == 0
    said = capsys.readouterr().out
    assert "fit." in said
    assert "100 %" in said
    assert table.read_bytes() == first


def test_sizes_in_other_units_and_rectangles(leg: str, capsys: pytest.CaptureFixture[str]) -> None:
    counts = []
    for size in ("2 in", "50.8 mm x 2 in", "60 mm × 40 mm"):
        assert run(["trial", "map", leg, "--patch", size, "--json"]) == 0
        counts.append(json.loads(capsys.readouterr().out)["fits"])
    assert counts[0] == counts[1]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--patch", "5"], "--patch"),
        (["--patch", "1 x 2 x 3 cm"], "not a size"),
        (["--patch", "4 m"], "cannot be cut"),
        (["--margin", "5 kg"], "--margin"),
        (["--paper", "a5"], "a4 or letter"),
        (["--cm-per-unit", "0"], "scale"),
        (["--out", "/"], "cannot be written"),
        (["--treatments", "nowhere.csv"], "nowhere.csv"),
    ],
)
def test_slips_end_in_one_plain_line(
    leg: str, more: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["trial", "map", leg, *more]) == 2
    said = capsys.readouterr().err
    assert says in said
    assert len(said.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("given", "says"),
    [("leg.svg", "REGION=FILE"), ("wing=leg.svg", "no region"), ("belly=nowhere.svg", "nowhere")],
)
def test_an_offcut_that_cannot_be_found(
    given: str, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["trial", "map", given]) == 2
    assert says in capsys.readouterr().err

"""The commands that answer one question: strength, strengthen, materials, tree, checks."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tanwright.cli import run
from tanwright.planning import outside_checks
from tanwright.science import mixing, strength

Ask = Callable[..., str]


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Ask:
    """Run a command that should do well and return what it prints, wide enough not to wrap."""
    monkeypatch.setenv("COLUMNS", "300")
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


def test_strength_on_other_scales_corrected_for_a_warm_liquor(ask: Ask) -> None:
    """1.020 read at 25 °C on a 60 °F instrument is 1.0218 (worked example of the method page)."""
    command = ("strength", "1.020", "--from", "sg", "--to", "bk,be,brix", "--at", "25C")
    record = json.loads(ask(*command, "--calibrated-at", "60 F", "--json"))
    assert record["scales"].keys() == {"bk", "be", "brix"}
    assert record["scales"]["bk"] == pytest.approx(21.8, abs=0.05)
    text = ask(*command)
    assert "21.8  °Bk" in text
    assert "Corrected from 25 °C to the hydrometer's 16 °C" in text
    assert "Corrected from 77 °F to the hydrometer's 60 °F" in ask(*command, "--units", "us")


def test_a_refractometer_reading_with_a_temperature_is_read_all_the_same(ask: Ask) -> None:
    text = ask("strength", "5", "--from", "brix", "--refractometer", "--at", "20C")
    assert "17.9  °Bk" in text
    assert "--at was not used" in text
    assert "Corrected from" not in text


def test_a_hot_liquor_is_to_be_cooled_and_read_again(ask: Ask) -> None:
    assert "Liquor of 95 °C is too hot to read well" in ask("strength", "12 Bk", "--at", "95 C")
    assert "203 °F is too hot" in ask("strength", "12 Bk", "--at", "95 C", "--units", "us")
    assert "too hot" not in ask("strength", "12 Bk", "--at", "30 C")


def test_strength_tells_solubles_and_tannin_as_ranges(ask: Ask) -> None:
    record = json.loads(ask("strength", "20 Bk", "--purity", "50-70 %", "--json"))
    assert record["solubles_g_per_l"] == {"low": 48.0, "high": 54.0}
    assert record["tannin_g_per_l"]["low"] == pytest.approx(24.0)
    assert record["tannin_g_per_l"]["high"] == pytest.approx(37.8)
    one = ask("strength", "20 Bk", "--purity", "0.6")
    assert "at a purity of 60 % (given)" in one
    by_plant = ask("strength", "20 Bk", "--material", "quercus-robur-bark")
    assert "English oak bark, parker1895" in by_plant
    assert "add --at" in by_plant


def test_a_refractometer_reads_high(ask: Ask) -> None:
    record = json.loads(ask("strength", "4 Bx", "--refractometer", "--json"))
    assert record["scales"]["brix"] == pytest.approx(4.0 / 1.1, rel=1e-5)
    assert "a tenth high" in ask("strength", "4 Bx", "--refractometer")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["20"], 'READING: "20" needs a unit; write 12 Bk, 1.012 SG or 3 Bx, or add --from sg'),
        (["20 Bk", "--from", "sg"], 'READING: "20 Bk" is not on the scale sg; leave --from out'),
        (["3", "--from", "sg"], "READING: specific gravity 3 lies outside 0.98 to 1.4"),
        (["20", "--from", "xx"], '--from: "xx" is not a scale; use sg, bk, tw, be'),
        (["20 Bk", "--to", "bk,xx"], '--to: "xx" is not a scale; use sg, bk, tw, be'),
        (["20 Bk", "--at", "25"], '--at: "25" needs a unit; write 15 C or 60 F'),
        (["20 Bk", "--calibrated-at", "20 C"], "--calibrated-at: says nothing without"),
        (["20 Bk", "--purity", "150 %"], '--purity: "150 %" is not a purity; write "60 %"'),
        (["20 Bk", "--refractometer"], "--refractometer: a refractometer reads Brix"),
        (["20 Bk", "--material", "oka"], '--material: no material is called "oka"'),
    ],
)
def test_strength_refuses_in_one_line(arguments: list[str], message: str, refused: Ask) -> None:
    assert refused("strength", *arguments).startswith(message)


STRENGTHEN = ("strengthen", "60 L", "--from", "8 Bk", "--to", "14 Bk", "--with", "35 Bk", "--have")


def test_strengthen_offers_swap_and_top_up(ask: Ask) -> None:
    record = json.loads(ask(*STRENGTHEN, "20 L", "--json"))
    swap, top_up = record["ways"]
    assert (swap["way"], top_up["way"]) == ("swap", "top-up")
    assert swap["put_in_l"] == swap["take_out_l"] == pytest.approx(60 * 6 / 27, rel=1e-5)
    assert top_up["put_in_l"] == pytest.approx(60 * 6 / 21, rel=1e-5)
    assert top_up["take_out_l"] == 0.0
    for way in record["ways"]:
        assert way["reaches_bk"] == pytest.approx(14.0)
        assert way["stock_left_l"] == pytest.approx(20.0 - way["put_in_l"], rel=1e-4)
    text = ask(*STRENGTHEN, "20 L")
    assert "take out 13 L, then put in 13 L of the stronger liquor" in text
    assert "non-tans stay behind" in text


def test_strengthen_never_promises_more_than_the_stock(ask: Ask) -> None:
    record = json.loads(ask(*STRENGTHEN, "10 L", "--json"))
    for way in record["ways"]:
        assert way["put_in_l"] == 10.0
        assert way["stock_left_l"] == 0.0
        assert way["stock_is_enough"] is False
        assert 8.0 < way["reaches_bk"] < 14.0
    assert "that is all there is: the vat reaches 12.5 °Bk and not more" in ask(*STRENGTHEN, "10 L")


def test_strengthen_corrects_each_liquor_for_its_own_warmth(ask: Ask) -> None:
    record = json.loads(ask(*STRENGTHEN, "20 L", "--at", "12 C", "--with-at", "30 C", "--json"))
    vat = strength.convert(8.0, "bk", "bk", temperature_c=12.0)
    stock = strength.convert(35.0, "bk", "bk", temperature_c=30.0)
    assert record["vat"]["strength_bk"] == pytest.approx(float(vat), rel=1e-5)
    assert record["stock"]["strength_bk"] == pytest.approx(float(stock), rel=1e-5)
    swapped = mixing.litres_to_swap(60.0, vat, 14.0, stock)
    assert record["ways"][0]["put_in_l"] == pytest.approx(float(swapped), rel=1e-5)
    assert record["ways"][0]["instrument_will_show"] > 14.0
    assert "your instrument will show 14.4 °Bk there" in ask(*STRENGTHEN, "20 L", "--at", "12 C")


def test_strengthen_without_a_stock_says_how_much_is_needed(ask: Ask) -> None:
    text = ask(*STRENGTHEN[:-1])
    assert "put in 13 L of the stronger liquor\n  the vat then stands at 14 °Bk\n" in text
    assert "left over" not in text
    record = json.loads(ask(*STRENGTHEN[:-1], "--json"))
    assert record["stock"]["litres"] is None
    as_strong = ("strengthen", "60 L", "--from", "8 Bk", "--to", "35 Bk", "--with", "35 Bk")
    (swap,) = json.loads(ask(*as_strong, "--json"))["ways"]
    assert swap["put_in_l"] == pytest.approx(60.0)


def test_strengthen_takes_looks_as_rough(ask: Ask) -> None:
    text = ask("strengthen", "60 L", "--from", "tea", "--to", "strong tea", "--with", "coffee")
    assert 'By eye only: "tea" may be 4 to 9 °Bk and is reckoned as 5.7; "coffee" may be' in text
    assert "Put half in, stir, look again" in text
    assert "hydrometer" not in text
    assert "the vat then stands at 13 °Bk" in text


@pytest.mark.parametrize(
    ("weaker", "word"), [("0 Bk", "water"), ("water", "water"), ("4 Bk", "the weaker liquor")]
)
def test_to_thin_a_vat_names_what_goes_in(weaker: str, word: str, ask: Ask) -> None:
    text = ask("strengthen", "60 L", "--from", "20 Bk", "--to", "14 Bk", "--with", weaker)
    assert f" L of {word}\n" in text
    assert "stronger liquor" not in text


def test_strengthen_in_gallons_and_own_buckets(ask: Ask) -> None:
    text = ask(
        *("strengthen", "15 gal", "--from", "1.008 SG", "--to", "1.014 SG", "--with", "1.035 SG"),
        *("--have", "3 buckets", "--container", "bucket=3 gal", "--units", "us"),
    )
    assert "take out 3.3 gal (1 bucket), then put in 3.3 gal (1 bucket)" in text
    assert "1.014 SG" in text


def test_strengthen_takes_the_hydrometer_and_buckets_of_a_sheet(ask: Ask, tmp_path: Path) -> None:
    sheet = tmp_path / "mine.toml"
    sheet.write_text(
        '[[skin]]\nanimal = "goat"\n[[material]]\nid = "unknown-bark"\n'
        '[tools]\nstrength = "hydrometer"\ncalibrated_at = "20 C"\n'
        '[container.bucket]\nholds = "12 L"\n'
    )
    record = json.loads(ask(*STRENGTHEN, "2 buckets", "--sheet", str(sheet), "--json"))
    assert record["stock"]["litres"] == 24.0
    assert record["hydrometer_calibrated_at_c"] == 20.0


def test_strengthen_with_little_room_tops_up_and_swaps_the_rest(ask: Ask) -> None:
    record = json.loads(ask(*STRENGTHEN, "20 L", "--room", "5 L", "--json"))
    way = record["ways"][1]
    assert way["way"] == "top-up-and-swap"
    assert way["vat_l"] == pytest.approx(65.0)
    assert way["put_in_l"] - way["take_out_l"] == pytest.approx(5.0, abs=1e-3)
    assert way["reaches_bk"] == pytest.approx(14.0)
    full = json.loads(ask(*STRENGTHEN, "20 L", "--room", "0 L", "--json"))
    assert [each["way"] for each in full["ways"]] == ["swap"]


def test_strengthen_by_refractometer(ask: Ask) -> None:
    record = json.loads(
        ask(
            *("strengthen", "60 L", "--from", "2 Bx", "--to", "4 Bx", "--with", "9 Bx"),
            *("--have", "30 L", "--refractometer", "--json"),
        )
    )
    assert record["ways"][0]["instrument_will_show"] == pytest.approx(4.0, rel=1e-4)
    assert record["ways"][0]["reaches"] == pytest.approx(4.0 / 1.1, rel=1e-4)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"--to": "40 Bk"}, "--to: a liquor of 35 °Bk cannot bring a vat from 8 to 40 °Bk"),
        ({"--to": "8 Bk"}, "--to: the vat already stands at 8 °Bk; ask for another strength"),
        ({"--have": "0 L"}, '--have: "0 L" is not above zero; write 20 L or 5 gal'),
        ({"--have": "3 kg"}, '--have: "3 kg" is not a volume; write 20 L or 5 gal'),
        ({"--have": "3 buckets"}, '--have: "buckets" is not a known unit; write 20 L or 5 gal'),
        ({"--from": "8"}, '--from: "8" needs a unit; write 12 Bk'),
        ({"--from": "mud"}, '--from: "mud" cannot be read as a strength; write 12 Bk, 1.012 SG or'),
        ({"--container": "bucket"}, '--container: "bucket" is not a container; write bucket=8kg'),
        ({"--at": "150 C"}, "--at: temperature 150 lies outside -5 to 110"),
        ({"--sheet": "nowhere.toml"}, "nowhere.toml: there is no such file"),
    ],
)
def test_strengthen_refuses_in_one_line(
    changes: dict[str, str], message: str, refused: Ask
) -> None:
    given = {"--from": "8 Bk", "--to": "14 Bk", "--with": "35 Bk", "--have": "20 L"} | changes
    options = [part for pair in given.items() for part in pair]
    assert refused("strengthen", "60 L", *options).startswith(message)


def test_materials_lists_what_fits(ask: Ask) -> None:
    found = json.loads(ask("materials", "alder", "--part", "bark", "--json"))["materials"]
    assert {"alnus-glutinosa-bark", "alnus-incana-bark"} <= {item["id"] for item in found}
    for item in found:
        assert 0.0 < item["tannin_pct"]["p05"] < item["tannin_pct"]["p95"] < 100.0
    text = ask("materials", "oak", "--region", "Middle Europe", "--track-record", "industrial")
    assert text.splitlines()[1].startswith("quercus-")
    assert "tanwright materials show quercus-" in text


def test_materials_shows_the_evidence_of_one(ask: Ask) -> None:
    text = ask("materials", "show", "quercus-robur-bark")
    for part in (
        "English oak bark (Quercus robur, Fagaceae)",
        "Tannin of one lot:",
        "procter1903: H. R. Procter 1903",
        "When: April-June",
        "Gathering:",
        "Beware:",
    ):
        assert part in text
    record = json.loads(ask("materials", "show", "quercus-robur-bark", "--json"))
    assert record["material"]["scientific_name"] == "Quercus robur"
    cited = {row["source"] for row in record["observations"]}
    assert len(cited) > 4
    assert cited <= {source["key"] for source in record["sources"]}


def test_materials_shows_an_unknown_bark_as_a_wide_range(ask: Ask) -> None:
    record = json.loads(ask("materials", "show", "unknown-bark", "--json"))
    named = json.loads(ask("materials", "show", "quercus-robur-bark", "--json"))

    def spread(item: dict[str, Any]) -> float:
        return float(item["tannin_pct"]["p95"] / item["tannin_pct"]["p05"])

    assert spread(record) > 2.0 * spread(named)
    assert "No published figure" in ask("materials", "show", "unknown-bark")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["show"], "show needs a material; write show quercus-robur-bark"),
        (["show", "alder"], '"alder" fits'),
        (["quercus", "robr"], 'no material fits "quercus robr"; did you mean quercus-robur-bark'),
        (["--part", "leafs"], '--part: "leafs" is not known; use one of bark'),
        (["--class", "x"], '--class: "x" is not known; use one of condensed'),
        (
            ["--region", "Atlantis"],
            '--region: no country or region is called "Atlantis"; write a country or one of Africa',
        ),
        (["--region", "Pacific", "--part", "cup"], "no material fits; ask for less at once"),
        (
            ["white", "willow"],
            'no material fits "white willow"; did you mean salix-fragilis-bark, salix-caprea-bark, '
            "salix-viminalis-bark",
        ),
    ],
)
def test_materials_refuses_in_one_line(arguments: list[str], message: str, refused: Ask) -> None:
    assert refused("materials", *arguments).startswith(message)


def test_the_list_of_materials_breaks_no_word_on_a_narrow_terminal(
    ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    text = ask("materials")
    rows = [line.split() for line in text.splitlines() if "-" in line.split(" ")[0]]
    assert len(rows) > 100
    records = {"industrial", "traditional", "tried", "content-only", "avoid"}
    assert {row[-1] for row in rows} == records
    assert max(map(len, text.splitlines())) <= 80
    assert "printed %" not in text
    assert "printed %" in ask("materials", "oak", "--region", "Middle Europe")


def test_a_plant_to_leave_alone_says_why(ask: Ask) -> None:
    text = ask("materials", "coriaria")
    assert "Leave coriaria-arborea-bark alone: POISONOUS (tutin), and it taints honey" in text
    assert "alone" not in ask("materials", "alder")


def test_tree_tells_bark_tannin_and_skin(ask: Ask) -> None:
    record = json.loads(ask("tree", "oak", "--diameter", "30 cm", "--json"))
    assert len(record["species"]) > 5
    assert record["fresh_kg"]["p50"] > record["air_dry_kg"]["p50"] > record["tannin_kg"]["p50"]
    assert sum(cause["share"] for cause in record["causes"]) == pytest.approx(1.0, abs=1e-4)
    assert record["causes"][0]["name"] == "strength"
    text = ask("tree", "quercus-robur-bark", "--diameter", "12 in", "--units", "us")
    assert "English oak bark" in text
    assert " lb" in text
    assert "jenkins2003" in text


def test_tree_by_girth_is_the_same_tree(ask: Ask) -> None:
    by_girth = json.loads(ask("tree", "oak", "--girth", "942.478 mm", "--json"))
    by_diameter = json.loads(ask("tree", "oak", "--diameter", "30 cm", "--json"))
    assert by_girth["air_dry_kg"]["p50"] == pytest.approx(
        by_diameter["air_dry_kg"]["p50"], rel=1e-4
    )


def test_tree_from_a_piece_of_trunk_with_measured_bark(ask: Ask) -> None:
    command = ("tree", "oak", "--diameter", "30 cm", "--length", "2 m", "--json")
    loose = json.loads(ask(*command))["air_dry_kg"]
    sharp = json.loads(ask(*command, "--bark", "8 mm"))["air_dry_kg"]
    assert sharp["p95"] / sharp["p05"] < loose["p95"] / loose["p05"]


def test_tree_takes_part_of_trunk_and_age_into_the_strength(ask: Ask) -> None:
    command = ("tree", "quercus-robur-bark", "--diameter", "30 cm", "--json")
    plain = json.loads(ask(*command))["tannin_pct"]
    branches = json.loads(ask(*command, "--part", "lower stem", "--age", "90 years"))["tannin_pct"]
    assert branches["p50"] != plain["p50"]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["oak"], "--diameter: one measure of the trunk is needed"),
        (["oak", "--diameter", "30"], '--diameter: "30" needs a unit; write 30 cm or 12 in'),
        (
            ["oak", "--diameter", "3 m"],
            "TREE, --diameter: a trunk 300 cm across is thicker than any that was weighed (hard "
            "maple, oak, hickory, beech: 2.5 to 73 cm); check the unit",
        ),
        (["oak", "--girth", "4 cm"], "TREE, --girth: a trunk 1.27 cm across is thinner than any"),
        (["oak", "--diameter", "30 cm", "--bark", "8 mm"], "--bark: a thickness of bark needs"),
        (["oak", "--diameter", "30 cm", "--part", "root"], '--part: "root" is no part of a trunk'),
        (["oak", "--diameter", "30 cm", "--age", "x"], '--age: "x" cannot be read as a span'),
        (
            ["oak", "--diameter", "30 cm", "--leather", "x"],
            '--leather: "x" is no leather; write soft',
        ),
        (
            ["pear", "--diameter", "30 cm"],
            'TREE, --diameter: no tree is called "pear" for which bark by diameter',
        ),
    ],
)
def test_tree_refuses_in_one_line(arguments: list[str], message: str, refused: Ask) -> None:
    assert refused("tree", *arguments).startswith(message)


def test_checks_shows_each_value_beside_its_source(ask: Ask) -> None:
    record = json.loads(ask("checks", "--json"))
    assert record["fail"] == 0
    assert record["agree"] == len(record["checks"]) > 300
    assert all(check["citation"] for check in record["checks"])
    text = ask("checks", "--source", "crank1975")
    assert "crank1975: J. Crank (1975)" in text
    assert "0 fail" in text
    count = len(record["checks"])
    assert ask("checks", "--failed").strip() == (
        f"{count} checks: {count} agree, 0 fail. --json adds inputs, tolerances and places."
    )


def test_a_failing_check_ends_with_status_1(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    every = outside_checks.run_checks()
    spoiled = (replace(every[0], ok=False), *every[1:])
    monkeypatch.setattr(outside_checks, "run_checks", lambda: spoiled)
    assert run.run(["checks", "--failed"]) == 1
    printed = capsys.readouterr().out
    assert "FAILS" in printed
    assert "agrees" not in printed
    assert "1 fail" in printed


def test_checks_refuses_an_unknown_source(refused: Ask) -> None:
    assert refused("checks", "--source", "x").startswith('--source: no check comes from "x"')

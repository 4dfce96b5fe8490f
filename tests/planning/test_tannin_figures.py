"""The picture of a plant's published figures: each is shown, used and unused are kept apart."""

from __future__ import annotations

import csv
import io
import re
import xml.etree.ElementTree as ET

import pytest

from tanwright.planning.pictures.tannin_figures import (
    draw_compared,
    draw_tannin,
    marks_of,
    top_of,
    who,
)
from tanwright.planning.plants import describe
from tanwright.reference import materials

SVG = "{http://www.w3.org/2000/svg}"
OAK = "quercus-robur-bark"
MOST_WIDE = 400.0


def texts(svg: str) -> list[str]:
    return [element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text")]


def test_every_published_figure_of_every_plant_is_a_mark():
    for item in materials.materials():
        picture = draw_tannin(describe(item.id))
        shown = texts(picture.svg)
        for row in item.observations:
            assert any(text.startswith(row.figure) for text in shown), row.id
            assert f"{who(row.source)}: {row.figure}" in picture.words, row.id
        told = list(csv.DictReader(io.StringIO(picture.numbers)))
        published = [line for line in told if line["series"] == "published"]
        assert len(published) == len(item.observations)
        assert sum(line["counted"] == "yes" for line in published) == sum(
            row.independent for row in item.observations
        )


def test_what_does_not_count_comes_last_and_says_why():
    spruce = describe("picea-abies-bark")
    marks = marks_of(spruce.observations)
    assert [mark.used for mark in marks] == [True, True, False]
    assert marks[-1].why_not == "repeats another figure"
    picture = draw_tannin(spruce)
    assert any(text.endswith("not counted") for text in texts(picture.svg))
    assert picture.svg.count('stroke-dasharray="4 3"') == 1
    assert "Shown but not counted" in picture.words


def test_a_bar_runs_from_the_lower_to_the_upper_figure():
    told = describe(OAK)
    top = top_of([told])
    picture = draw_tannin(told)
    left, right = 18.0, 372.0
    low, high = (left + value / top * (right - left) for value in (10.0, 12.0))
    bars = re.findall(r'd="M([\d.]+),([\d.]+)L([\d.]+),\2" fill="none" stroke="#1430', picture.svg)
    ends = [(float(start), float(end)) for start, _, end in bars]
    assert any(
        start == pytest.approx(low, abs=0.06) and end == pytest.approx(high, abs=0.06)
        for start, end in ends
    )


@pytest.mark.parametrize("id", [OAK, "rhus-coriaria-leaf", "unknown-bark", "abies-balsamea-bark"])
def test_nothing_is_drawn_outside_the_sheet_and_nothing_needs_a_style(id):
    svg = draw_tannin(describe(id)).svg
    assert "style" not in svg
    assert "<script" not in svg
    for path in re.findall(r' d="([^"]+)"', svg):
        xs = [float(x) for x in re.findall(r"(-?[\d.]+),-?[\d.]+", path)]
        assert all(0.0 <= x <= MOST_WIDE for x in xs), path


def test_a_plant_without_figures_says_that_its_kin_stand_in():
    picture = draw_tannin(describe("abies-balsamea-bark"))
    assert "No published figure counts" in picture.words
    assert any("kin" in text for text in texts(picture.svg))


def test_several_plants_stand_on_one_scale():
    several = [describe(id) for id in (OAK, "rhus-coriaria-leaf")]
    picture = draw_compared(several)
    assert top_of(several) == max(top_of([item]) for item in several)
    shown = texts(picture.svg)
    assert "English oak bark" in shown
    assert "Sicilian sumac leaf" in shown
    ticks = [text for text in shown if re.fullmatch(r"\d+ %", text)]
    assert len(ticks) == len(set(ticks)), "one axis for both"
    assert picture.svg.count("<title") == 1


def test_the_axis_never_goes_past_everything():
    richest = max(
        (describe(item.id) for item in materials.materials()), key=lambda it: it.tannin_pct.p95
    )
    assert top_of([richest]) <= 100.0

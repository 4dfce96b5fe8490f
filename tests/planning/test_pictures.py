"""The pictures: well-formed, told in words with the answer's own numbers, legible."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from datetime import date
from xml.etree import ElementTree

import numpy as np
import pytest

from tanwright.errors import InputError
from tanwright.planning.answers import Answer, Cause, DateRange, Fan, Mark, Range
from tanwright.planning.pictures import (
    METRIC,
    US,
    Picture,
    draw_pictures,
    palette,
    reader_of,
)
from tanwright.planning.pictures.axes import (
    long_date,
    text_width,
)
from tanwright.planning.pictures.causes import telling
from tanwright.planning.pictures.cut import PLOT_HEIGHT, SEAM_LAP, hair_on
from tanwright.planning.pictures.timeline import MOST_POINTS, puttings, thinned
from tanwright.planning.pictures.words import figure, per_cent
from tests.planning.picture_fixture import (
    SVG,
    by_name,
    finished_in_time,
    fixture_answer,
    front,
    rows,
    texts,
)

CASES = {
    "on its way": (fixture_answer(), METRIC),
    "hair on, US, by eye": (fixture_answer(hair=True), reader_of("us", by_eye=True)),
    "short, at the start": (fixture_answer(6, today=0, every=2, marks=False), METRIC),
    "long, specific gravity": (
        finished_in_time(fixture_answer(540, today=100, every=21)),
        reader_of(scale="sg"),
    ),
}


@pytest.fixture(params=list(CASES), name="case")
def _case(request: pytest.FixtureRequest) -> tuple[Answer, tuple[Picture, ...]]:
    answer, reader = CASES[request.param]
    return answer, draw_pictures(answer, reader)


def test_each_picture_is_well_formed_and_names_itself_to_a_screen_reader(case):
    for picture in case[1]:
        root = ElementTree.fromstring(picture.svg)
        assert root.tag == f"{SVG}svg"
        assert root.get("role") == "img"
        told = {node.get("id"): node.text for node in root if node.tag != f"{SVG}text"}
        title_id, desc_id = (root.get("aria-labelledby") or "").split()
        assert told[title_id] == picture.title
        assert told[desc_id] == picture.words


def test_pictures_scale_to_the_page_and_carry_no_script_style_or_link(case):
    for picture in case[1]:
        root = ElementTree.fromstring(picture.svg)
        assert root.get("width") == "100%"
        assert root.get("height") is None
        assert (root.get("viewBox") or "").startswith("0 0 400")
        for node in root.iter():
            assert node.tag.removeprefix(SVG) not in {"script", "style", "image", "foreignObject"}
            names = {name.split("}")[-1] for name in node.attrib}
            assert not names & {"style", "href"}
            assert not any(name.startswith("on") for name in names)
        assert len(picture.svg.encode()) < 60_000


def test_ids_of_the_three_pictures_differ_so_they_can_share_a_page():
    ids = [
        node.get("id")
        for picture in draw_pictures(fixture_answer())
        for node in ElementTree.fromstring(picture.svg).iter()
        if node.get("id")
    ]
    assert len(ids) == len(set(ids))


def test_the_same_answer_gives_the_same_bytes():
    assert draw_pictures(fixture_answer()) == draw_pictures(fixture_answer())


def test_every_url_points_at_a_pattern_that_exists(case):
    for picture in case[1]:
        ids = set(re.findall(r'id="([^"]+)"', picture.svg))
        assert set(re.findall(r"url\(#([^)]+)\)", picture.svg)) <= ids


def test_text_is_large_enough_on_a_phone_and_stays_on_the_sheet(case):
    for picture in case[1]:
        for node in ElementTree.fromstring(picture.svg).iter(f"{SVG}text"):
            size, x = float(node.get("font-size", "0")), float(node.get("x", "0"))
            assert size * 360 / 400 >= 11.0
            if node.get("font-weight") == "700":
                continue  # headlines are set in a narrower face than text_width reckons with
            wide = text_width(node.text or "", size)
            left = {"start": x, "middle": x - wide / 2, "end": x - wide}
            edge = left[node.get("text-anchor", "start")]
            assert edge >= -2.0, node.text
            assert edge + wide <= 402.0, node.text


def test_every_text_colour_has_enough_contrast_on_every_ground():
    for colour, ground in itertools.product(palette.TEXT_COLOURS, palette.TEXT_GROUNDS):
        assert palette.contrast(colour, ground) >= 4.5
    assert palette.contrast(palette.PAPER, palette.LICHEN) >= 4.5
    assert palette.contrast("#000000", "#ffffff") == pytest.approx(21.0)


def test_the_three_tones_of_the_cut_part_in_greyscale():
    tones = [palette.luminance(c) for c in (palette.BARK, palette.LEATHER, palette.FAWN)]
    assert tones[0] + 0.1 < tones[1] < tones[2] - 0.2
    svg = by_name(fixture_answer(), "cut").svg
    assert svg.count("<pattern") == 2


def test_the_words_hold_the_numbers_of_the_answer():
    answer = fixture_answer()
    strength, cut, causes = draw_pictures(answer)
    fan, today = answer.strength_fan, 13.0
    low, middle, high = (np.interp(today, fan.day, p) for p in (fan.p05, fan.p50, fan.p95))
    now = f"{figure(low)} to {figure(high)} °Bk, most likely {figure(middle)}"
    assert now in strength.words
    assert now in strength.title
    assert "Read on day 2, 14 March 2026: 8.3 °Bk (hydrometer)" in strength.words
    assert "Strengthened on day 6, 18 March 2026: 7.5 L" in strength.words
    assert "To strengthen on day 18, 30 March 2026: 10 L" in strength.words
    assert "shed frozen for two days" in strength.words
    assert "Struck through now: 55 % (40 to 71 %)" in cut.words
    assert answer.finish.p05 is not None
    assert f"one chance in twenty by {long_date(answer.finish.p05)}" in cut.words
    assert "it may take longer than the days shown" in cut.words
    flesh = np.interp(today, answer.cut.flesh_front.day, answer.cut.flesh_front.p50)
    assert f"from the flesh side {100 * flesh:.0f} %" in cut.words
    need = answer.needs[0].need_kg
    assert f"{figure(need.p05)} to {figure(need.p95)} kg, most likely {figure(need.p50)}" in (
        causes.words
    )
    for cause in answer.amount_causes[:4]:
        assert f"{cause.label} {per_cent(cause.share)}" in causes.words


def test_the_csv_holds_every_plotted_number():
    answer = fixture_answer()
    strength, cut, causes = draw_pictures(answer)
    fan = [row for row in rows(strength) if row["series"] == "forecast"]
    assert [float(row["day"]) for row in fan] == pytest.approx(answer.strength_fan.day)
    for name in ("p05", "p50", "p95"):
        plotted = [float(row[name]) for row in fan]
        assert plotted == pytest.approx(getattr(answer.strength_fan, name), rel=1e-5)
    assert {row["series"] for row in rows(cut)} >= {"flesh front", "grain front", "cut", "event"}
    read = [row for row in rows(strength) if row["series"] in {"strength", "look"}]
    assert [float(row["value"]) for row in read] == [8.3, 6.5, 9.0, 9.2]
    shares = [float(row["share"]) for row in rows(causes) if row["of"] == "amount"]
    assert shares == pytest.approx([c.share for c in answer.amount_causes])


def test_numbers_stay_in_base_units_whatever_the_reader_uses():
    metric, us = (draw_pictures(fixture_answer(), reader) for reader in (METRIC, US))
    assert [p.numbers for p in metric] == [p.numbers for p in us]
    assert "15 to 36 lb, most likely 22" in us[2].words
    assert "+2 gal" in texts(us[0])


def test_fans_are_drawn_in_order_and_never_leave_the_frame():
    svg = by_name(fixture_answer(), "strength").svg
    curves = re.findall(r'<path d="(M[^"]+)" fill="none" stroke="#55301a"', svg)
    low, high, middle = (
        np.array([[float(v) for v in point.split(",")] for point in curve[1:].split("L")])
        for curve in curves[:3]
    )
    assert (high[:, 1] <= middle[:, 1]).all()  # the sheet counts downwards
    assert (middle[:, 1] <= low[:, 1]).all()


@pytest.mark.parametrize(
    "fan",
    [
        Fan(np.array([0.0, 1.0]), np.array([2.0, 3.0]), np.array([1.0, 4.0]), np.array([5.0, 5.0])),
        Fan(np.array([0.0, 1.0]), np.array([1.0, np.nan]), np.ones(2), np.ones(2)),
        Fan(np.array([]), np.array([]), np.array([]), np.array([])),
    ],
)
def test_a_fan_that_would_lie_is_refused(fan):
    with pytest.raises(ValueError, match="fan|percentiles"):
        draw_pictures(replace(fixture_answer(), strength_fan=fan))


def test_thinning_keeps_the_ends_and_the_jumps():
    day = np.arange(2000.0)
    middle = np.where(day >= 1234, 20.0, 5.0) + 0.001 * day
    fan = thinned(Fan(day, middle - 1, middle, middle + 1))
    assert fan.day.size <= MOST_POINTS
    assert {0.0, 1233.0, 1234.0, 1999.0} <= set(fan.day.tolist())


def test_hair_on_draws_one_side_only_and_says_so():
    answer = fixture_answer(hair=True)
    cut = by_name(answer, "cut")
    assert hair_on(answer)
    assert not hair_on(fixture_answer())
    assert "from the flesh side only" in cut.words
    assert "from the grain side 0 %" not in cut.words
    assert any("shut by the hair" in text for text in texts(cut))
    two_sided = by_name(fixture_answer(), "cut").svg
    assert two_sided.count("url(#cut-perhaps)") == cut.svg.count("url(#cut-perhaps)") + 1


def test_readings_are_drawn_as_marks():
    bare = replace(fixture_answer(), marks=(), schedule=())
    for kind, name, colour in (
        ("strength", "strength", palette.GALL),
        ("look", "strength", palette.GALL),
        ("cut-flesh", "cut", palette.GALL),
        ("cut-grain", "cut", palette.GALL),
        ("cut", "cut", palette.GALL),
        ("event", "cut", palette.GALL),
        ("strengthened", "strength", palette.LICHEN),
    ):
        marked = replace(bare, marks=(Mark(5.0, 0.4, kind, "noted"),))
        assert by_name(bare, name).svg.count(colour) < by_name(marked, name).svg.count(colour), kind


def test_a_cut_reading_spans_the_pale_part_that_was_seen():
    answer = replace(fixture_answer(hair=True), marks=(Mark(10.0, 0.25, "cut", ""),))
    bar = re.search(
        r'd="M[\d.]+,([\d.]+)H[\d.]+M[\d.]+,[\d.]+V([\d.]+)', by_name(answer, "cut").svg
    )
    assert bar is not None
    low, high = float(bar[1]), float(bar[2])
    assert low - high == pytest.approx(0.75 * 200.0, abs=0.2)


def test_a_reading_far_off_is_shown_at_the_edge_with_its_number():
    answer = replace(fixture_answer(), marks=(Mark(10.0, 120.0, "strength", "hydrometer"),))
    picture = by_name(answer, "strength")
    assert "120 ↑" in texts(picture)
    assert "50" not in texts(picture)  # the scale still serves the forecast


def test_flags_for_the_same_day_are_added_and_the_done_replaces_the_planned():
    answer = fixture_answer()
    more = Mark(6.0, 2.5, "strengthened", "and a little more")
    put = puttings(replace(answer, marks=(*answer.marks, more)))
    assert [(p.day, p.litres, p.done) for p in put[:3]] == [
        (6.0, 10.0, True),
        (12.0, 8.0, True),
        (18.0, 10.5, False),
    ]


def test_more_flags_than_fit_are_owned_up_to():
    crowded = by_name(fixture_answer(540, today=100, every=14), "strength")
    assert any("without room" in text for text in texts(crowded))
    assert not any("without room" in text for text in texts(by_name(fixture_answer(), "strength")))


@pytest.mark.parametrize(
    ("finish", "words"),
    [
        (DateRange(None, None, None), "Leather: not expected within"),
        (DateRange(date(2026, 4, 1), None, None), "less than an even chance"),
        (
            DateRange(date(2026, 4, 1), date(2026, 4, 8), date(2026, 4, 20)),
            "nineteen in twenty by 20 April 2026",
        ),
    ],
)
def test_every_kind_of_finish_window_is_told(finish, words):
    cut = by_name(replace(fixture_answer(), finish=finish), "cut")
    assert words in cut.words
    assert ("leather" in texts(cut)) == (finish.p05 is not None)


def test_strange_text_from_a_readings_file_stays_text():
    note = 'a <b> & "c"\x07\nnext'
    marks = (Mark(3.0, None, "event", note), Mark(4.0, 9.0, "strength", note))
    answer = replace(fixture_answer(), marks=marks)
    picture = by_name(answer, "strength")
    assert 'a <b> & "c" next' in picture.words
    assert any('a <b> & "c" next' in text for text in texts(picture))


def test_small_causes_are_put_together_and_missing_ones_admitted():
    shown = telling(
        tuple(Cause(str(i), str(i), share) for i, share in enumerate([0.9, 0.01, 0.02]))
    )
    assert [(c.name, round(c.share, 6)) for c in shown] == [("0", 0.9), ("rest", 0.03)]
    bare = replace(fixture_answer(), amount_causes=(), finish_causes=(), needs=())
    picture = by_name(bare, "causes")
    assert picture.words.count("were not worked out") == 2
    assert "0.4 to 0.8 kg, most likely 0.55 kg, tannin" in picture.words


def test_bars_are_as_long_as_their_shares():
    svg = by_name(fixture_answer(), "causes").svg
    bars = re.findall(rf'width="([\d.]+)" height="13" fill="{palette.BARK}"', svg)
    track = re.search(rf'width="([\d.]+)" height="13" fill="{palette.PAPER}"', svg)
    assert track is not None
    shares = [float(bar) / float(track[1]) for bar in bars]
    assert shares == pytest.approx([0.58, 0.21, 0.13, 0.05], abs=2e-3)


def test_an_empty_front_and_an_instant_horizon_still_draw():
    still = Fan(np.array([0.0]), np.zeros(1), np.zeros(1), np.zeros(1))
    base = fixture_answer(marks=False)
    cut = replace(base.cut, day=still.day, flesh_front=still, grain_front=still)
    answer = replace(base, cut=cut, strength_fan=still, schedule=(), look_on=())
    strength, seen, _ = draw_pictures(answer)
    assert "At the end (day 0, 12 March 2026): 0 to 0 °Bk" in strength.words
    assert [row["p50"] for row in rows(strength)] == ["0"]
    assert "pale middle 2.4 to 2.4 mm, most likely 2.4" in seen.words
    for picture in (strength, seen):
        assert not re.search("nan|inf", picture.svg)
        assert "12 Mar" in texts(picture)


def test_fronts_on_unlike_days_meet_in_one_seam():
    """The grain front is known on every fourth day only; the bands touch and never cross."""
    answer = fixture_answer()
    coarse = front(40, 0.52)
    grain = Fan(coarse.day[::4], coarse.p05[::4], coarse.p50[::4], coarse.p95[::4])
    svg = by_name(replace(answer, cut=replace(answer.cut, grain_front=grain)), "cut").svg
    areas = re.findall(r'<path d="M([^"]+)Z" fill="url\(#cut-perhaps\)"', svg)
    flesh, top = (
        np.array([[float(v) for v in point.split(",")] for point in area.split("L")])[1:-1]
        for area in areas[:2]
    )
    assert flesh[:, 0] == pytest.approx(top[:, 0])
    pale = flesh[:, 1] - top[:, 1]  # the sheet counts downwards
    lap = 2 * SEAM_LAP * PLOT_HEIGHT
    assert pale[0] == pytest.approx(PLOT_HEIGHT)
    assert (np.diff(pale[pale > 0.0]) < 0.0).all()
    assert pale[pale <= 0.0] == pytest.approx(-lap, abs=0.11)
    assert np.sum(pale <= 0.0) > 10


def test_shares_are_not_rounded_to_none_or_all():
    assert per_cent(0.001) == "under 1 %"
    assert per_cent(0.999) == "over 99 %"
    assert per_cent(0.0) == "0 %"
    certain = replace(fixture_answer(), struck_through=Range(0.999, 0.9999, 1.0))
    assert "over 99 %" in by_name(certain, "cut").words


def test_an_unknown_scale_is_refused():
    with pytest.raises(InputError, match="scale"):
        reader_of(scale="pucker")

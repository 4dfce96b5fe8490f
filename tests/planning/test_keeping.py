"""An answer that is kept and taken back tells and draws the same."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from tanwright.errors import DataError
from tanwright.planning.answers import Answer, Fan
from tanwright.planning.forecast import make_forecast
from tanwright.planning.keeping import MOST_POINTS, keep, take_back, thinned
from tanwright.planning.pictures import draw_pictures
from tanwright.planning.plan import make_plan
from tanwright.planning.readings_reader import read_readings
from tanwright.planning.sheet_reader import read_sheet
from tanwright.planning.telling.told import tell
from tanwright.planning.telling.voice import Voice

EXAMPLES = Path(__file__).parents[2] / "examples"
SHEETS = (
    "first-sheet.toml",
    "deer-hemlock.toml",
    "sheepskins-two-plants.toml",
    "calf-cold-pit.toml",
    "rabbit-from-nothing.toml",
)


@pytest.fixture(scope="module")
def answers() -> list[Answer]:
    found = [
        make_plan(
            read_sheet(EXAMPLES / name, today=date(2027, 1, 5)), today=date(2027, 1, 5), members=100
        )
        for name in SHEETS
    ]
    sheet = read_sheet(EXAMPLES / "first-sheet.toml", today=date(2027, 3, 31))
    readings = read_readings(EXAMPLES / "first-readings.csv", start=sheet.aim.start, sheet=sheet)
    found.append(make_forecast(sheet, readings, today=date(2027, 3, 31), members=100))
    return found


def test_a_kept_answer_tells_and_draws_the_same(answers: list[Answer]) -> None:
    for answer in answers:
        text = json.dumps(keep(answer), allow_nan=False)
        back = take_back(json.loads(text))
        for system in ("metric", "us"):
            voice = Voice(system, None, (), 2027)
            assert tell(back, voice) == tell(answer, voice)
        assert keep(back) == keep(answer)
        assert len(text) < 60_000


def test_pictures_of_a_kept_answer_show_the_same(answers: list[Answer]) -> None:
    for answer in answers:
        back = take_back(json.loads(json.dumps(keep(answer))))
        for before, after in zip(draw_pictures(answer), draw_pictures(back), strict=True):
            assert after.words == before.words
            assert after.title == before.title


def test_a_fan_keeps_its_ends_and_both_sides_of_every_jump() -> None:
    day = np.linspace(0.0, 100.0, 5001)
    middle = np.where(day < 37.0, 5.0, 12.0) - 0.01 * day
    thin = thinned(Fan(day, middle - 1.0, middle, middle + 1.0))
    assert thin.day.size <= MOST_POINTS
    assert (thin.day[0], thin.day[-1]) == (0.0, 100.0)
    steps = np.abs(np.diff(thin.p50))
    at = int(np.argmax(steps))
    assert steps[at] == pytest.approx(7.0, abs=0.01)
    assert thin.day[at + 1] - thin.day[at] == pytest.approx(0.02)
    close = np.interp(day, thin.day, thin.p50)
    assert np.max(np.abs(close - middle)[np.abs(day - 37.0) > 0.05]) < 0.02


def test_an_answer_of_another_version_is_refused(answers: list[Answer]) -> None:
    kept = keep(answers[0])
    with pytest.raises(DataError, match="version 99"):
        take_back({**kept, "kept_version": 99})
    with pytest.raises(DataError, match="not whole"):
        take_back({"kept_version": 1, "skins": 3})

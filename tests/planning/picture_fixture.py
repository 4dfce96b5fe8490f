"""A made-up answer for the tests of the pictures: invented numbers of a plausible shape."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date, timedelta
from xml.etree import ElementTree

import numpy as np

from tanwright.planning.answers import (
    Answer,
    Cause,
    CutView,
    DateRange,
    Enough,
    Fan,
    Mark,
    MaterialNeed,
    Range,
    SkinSummary,
    Step,
)
from tanwright.planning.pictures import METRIC, Picture, draw_pictures

SVG = "{http://www.w3.org/2000/svg}"
START = date(2026, 3, 12)


def strength_fan(days: int, every: int) -> Fan:
    """A liquor that falls as the skin takes it up and is strengthened at regular days."""
    day = np.arange(0.0, days + 0.01, 0.25 if days <= 60 else 1.0)
    since = day % every
    target = 8.0 + 18.0 * np.minimum(day / (0.7 * days), 1.0)
    middle = target * (0.62 + 0.38 * np.exp(-since / (0.35 * every)))
    wide = 0.12 + 0.28 * day / days
    return Fan(day, middle * np.exp(-1.2 * wide), middle, middle * np.exp(wide))


def front(days: int, share: float) -> Fan:
    """A front that moves with the root of time; ``share`` is its middle place at the end."""
    day = np.arange(0.0, days + 0.01, 0.5 if days <= 60 else 1.0)
    middle = share * np.sqrt(day / days)
    low, high = np.minimum(0.62 * middle, 1.0), np.minimum(1.5 * middle, 1.0)
    return Fan(day, low, np.minimum(middle, 1.0), high)


def fixture_answer(
    days: int = 40, *, today: int = 13, every: int = 6, hair: bool = False, marks: bool = True
) -> Answer:
    """A goat skin in oak bark, some days on its way."""
    at = {n: START + timedelta(days=n) for n in range(days + 1)}
    flesh, grain = front(days, 1.02 if hair else 0.6), front(days, 0.0 if hair else 0.52)
    depth = Fan(
        flesh.day,
        np.minimum(flesh.p05 + grain.p05, 1.0),
        np.minimum(flesh.p50 + grain.p50, 1.0),
        np.minimum(flesh.p95 + grain.p95, 1.0),
    )
    schedule = tuple(
        Step(at[n], "strengthen", "Strengthen", "it is half spent", 20.0, None, 6.0 + n / 4)
        for n in range(every, days, every)
    )
    seen = (
        Mark(2.0, 8.3, "strength", "hydrometer"),
        Mark(6.0, 6.5, "strength", "before strengthening"),
        Mark(6.0, 7.5, "strengthened", "first cook"),
        Mark(9.0, 0.45, "cut", "a little under half"),
        Mark(10.0, 9.0, "look", "strong tea"),
        Mark(11.0, None, "event", "shed frozen for two days"),
        Mark(12.0, 9.2, "strength", "hydrometer"),
        Mark(12.0, 8.0, "strengthened", "second cook"),
    )
    shares = Range(0.40, 0.55, 0.71)
    causes = (
        Cause(
            "tannin",
            "how strong this oak bark is",
            0.58,
            "a trial cook of 200 g and one hydrometer reading",
        ),
        Cause("uptake", "how much tannin this skin binds", 0.21),
        Cause("yield", "how much the cooks draw from the bark", 0.13),
        Cause("weight", "what the skin weighs", 0.05),
        Cause("water", "how wet the bark lies", 0.02),
        Cause("spoil", "what spoils in the vat", 0.01),
    )
    finish_causes = (
        Cause(
            "diffusion",
            "how fast tannin moves into the skin",
            0.66,
            "one look at the cut at the thick place",
        ),
        Cause("thickness", "how thick the skin is at the neck", 0.19),
        Cause("tannin", "how strong this oak bark is", 0.11),
        Cause("temperature", "how warm the shed stays", 0.04),
    )
    need = MaterialNeed(
        "quercus-robur-bark",
        "oak bark",
        "dry",
        Range(6.8, 10.2, 16.4),
        8.0,
        Range(6.0, 9.5, 14.0),
        Range(3.0, 4.0, 7.0),
        2.5,
        None,
        causes,
        (),
    )
    skin = SkinSummary(
        "goat",
        1,
        Range(2.8, 3.0, 3.2),
        Range(2.4, 2.7, 3.1),
        Range(0.5, 0.6, 0.7),
        Range(1.9, 2.4, 3.0),
        hair,
    )
    next_step = Step(at[min(today + 1, days)], "look", "Look at the cut", "half through by now")
    return Answer(
        skins=(skin,),
        start=START,
        today=at[today],
        wanted_by=None,
        in_time_probability=None,
        leather="bag",
        target_degree=Range(30.0, 38.0, 46.0),
        vat_litres=40.0,
        enough=Enough(0.35, 11.0, 15.0, need.material_id),
        needs=(need,),
        tannin_need_kg=Range(0.4, 0.55, 0.8),
        tannin_supply_kg=Range(0.3, 0.5, 0.75),
        still_needed_kg={},
        degree_now=Range(14.0, 18.0, 23.0),
        struck_through=shares,
        finish=DateRange(at[int(0.68 * days)], at[int(0.86 * days)], None),
        schedule=schedule,
        next_action=next_step,
        one_pot=(),
        look_on=tuple(at[n] for n in range(today + 3, days, max(days // 6, 1))),
        troubles=(),
        measure_next=(),
        worth_knowing=(),
        cautions=(),
        questions=(),
        rule_of_thumb="",
        notes=(),
        sources=(),
        data_version="test",
        strength_fan=strength_fan(days, every),
        depth_fan=depth,
        cut=CutView(flesh.day, flesh, grain, "the neck", 2.4),
        marks=seen if marks else (),
        amount_causes=causes,
        finish_causes=finish_causes,
    )


def finished_in_time(answer: Answer) -> Answer:
    """The same with the whole finish window inside the days shown."""
    days = int(answer.cut.day[-1])
    dates = [START + timedelta(days=int(share * days)) for share in (0.5, 0.62, 0.8)]
    return replace(answer, finish=DateRange(*dates))


def by_name(answer: Answer, name: str, **reader: object) -> Picture:
    pictures = draw_pictures(answer, replace(METRIC, **reader))
    return next(picture for picture in pictures if picture.name == name)


def texts(picture: Picture) -> list[str]:
    root = ElementTree.fromstring(picture.svg)
    return [node.text or "" for node in root.iter(f"{SVG}text")]


def rows(picture: Picture) -> list[dict[str, str]]:
    return list(csv.DictReader(picture.numbers.splitlines()))

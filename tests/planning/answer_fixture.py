"""A made-up answer with everything in it, for tests of what is done with answers.

The numbers are invented; they only have to be plausible and to differ from one another.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from tanwright.planning.answers import (
    Answer,
    Cause,
    Caution,
    Change,
    CutView,
    DateRange,
    Enough,
    Fan,
    Mark,
    MaterialNeed,
    MeasureOption,
    Range,
    ReadingCheck,
    SkinSummary,
    Step,
    Trouble,
    Worth,
)

START = date(2026, 3, 1)


def on(day: int) -> date:
    """Date of a day of the tannage."""
    return START + timedelta(days=day)


def a_fan(low: float, high: float) -> Fan:
    """A fan that widens with time."""
    days = np.linspace(0.0, 40.0, 9)
    middle = np.linspace(low, high, 9)
    return Fan(days, 0.8 * middle, middle, 1.25 * middle)


def a_plan() -> Answer:
    """What a plan for one goat skin and a pile of oak bark might answer."""
    causes = (
        Cause("tannin:quercus-robur-bark", "how strong the bark is", 0.62, "try a 250 g cook"),
        Cause("hide", "how much hide substance the skin holds", 0.21, "weigh the limed pelt"),
        Cause("extraction", "how much a cook gets out", 0.12),
        Cause("degree", "how much tannin soft leather takes", 0.05),
    )
    oak = MaterialNeed(
        material_id="quercus-robur-bark",
        name="English oak bark",
        state="dry",
        need_kg=Range(3.1, 5.4, 9.6),
        have_kg=6.0,
        tannin_pct=Range(5.2, 9.3, 14.8),
        cooks=Range(3.0, 5.0, 9.0),
        pot_kg=1.1,
        tans_skin_kg=Range(1.2, 2.2, 3.9),
        causes=causes,
        sources=("procter1903", "bailey"),
    )
    schedule = (
        Step(
            on(0),
            "start",
            "Put the skin into weak liquor",
            "a weak first liquor colours the grain evenly and keeps the middle open",
            strength_bk=8.0,
            strength_range_bk=Range(6.0, 8.0, 10.0),
            look="like tea",
        ),
        Step(
            on(3),
            "strengthen",
            "Swap 10 L of the vat for stronger liquor",
            "the skin has drunk the first liquor; without more the middle would wait",
            strength_bk=12.0,
            strength_range_bk=Range(9.0, 12.0, 15.0),
            litres=10.0,
            look="like strong tea",
            material_id="quercus-robur-bark",
        ),
        Step(
            on(9),
            "look",
            "Cut a sliver at the neck and at the belly",
            "by then the cut should be about half pale; it tells how fast this skin takes",
            look="a brown rim on both sides and a pale middle",
        ),
        Step(
            on(12),
            "strengthen",
            "Swap 8 L for stronger liquor",
            "the vat has fallen below strong tea",
            strength_bk=16.0,
            litres=8.0,
            look="like strong tea",
            material_id="quercus-robur-bark",
        ),
        Step(on(20), "look", "Cut again", "the middle may be closing", look="a thin pale line"),
        Step(on(26), "gate", "Ask the three questions of the done gate", "colour runs ahead"),
    )
    return Answer(
        skins=(
            SkinSummary(
                "goat",
                1,
                Range(2.0, 2.0, 2.0),
                Range(1.7, 1.9, 2.2),
                Range(0.34, 0.41, 0.49),
                Range(1.4, 1.8, 2.3),
                False,
            ),
        ),
        start=START,
        today=START,
        wanted_by=date(2026, 5, 1),
        in_time_probability=0.83,
        leather="soft",
        target_degree=Range(0.25, 0.32, 0.40),
        vat_litres=40.0,
        enough=Enough(0.63, 8.2, 12.6, "quercus-robur-bark"),
        needs=(oak,),
        tannin_need_kg=Range(0.16, 0.23, 0.31),
        tannin_supply_kg=Range(0.15, 0.27, 0.45),
        still_needed_kg={"quercus-robur-bark": Range(0.0, 0.0, 3.6)},
        finish=DateRange(date(2026, 3, 19), date(2026, 3, 29), date(2026, 4, 17)),
        struck_through=Range(0.0, 0.0, 0.0),
        degree_now=Range(0.0, 0.0, 0.0),
        schedule=schedule,
        next_action=schedule[0],
        one_pot=(
            "Cook one pot (1.1 kg of bark in two waters) and start.",
            "By 10 March the strength left in the vat tells whether more is needed, and how much.",
        ),
        look_on=(on(9), on(20)),
        troubles=(
            Trouble(
                "the liquor runs out of tannin",
                0.37,
                "the liquor pales within a day or two of strengthening",
                "cook the rest of the bark and gather more",
                "common practice",
            ),
            Trouble(
                "case-hardening",
                0.04,
                "a dark, hard rim and no change at the cut for a week",
                "go back to weak liquor",
                "procter1903",
            ),
        ),
        measure_next=(
            MeasureOption("strength of the first cook", "float a hydrometer at 20 °C", 0.11, 0.46),
            MeasureOption("a cut on day 9", "snip the neck", 0.38, 0.08),
        ),
        worth_knowing=(Worth("thickness", 0.17, "measure a fold at the neck and halve it"),),
        cautions=(
            Caution("iron", "No iron pot or wire: it stains the skin blue-black.", "procter1903"),
            Caution("effluent", "Keep spent liquor out of streams; follow local rules.", "memory"),
        ),
        questions=(
            "Is the cut one even brown at the thickest and at the thinnest place?",
            "Do any parts still feel like wet skin rather than leather?",
            "Does a snip, dried and bent double, stay whole and soft?",
        ),
        rule_of_thumb="The trade's 1 to 3 would say 6 kg; that holds if the bark is 8 % or better.",
        notes=("Hair was not mentioned: taken as off.",),
        sources=("bailey", "bennett1921", "procter1903"),
        data_version="tables 2026-11",
        strength_fan=a_fan(8.0, 14.0),
        depth_fan=a_fan(0.02, 0.78),
        cut=CutView(
            day=np.linspace(0.0, 40.0, 9),
            flesh_front=a_fan(0.01, 0.4),
            grain_front=a_fan(0.01, 0.36),
            place="neck",
            thickness_mm=2.1,
        ),
        members=1000,
        effective_members=1000.0,
        amount_causes=causes,
        finish_causes=(
            Cause("diffusion", "how fast tannin moves into this skin", 0.71, "cut on day 9"),
            Cause("thickness", "how thick the skin is", 0.29, "measure it"),
        ),
    )


def a_forecast() -> Answer:
    """The same after four readings."""
    plan = a_plan()
    return replace(
        plan,
        today=on(10),
        enough=Enough(0.31, 10.4, 15.0, "quercus-robur-bark"),
        still_needed_kg={"quercus-robur-bark": Range(0.0, 1.4, 4.1)},
        struck_through=Range(0.31, 0.44, 0.58),
        degree_now=Range(0.09, 0.13, 0.18),
        next_action=replace(plan.schedule[3], date=on(11)),
        schedule=tuple(replace(s, date=s.date + timedelta(days=2)) for s in plan.schedule[3:]),
        finish=DateRange(date(2026, 3, 24), date(2026, 4, 2), date(2026, 4, 12)),
        marks=(
            Mark(4.0, 9.0, "strength", "9 °Bk"),
            Mark(9.0, 0.4, "cut", "0.4 at the neck"),
            Mark(6.0, None, "event", "frozen"),
        ),
        changes=(
            Change(
                "finish", "29 March", "2 April", "two frozen days, and a slower skin at the cut"
            ),
            Change(
                "enough", "63 %", "31 %", "the vat fell faster than oak bark of 9 % would let it"
            ),
        ),
        checks=(
            ReadingCheck(2, "strength 9 bk", "ok", "expected 8 to 12"),
            ReadingCheck(3, "strength 120 bk", "set-aside", "ten times what is possible; a slip?"),
            ReadingCheck(4, "cut 0.4", "odd", "a little less than expected (0.45 to 0.7)"),
        ),
        effective_members=412.0,
    )

"""Designs of trials: balance, blocks that are too small, jars that keep the vat's ratios."""

from __future__ import annotations

import json
import random
from collections import Counter
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tanwright.errors import DataError, InputError
from tanwright.planning.trials import design as d
from tanwright.planning.trials import jars as j
from tanwright.planning.trials import renewal
from tanwright.planning.trials import treatments as t
from tanwright.planning.trials.records import CONTROL, Patch, Treatment
from tanwright.planning.trials.schedule import ask, cooked_parts, make_schedule
from tanwright.planning.trials.sheet import Facts, jar_tables

OAK = {"quercus-robur-bark": 1.0}
ALDER, WILLOW = "alnus-glutinosa-bark", "salix-caprea-bark"
WHICH = t.which(OAK, [ALDER, WILLOW])
PIECES = j.Pieces(6.0, 5.0, 2.0)


def patches(**sizes: int) -> list[Patch]:
    return [
        Patch(f"{region}{number}", "1", "roe", region, f"roe {region}", "")
        for region, many in sizes.items()
        for number in range(many)
    ]


def test_the_same_patches_in_another_order_give_the_same_design() -> None:
    mine = patches(neck=6, belly=5, leg=4)
    shuffled = random.Random(2).sample(mine, len(mine))
    one = {item.code: item for item in d.make_design(mine, WHICH, seed=4).patches}
    other = {item.code: item for item in d.make_design(shuffled, WHICH, seed=4).patches}
    assert one == other
    assert one != {item.code: item for item in d.make_design(mine, WHICH, seed=5).patches}


@settings(max_examples=40, deadline=None)
@given(
    sizes=st.dictionaries(
        st.sampled_from(["neck", "belly", "leg", "back"]), st.integers(2, 7), min_size=1
    ),
    jars=st.integers(1, 3),
    seed=st.integers(0, 10**6),
)
def test_every_design_is_even(sizes: dict[str, int], jars: int, seed: int) -> None:
    mine = patches(**sizes)
    if len(mine) < 3:
        return
    if max(sizes.values()) < 3 and len(sizes) < 2:
        with pytest.raises(InputError, match="cannot"):
            d.make_design(mine, WHICH, seed=seed, jars_each=jars)
        return
    found = d.make_design(mine, WHICH, seed=seed, jars_each=jars)
    counts = found.counts
    assert max(counts.values()) - min(counts.values()) <= 1
    assert counts[CONTROL] == max(counts.values())
    for _, there in found.by_block:
        assert max(there) - min(there) <= 1
    assert 0.0 < found.efficiency <= found.bound + 1e-9
    for jar, key in found.of_jar.items():
        assert {item.treatment for item in found.patches if item.jar == jar} == {key}
    assert [int(jar) for jar in found.of_jar] == list(range(1, len(found.of_jar) + 1))
    assert Counter(found.of_jar.values()) == dict.fromkeys(counts, found.jars_each)


def test_jar_numbers_do_not_tell_the_treatment() -> None:
    first = {d.make_design(patches(neck=6), WHICH, seed=seed).of_jar["1"] for seed in range(20)}
    assert len(first) == 3


def test_single_patches_join_others_and_it_is_said() -> None:
    mine = [*patches(neck=4), Patch("x", "2", "goat", "belly", "goat belly", ""),
            Patch("y", "3", "roe", "belly", "roe belly", "")]  # fmt: skip
    found = d.make_design(mine, WHICH[:2], seed=1)
    assert {item.block for item in found.patches} == {"roe neck", "belly, all skins"}
    assert "tell less" in found.notes[0]
    alone = d.make_design(mine[:5], WHICH[:2], seed=1)
    assert {item.block for item in alone.patches} == {"roe neck"}


@pytest.mark.parametrize(
    ("mine", "treatments", "what"),
    [
        (patches(neck=4), WHICH[1:], "no control"),
        (patches(neck=2), WHICH, "cannot hold"),
        (patches(neck=4) * 2, WHICH, "stands on two"),
    ],
)
def test_what_makes_no_trial_is_refused(
    mine: list[Patch], treatments: tuple[Treatment, ...], what: str
) -> None:
    with pytest.raises(InputError, match=what):
        d.make_design(mine, treatments, seed=1)


def test_a_design_is_kept_and_taken_back() -> None:
    found = d.make_design(patches(neck=6, belly=4), t.dose(OAK, 1.6, 3), seed=3)
    assert d.take_back(json.loads(json.dumps(d.keep(found)))) == found
    with pytest.raises(DataError):
        d.take_back({})
    with pytest.raises(DataError, match="broken"):
        d.take_back({"kept_version": d.KEPT_VERSION})


# Jars


def test_jars_keep_the_ratios_of_the_vat() -> None:
    found = d.make_design(patches(neck=9, belly=6), t.dose(OAK, 1.6, 3), seed=3, jars_each=2)
    jars = j.plan_jars(found, PIECES, j.Ratios(6.0, 1.6, OAK))
    doses = {item.key: item.dose for item in found.treatments}
    assert sum(jar.patches for jar in jars) == 15
    for jar in jars:
        # 6 x 5 cm x 2 mm = 6 mL, at 1.08 kg/L.
        assert jar.pelt_kg == pytest.approx(jar.patches * 0.00648)
        assert jar.litres / jar.pelt_kg == pytest.approx(6.0)
        assert sum(jar.dry_kg.values()) / jar.pelt_kg == pytest.approx(doses[jar.treatment])
        assert jar.holds_l > jar.litres


def test_one_list_is_held_against_the_lots() -> None:
    found = d.make_design(patches(neck=9), WHICH, seed=3)
    jars = j.plan_jars(found, PIECES, j.Ratios(6.0, 2.0, OAK))
    lots = [
        j.InHand("a", "oak", "quercus-robur-bark", "dry", 0.01),
        j.InHand("b", "oak, fresh", "quercus-robur-bark", "fresh", None),
        j.InHand("c", "alder", ALDER, "dry", 0.02),
    ]
    lines = {line.material_id: line for line in j.shopping(jars, lots)}
    oak, alder, willow = lines["quercus-robur-bark"], lines[ALDER], lines[WILLOW]
    dry = 3 * 0.00648 * 2.0 * j.SPARE
    assert oak.dry_kg == alder.dry_kg == willow.dry_kg == pytest.approx(dry)
    assert oak.from_lots["a"] == 0.01
    assert oak.missing_kg == 0.0
    assert oak.from_lots["b"] > dry - 0.01, "fresh bark weighs more than it holds"
    assert alder.missing_kg == pytest.approx(dry - 0.02)
    assert willow.missing_kg == pytest.approx(dry)
    control = next(jar for jar in jars if jar.treatment == CONTROL)
    taken = j.lots_of(control, [oak])
    assert taken["a"] == pytest.approx(0.01 / j.SPARE)


def test_ratios_that_cannot_be_are_refused() -> None:
    with pytest.raises(InputError, match="litres of liquor"):
        j.Ratios(0.1, 1.0, OAK)
    with pytest.raises(InputError, match="dry material"):
        j.Ratios(5.0, 100.0, OAK)
    found = d.make_design(patches(neck=4), t.dose(OAK, 1.0, 2), seed=1)
    with pytest.raises(InputError, match="would hold"):
        j.plan_jars(found, j.Pieces(500.0, 500.0, 10.0), j.Ratios(5.0, 1.0, OAK))


# The schedule


def test_the_engine_speaks_of_every_jar_and_one_schedule_serves_all() -> None:
    found = d.make_design(patches(neck=9), WHICH, seed=3)
    jars = j.plan_jars(found, PIECES, j.Ratios(6.0, 2.5, OAK))
    facts = Facts(date(2026, 10, 1), "soft", temperature_c=14.0)
    said = make_schedule(jars, PIECES, facts, today=date(2026, 9, 20), members=120)
    assert [item.number for item in said.jars] == [1, 2, 3]
    assert all(not item.problem and (item.first_bk or 0) > 0 for item in said.jars)
    assert said.days[0].action == "start"
    assert said.days[0].on == date(2026, 10, 1)
    parts = [day.material for day in said.days if day.material is not None]
    assert parts
    assert 0.1 < sum(parts) <= 1.01
    assert said.done_from is not None
    assert said.done_from > date(2026, 10, 1)


def test_thin_patches_are_done_before_thick_ones() -> None:
    found = d.make_design(patches(neck=9), WHICH, seed=3)
    ends = []
    for thickness in (1.0, 3.0):
        pieces = j.Pieces(6.0, 5.0, thickness)
        jar = j.plan_jars(found, pieces, j.Ratios(6.0, 4.0, OAK))[0]
        answer, problem = ask(
            jar_tables(jar, pieces, Facts(date(2026, 10, 1))), "", date(2026, 10, 1), 120
        )
        assert answer is not None, problem
        ends.append(answer.finish.p05)
    assert ends[0] is not None
    assert ends[1] is not None
    assert ends[0] < ends[1]


def test_a_cut_moves_the_forecast_of_its_jar() -> None:
    found = d.make_design(patches(neck=9), WHICH, seed=3)
    jar = j.plan_jars(found, PIECES, j.Ratios(6.0, 2.5, OAK))[0]
    tables = jar_tables(jar, PIECES, Facts(date(2026, 10, 1), temperature_c=14.0))
    log = "date,kind,value\n2026-10-08,cut,{}\n"
    ahead, _ = ask(tables, log.format(0.95), date(2026, 10, 9), 120)
    behind, _ = ask(tables, log.format(0.15), date(2026, 10, 9), 120)
    assert ahead is not None
    assert behind is not None
    assert ahead.struck_through.p50 > behind.struck_through.p50


def test_what_the_engine_refuses_is_told_of_the_jar() -> None:
    jar = j.JarPlan(1, CONTROL, 3, 0.02, 0.009, 0.1, {"quercus-robur-bark": 0.0001})
    facts = Facts(date(2026, 10, 1))
    said = make_schedule([jar], PIECES, facts, today=date(2026, 10, 1), members=60)
    assert said.days == ()
    assert "Jar 1 cannot be forecast" in said.notes[0]


def test_the_cooks_of_a_jar_use_its_material_once() -> None:
    jar = j.JarPlan(1, CONTROL, 4, 0.026, 0.012, 0.16, {"quercus-robur-bark": 0.06})
    parts = cooked_parts(jar_tables(jar, PIECES, Facts(date(2026, 10, 1))), date(2026, 10, 1))
    assert parts[0] > 0.1
    assert sum(parts) <= 1.01


def test_a_schedule_goes_through_json_and_back() -> None:
    found = d.make_design(patches(neck=6), WHICH[:2], seed=3)
    jars = j.plan_jars(found, PIECES, j.Ratios(6.0, 2.5, OAK))
    facts = Facts(date(2026, 10, 1), "soft", temperature_c=14.0)
    log = {1: "date,kind,value\n2026-10-04,cut,0.5\n"}
    day = date(2026, 10, 5)
    said = json.loads(json.dumps(renewal.asked(jars, PIECES, facts, day, 80, log)))
    there = json.loads(json.dumps(renewal.renewed_trial(said)))
    here = make_schedule(jars, PIECES, facts, today=day, members=80, readings=log)
    assert renewal.schedule_of(there) == here
    assert here.jars[0].struck != here.jars[1].struck
    assert renewal.renewed_trial({**said, "jars": []})["days"] == []


def test_a_trial_that_runs_is_not_told_to_begin() -> None:
    found = d.make_design(patches(neck=6), WHICH[:2], seed=3)
    jars = j.plan_jars(found, PIECES, j.Ratios(6.0, 2.5, OAK))
    facts, day = Facts(date(2026, 10, 1), "soft", temperature_c=14.0), date(2026, 10, 1)
    log = "date,kind,value,unit\n2026-10-01,event,started,\n2026-10-01,strengthened,0.02,kg\n"
    said = make_schedule(
        jars, PIECES, facts, today=day, members=80, readings={jar.number: log for jar in jars}
    )
    assert "start" not in {item.action for item in said.days}
    planned = make_schedule(jars, PIECES, facts, today=day, members=80)
    cooks = [item.material for item in planned.days if item.action == "strengthen"]
    left = [item.material for item in said.days if item.action == "strengthen"]
    assert left[: len(cooks)] == cooks[: len(left)]


def test_one_group_of_pieces_is_not_told_of_several() -> None:
    words = " ".join(d.make_design(patches(belly=9), WHICH, seed=1).words)
    assert "all from one group of like pieces" in words
    assert "1 groups" not in words
    assert "inside a group" not in words

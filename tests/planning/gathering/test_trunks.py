"""Piles of trunks against weighed bark of felled trees, against one tree, and in their laws."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.planning.gathering.lying import Lying, weathered
from tanwright.planning.gathering.trunks import Trunks, mean_of_alike, pile_yield
from tanwright.planning.trees import DRAWS, Trunk, tree_yield
from tanwright.reference.lots import Lot

OAK = "quercus-petraea-bark"
CM_AN_INCH, M_A_FOOT, KG_A_POUND = 2.54, 0.3048, 0.45359237


def felled() -> list[tuple[Trunks, float]]:
    """Tanbark oaks felled and weighed by peelers, measured by W. L. Jepson (field books 17 and 18,
    June and July 1907, key jepson-field1907): wood and bark across at both ends of what was peeled,
    bark in pounds as it came off.  He counts rims, of four feet each (common practice); tree 20 was
    measured over the bark in feet, and tree 8 is left out, as its bark at the butt is not noted.
    Diameter and thickness are taken in the middle."""
    with (Path(__file__).parent / "felled_tanoaks.csv").open(encoding="utf-8") as handle:
        rows = [{key: float(cell) for key, cell in row.items()} for row in csv.DictReader(handle)]
    found = []
    for row in rows:
        butt = row["wood_butt_in"] + 2.0 * row["bark_butt_in"]
        end = row["wood_end_in"] + 2.0 * row["bark_end_in"]
        bark = (row["bark_butt_in"] + row["bark_end_in"]) / 2.0
        trunk = Trunk(
            CM_AN_INCH * (butt + end) / 2.0, M_A_FOOT * row["length_ft"], 10.0 * CM_AN_INCH * bark
        )
        line = Trunks("notholithocarpus-densiflorus-bark", trunk)
        found.append((line, KG_A_POUND * row["bark_lb"]))
    return found


def test_bark_of_felled_trees_that_was_weighed() -> None:
    """All seven together lie well within the range, and five of the seven each within its own."""
    trees = felled()
    weighed = sum(kg for _, kg in trees)
    whole = pile_yield([line for line, _ in trees])
    assert weighed == pytest.approx(1028.0, abs=1.0)
    assert whole.fresh_kg.p05 < weighed < whole.fresh_kg.p95
    assert whole.fresh_kg.p50 == pytest.approx(weighed, rel=0.25)
    singles = [(pile_yield([line]).fresh_kg, kg) for line, kg in trees]
    assert sum(found.p05 <= kg <= found.p95 for found, kg in singles) >= 5


def test_thick_bark_has_to_be_measured() -> None:
    """Without its thickness the bark of these trees is told at about half: docs/method/gathering.md
    says so."""
    blind = sum(
        pile_yield(
            [Trunks(line.name, Trunk(line.trunk.diameter_cm, line.trunk.length_m))]
        ).fresh_kg.p50
        for line, _ in felled()
    )
    assert 0.4 < blind / sum(kg for _, kg in felled()) < 0.7


def test_bark_of_coppice_poles_that_was_weighed() -> None:
    """136 oak poles of some 18 years gave 463 kg (hauberg2003); their thickness is not told, such
    poles are 8 to 14 cm across at breast height (from memory)."""
    thin, thick = (pile_yield([Trunks(OAK, Trunk(cm), 136)]).air_dry_kg for cm in (8.0, 14.0))
    assert thin.p50 < 463.0 < thick.p50
    usual = pile_yield([Trunks(OAK, Trunk(11.0), 136)]).air_dry_kg
    assert usual.p05 < 463.0 < usual.p95


@pytest.mark.parametrize(
    ("name", "trunk"),
    [
        ("oak", Trunk(30.0)),
        (OAK, Trunk(30.0, 2.0)),
        (OAK, Trunk(30.0, 2.0, 8.0)),
        ("spruce", Trunk(25.0)),
    ],
)
def test_a_pile_of_one_is_that_tree(name: str, trunk: Trunk) -> None:
    """Other draws of the same distributions: percentiles agree within their noise."""
    alone, piled = tree_yield(name, trunk, lot=Lot()), pile_yield([Trunks(name, trunk)])
    for field in ("air_dry_kg", "fresh_kg", "tannin_pct", "tannin_kg", "skin_kg"):
        one, other = getattr(alone, field), getattr(piled, field)
        assert other.p50 == pytest.approx(one.p50, rel=0.05), field
        assert other.p05 == pytest.approx(one.p05, rel=0.08), field
        assert other.p95 == pytest.approx(one.p95, rel=0.10), field
    assert {cause.name for cause in piled.causes} == {cause.name for cause in alone.causes}


def test_percentiles_are_not_added() -> None:
    lines = [Trunks("oak", Trunk(30.0), 4), Trunks("spruce", Trunk(25.0), 3)]
    pile = pile_yield(lines)
    assert sum(line.air_dry_kg.p05 for line in pile.lines) < pile.air_dry_kg.p05
    assert pile.air_dry_kg.p95 < sum(line.air_dry_kg.p95 for line in pile.lines)
    assert pile.air_dry_kg.p50 == pytest.approx(
        sum(line.air_dry_kg.p50 for line in pile.lines), rel=0.05
    )


def test_many_trunks_are_surer_than_one_but_never_sure() -> None:
    one, many = (pile_yield([Trunks(OAK, Trunk(20.0), n)]).air_dry_kg for n in (1, 400))
    ratio_one, ratio_many = one.p95 / one.p05, many.p95 / many.p05
    assert ratio_many < 0.85 * ratio_one
    assert ratio_many > 1.5
    assert many.p50 == pytest.approx(400 * one.p50, rel=0.10)


def test_one_line_of_two_is_two_lines_of_one() -> None:
    twice = pile_yield([Trunks(OAK, Trunk(20.0)), Trunks(OAK, Trunk(20.0))]).skin_kg
    counted = pile_yield([Trunks(OAK, Trunk(20.0), 2)]).skin_kg
    assert (twice.p05, twice.p50, twice.p95) == pytest.approx(
        (counted.p05, counted.p50, counted.p95), rel=0.08
    )


def test_strength_is_shared_so_skin_stays_wide() -> None:
    pile = pile_yield([Trunks(OAK, Trunk(20.0), 200)])
    assert pile.skin_kg.p95 / pile.skin_kg.p05 > pile.air_dry_kg.p95 / pile.air_dry_kg.p05
    shares = {cause.name: cause.share for cause in pile.causes}
    assert sum(shares.values()) == pytest.approx(1.0)
    assert shares["strength"] + shares["need"] > shares["bark"]
    assert "shared by" in pile.shared


def test_the_mean_of_alike_factors() -> None:
    rng = np.random.default_rng(5)
    alone = mean_of_alike(0.4, 1, rng)
    assert float(np.median(alone)) == pytest.approx(1.0, rel=0.03)
    assert float(np.std(np.log(alone))) == pytest.approx(0.4, rel=0.05)
    brute = np.exp(0.4 * rng.standard_normal((DRAWS, 12))).mean(axis=1)
    told = mean_of_alike(0.4, 12, rng)
    for part in (5.0, 50.0, 95.0):
        assert np.percentile(told, part) == pytest.approx(np.percentile(brute, part), rel=0.02)


def test_rain_makes_it_weaker_and_doubt_makes_it_wider() -> None:
    pile = [Trunks("spruce", Trunk(25.0), 5)]
    fell, seen = date(2026, 1, 10), date(2026, 8, 1)
    dry = pile_yield(pile, lying=Lying(fell, seen, "none"))
    wet = pile_yield(pile, lying=Lying(fell, seen, "much"))
    maybe = pile_yield(pile, lying=Lying(fell, seen, "some"))
    assert wet.tannin_pct.p50 < 0.8 * dry.tannin_pct.p50
    assert wet.tannin_pct.p50 < maybe.tannin_pct.p50 < dry.tannin_pct.p50
    assert maybe.tannin_pct.p95 / maybe.tannin_pct.p05 > dry.tannin_pct.p95 / dry.tannin_pct.p05
    assert wet.air_dry_kg.p50 == pytest.approx(dry.air_dry_kg.p50, rel=0.02)
    said = pile_yield(pile, lot=Lot(rained_on=True), lying=Lying(fell, seen, "none"))
    assert said.weathered is None
    assert said.tannin_pct.p50 == pytest.approx(wet.tannin_pct.p50, rel=0.05)


def test_the_longer_it_lies_the_likelier_the_rain() -> None:
    seen = date(2026, 8, 1)
    chances = [
        weathered(Lying(seen - timedelta(days=days), seen)).rained_chance
        for days in (0, 20, 60, 120, 200, 4000)
    ]
    assert chances == sorted(chances)
    assert (chances[0], chances[-1]) == (0.0, 1.0)
    assert weathered(Lying(None, seen)).rained_chance == 0.5
    assert "peel now" in weathered(Lying(seen, seen)).peels
    assert "beaten" in weathered(Lying(date(2020, 1, 1), seen)).peels


def test_the_same_seed_gives_the_same_answer() -> None:
    pile = [Trunks("oak", Trunk(30.0), 2)]
    assert pile_yield(pile, seed=3) == pile_yield(pile, seed=3)
    assert pile_yield(pile, seed=3) != pile_yield(pile, seed=4)


def test_work_that_hurts_is_cautioned() -> None:
    ids = {each.id for each in pile_yield([Trunks("oak", Trunk(30.0))]).cautions}
    assert {"gathering", "land-law", "chainsaw", "windthrow", "bark-dust"} <= ids


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (Trunks("oak", Trunk(30.0), 0), "0 trunks"),
        (Trunks("oak", Trunk(30.0), 10**6), "trunks of one size"),
        (Trunks("oak", Trunk(-3.0)), "cannot be"),
        (Trunks("oak", Trunk(float("nan"))), "cannot be"),
        (Trunks("oak", Trunk(30.0, 0.0)), "long cannot be"),
        (Trunks("oak", Trunk(30.0, 2.0, 400.0)), "thicker than the trunk"),
        (Trunks("oak", Trunk(300.0)), "thicker than any that was weighed"),
    ],
)
def test_sizes_that_cannot_be_are_refused(line: Trunks, told: str) -> None:
    with pytest.raises(InputError, match=told):
        pile_yield([line])


def test_what_is_no_pile_is_refused() -> None:
    with pytest.raises(InputError, match="no trunk"):
        pile_yield([])
    with pytest.raises(UnknownMaterialError):
        pile_yield([Trunks("lamp post", Trunk(30.0))])
    with pytest.raises(InputError, match="too many"):
        pile_yield([Trunks("oak", Trunk(30.0))] * 201)
    with pytest.raises(InputError, match="cannot lie since"):
        Lying(date(2027, 1, 1), date(2026, 1, 1))
    with pytest.raises(InputError, match="not known"):
        Lying(None, date(2026, 1, 1), "drizzle")

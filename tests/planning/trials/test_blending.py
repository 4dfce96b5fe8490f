"""Which mix, and what it took."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tanwright.errors import InputError
from tanwright.planning.pictures.mixture import draw_mixture, mix_words
from tanwright.planning.trials.analysis import Verdict, analyse
from tanwright.planning.trials.blending import Limits, blend, wanted_of
from tanwright.planning.trials.took_up import Fed, cheapest_as_good, took_up
from tests.planning.trials.seen_fixture import ALDER, OAK, WILLOW, blend_trial, seen_trial

NAMES = {OAK: "oak bark", WILLOW: "willow bark", ALDER: "alder bark"}


def test_firm_but_not_harsh_is_a_mix() -> None:
    wanted = (wanted_of("firmness", "more"), wanted_of("feel", "more"))
    found = blend(blend_trial(), wanted)
    assert found.degree == "quadratic"
    assert found.best is not None
    assert 0.2 <= found.best.shares[OAK] <= 0.8
    assert found.best.desirability.p05 < found.best.desirability.p50 < found.best.desirability.p95
    assert 0.0 < found.chance_best <= 1.0
    firm = found.best.expected["firmness"]
    assert firm.p05 < firm.p50 < firm.p95


def test_one_wish_goes_to_a_corner_and_limits_hold_it_back() -> None:
    wanted = (wanted_of("firmness", "more"),)
    free = blend(blend_trial(), wanted)
    assert free.best is not None
    assert free.best.shares[OAK] == pytest.approx(1.0)
    short = blend(blend_trial(), wanted, limits=Limits(highest={OAK: 0.4}))
    assert short.best is not None
    assert short.best.shares[OAK] <= 0.4 + 1e-9
    with pytest.raises(InputError, match="no material of this trial"):
        blend(blend_trial(), limits=Limits(highest={"spruce": 0.4}))


def test_surfaces_without_a_wish() -> None:
    found = blend(blend_trial())
    assert found.best is None
    assert {surface.quality for surface in found.surfaces} == {"firmness", "feel", "dry-weight"}
    surface = next(s for s in found.surfaces if s.quality == "firmness")
    assert surface.p50[found.shares[:, 0].argmax()] > surface.p50[found.shares[:, 0].argmin()]


@pytest.mark.parametrize("three", [False, True])
def test_pictures_of_two_and_three_materials(three: bool) -> None:
    found = blend(blend_trial(three=three), (wanted_of("firmness", "more"),))
    picture = draw_mixture(found, found.surfaces[0], NAMES)
    assert "style=" not in picture.svg
    assert "oak bark" in picture.words
    lines = picture.numbers.splitlines()
    assert len(lines) == 1 + found.shares.shape[0] + len(found.surfaces[0].tried)


def test_what_cannot_be_blended_is_refused() -> None:
    with pytest.raises(InputError, match="fewer than two treatments"):
        blend(seen_trial({"control": 0.0, "oak": 1.0}))
    seen = blend_trial()
    ends = {"control", "mix-1"}
    two = replace(seen, patches=tuple(p for p in seen.patches if p.treatment in ends))
    assert blend(two).degree == "linear"
    with pytest.raises(InputError, match="nothing was seen of smell"):
        blend(seen, (wanted_of("smell", "more"),))


@pytest.mark.parametrize(("quality", "word"), [("feel", "lots"), ("feel", "9"), ("fel", "more")])
def test_wishes_that_mean_nothing_are_refused(quality: str, word: str) -> None:
    if quality == "fel":
        with pytest.raises(InputError, match="no quality or measure is called"):
            wanted_of(quality, word)
    else:
        with pytest.raises(InputError, match="write more, less, or a figure from 1 to 5"):
            wanted_of(quality, word)


def test_a_mix_in_words() -> None:
    assert mix_words({OAK: 0.4, WILLOW: 0.6}, NAMES) == "60 % willow bark and 40 % oak bark"
    assert mix_words({OAK: 1.0, WILLOW: 0.0}, NAMES) == "100 % oak bark"


def fed(kg: float) -> list[Fed]:
    return [
        Fed("1", item.key, {m: kg * s for m, s in item.shares.items()}, 0.16)
        for item in blend_trial().treatments
    ]


def test_what_went_in_and_what_was_taken_up() -> None:
    account = took_up(blend_trial(), fed(0.5))
    first = account[0]
    assert first.kg_per_kg == {OAK: pytest.approx(0.5 / 0.16)}
    assert first.weighed == 4
    assert first.degree is not None
    # 40 g of pelt hold about 8.8 g of hide substance; 15 g air-dry leather about 13 g dry
    assert first.degree.p05 < 48.0 < first.degree.p95
    assert first.used is not None
    assert 0.0 < first.used.p50 < 1.0
    assert not first.more_than_given
    assert took_up(blend_trial(), fed(0.02))[0].more_than_given


def test_patches_that_were_not_weighed_take_nothing() -> None:
    account = took_up(replace(blend_trial(), measures=()), fed(0.5))
    assert account[0].degree is None
    with pytest.raises(InputError, match="hold no pelt"):
        took_up(blend_trial(), [Fed("1", "control", {OAK: 1.0}, 0.0)])


def test_as_good_for_less_is_told() -> None:
    seen = seen_trial({"control": 0.05, "oak": 0.0}, qualities=("feel",), seed=4)
    jars = [Fed("1", "control", {OAK: 1.0}, 0.2), Fed("2", "oak", {OAK: 0.5}, 0.2)]
    account = took_up(seen, jars)
    result = analyse(seen).qualities[0]
    best = max(result.effects, key=lambda effect: effect.typical.p50)
    pair = cheapest_as_good(result, account)
    if best.treatment == "control":
        assert pair is not None
        assert (pair[0].treatment, pair[1].treatment) == ("oak", "control")
    else:
        assert pair is None, "the best is the cheapest"
    assert cheapest_as_good(replace(result, better="by-use"), account) is None
    turned = replace(result, effects=tuple(reversed(result.effects)))
    assert cheapest_as_good(turned, ()) is None


@pytest.mark.parametrize(
    ("verdict", "told"), [("unsure", True), ("alike", True), ("leaning", False), ("apart", False)]
)
def test_what_may_be_worse_is_not_as_good(verdict: Verdict, told: bool) -> None:
    seen = seen_trial({"control": 1.0, "oak": -1.0}, qualities=("feel",))
    account = took_up(
        seen, [Fed("1", "control", {OAK: 1.0}, 0.2), Fed("2", "oak", {OAK: 0.5}, 0.2)]
    )
    result = analyse(seen).qualities[0]
    result = replace(result, pairs=(replace(result.pairs[0], verdict=verdict),))
    assert (cheapest_as_good(result, account) is not None) == told

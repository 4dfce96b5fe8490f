"""Codes of nicks: alike under every turn and flip, never mistaken for one lost nick, as many as
Burnside's lemma counts."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.science.trials.codes import (
    FAR_NICKS,
    SPOTS,
    all_codes,
    burnside,
    canonical,
    codes_for,
    distance,
    nicks_of,
    place_share,
    read,
    symmetries,
    written,
)

NICKS = st.tuples(*[st.booleans()] * SPOTS)
SQUARE = st.booleans()


def carried(nicks: tuple[bool, ...], way: tuple[int, ...]) -> tuple[bool, ...]:
    moved = [False] * SPOTS
    for spot, to in enumerate(way):
        moved[to] = nicks[spot]
    return tuple(moved)


@pytest.mark.parametrize(("square", "order"), [(True, 8), (False, 4)])
def test_the_symmetries_are_a_group_that_keeps_sides_together(square: bool, order: int) -> None:
    ways = set(symmetries(square))
    assert len(ways) == order
    for one, other in itertools.product(ways, ways):
        assert tuple(other[one[spot]] for spot in range(SPOTS)) in ways
    for way in ways:
        for side in range(4):
            assert len({way[3 * side + place] // 3 for place in range(3)}) == 1
            assert way[3 * side + 1] % 3 == 1, "a middle stays a middle"
            if not square:
                assert way[3 * side] // 3 % 2 == side % 2, "a long side stays a long side"


def test_the_symmetries_are_those_of_the_places_on_a_square() -> None:
    # The places as points: turning by 90 degrees and mirroring carry them onto themselves.
    corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
    points = []
    for side in range(4):
        (x, y), (u, v) = corners[side], corners[(side + 1) % 4]
        for place in (1, 2, 3):
            share = place_share(place)
            points.append((round(x + share * (u - x), 6), round(y + share * (v - y), 6)))
    found = set()
    for flip, turns in itertools.product((False, True), range(4)):
        way = []
        for x, y in points:
            if flip:
                x = 1.0 - x
            for _ in range(turns):
                x, y = 1.0 - y, x
            way.append(points.index((round(x, 6), round(y, 6))))
        found.add(tuple(way))
    assert found == set(symmetries(True))


@given(NICKS, SQUARE, st.data())
def test_the_code_is_the_same_whichever_way_the_patch_lies(
    nicks: tuple[bool, ...], square: bool, data: st.DataObject
) -> None:
    way = data.draw(st.sampled_from(symmetries(square)))
    turned = carried(nicks, way)
    assert canonical(turned, square) == canonical(nicks, square)
    assert distance(turned, nicks, square) == 0
    assert sum(canonical(nicks, square)) == sum(nicks)


@pytest.mark.parametrize(("square", "everything", "even"), [(True, 570, 298), (False, 1104, 560)])
def test_as_many_codes_as_burnside_counts(square: bool, everything: int, even: int) -> None:
    kinds = {canonical(nicks, square) for nicks in itertools.product((False, True), repeat=SPOTS)}
    assert len(kinds) == burnside(square) == everything
    assert burnside(square, even=True) == even
    # The patch without any nick is no code.
    assert len(all_codes(square)) == even - 1
    assert len(all_codes(square)) >= 200


@pytest.mark.parametrize("square", [True, False])
def test_no_two_codes_are_one_nick_apart_and_few_cuts_come_first(square: bool) -> None:
    codes = all_codes(square)
    cuts = [sum(nicks_of(code)) for code in codes]
    assert cuts == sorted(cuts)
    assert cuts[0] == 2
    for code in codes[:60]:
        for spot in range(SPOTS):
            nicks = list(nicks_of(code))
            nicks[spot] = not nicks[spot]
            reading = read(tuple(nicks), codes, square)
            assert reading.code == ""
            assert code in reading.closest
            assert "odd in number" in reading.words
    assert all(distance(nicks_of(a), nicks_of(b), square) >= 2
               for a, b in itertools.combinations(codes[:24], 2))  # fmt: skip


@given(st.integers(0, 296), st.data())
def test_a_code_is_read_from_either_face_and_any_side_first(at: int, data: st.DataObject) -> None:
    codes = all_codes()
    way = data.draw(st.sampled_from(symmetries()))
    assert read(carried(nicks_of(codes[at]), way), codes).code == codes[at]
    assert read(written(carried(nicks_of(codes[at]), way)), codes).code == codes[at]


def test_a_code_that_no_patch_has_is_told_with_what_is_near() -> None:
    known = codes_for(3)
    reading = read("123-123-123-123", known)
    assert (reading.code, reading.closest) == ("", ())
    assert reading.words.startswith("unreadable")
    assert read(known[1], known).words == known[1]
    assert "no patch of this trial" in reading.words
    assert "none is close" in reading.words


@given(NICKS)
def test_writing_and_reading_are_inverse(nicks: tuple[bool, ...]) -> None:
    assert nicks_of(written(nicks)) == nicks


@pytest.mark.parametrize(("square", "enough"), [(True, 22), (False, 35)])
def test_codes_of_a_small_trial_differ_in_four_nicks(square: bool, enough: int) -> None:
    codes = codes_for(enough, square)
    assert len(set(codes)) == enough
    assert min(distance(nicks_of(a), nicks_of(b), square)
               for a, b in itertools.combinations(codes, 2)) == FAR_NICKS  # fmt: skip
    cuts = [sum(nicks_of(code)) for code in codes]
    assert cuts == sorted(cuts)
    assert codes_for(9, square) == codes[:9]


def test_a_trial_of_many_patches_has_the_codes_with_the_fewest_cuts() -> None:
    assert codes_for(23) == all_codes()[:23]


def test_patches_added_later_keep_as_far_from_those_before() -> None:
    first = codes_for(8)
    assert codes_for(14, taken=first) == codes_for(22)[8:]
    assert codes_for(40, taken=all_codes()[:18]) == all_codes()[18:58]


def test_two_mishaps_on_a_patch_of_a_small_trial_are_noticed() -> None:
    codes = codes_for(22)
    for code in codes:
        for one, other in itertools.combinations(range(SPOTS), 2):
            nicks = list(nicks_of(code))
            nicks[one], nicks[other] = not nicks[one], not nicks[other]
            assert read(tuple(nicks), codes).code in ("", code)


def test_other_ways_of_writing_a_code() -> None:
    assert nicks_of("13 2 0 0") == nicks_of("13, 2, 0, 0") == nicks_of(" 13/2/0/0 ")
    for wrong in ("", "13-2-0", "31-2-0-0", "4-0-0-0", "13-2-0-0-0", "abc", "1-2-0-"):
        with pytest.raises(InputError):
            nicks_of(wrong)


def test_codes_in_use_are_left_out_and_running_out_is_told() -> None:
    first = codes_for(5)
    turned = written(carried(nicks_of(first[0]), symmetries()[3]))
    assert codes_for(4, taken=[turned]) == first[1:5]
    assert len(codes_for(297)) == 297
    with pytest.raises(InputError, match="only 297"):
        codes_for(298)

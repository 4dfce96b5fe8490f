"""Offcuts entered and cut: usual shapes, points as text, shares, codes and words."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError
from tanwright.planning.trials.cutting import (
    Cut,
    cut_offcuts,
    cutting_in_words,
    sides_in_words,
)
from tanwright.planning.trials.offcuts import (
    Piece,
    checked_region,
    outline_from_text,
    text_of_outline,
    usual_outline,
    widths_from_text,
)
from tanwright.reference.animals import animals, regions
from tanwright.reference.offcuts import area_of_skin_m2, offcut_shape, offcut_shapes
from tanwright.science.trials.outlines import rectangle


def plain(*names: str) -> list[Piece]:
    return [Piece(name, "belly", rectangle(20.0, 10.0), "goat 1") for name in names]


def test_every_usual_shape_can_be_cut_from_every_animal_that_is_large_enough() -> None:
    for animal in animals():
        for shape in offcut_shapes():
            if animal.area_low_m2 >= 0.4:
                outline = usual_outline(shape.id, animal.name)
                assert 20.0 < outline.area_cm2 < 5000.0 * animal.area_high_m2


def test_the_usual_pieces_of_one_skin_are_less_than_their_regions_hold() -> None:
    # The regions' shares of a hide bound what legs, belly and neck can be.
    for region in regions():
        pieces = [shape for shape in offcut_shapes() if shape.region == region.id]
        area = sum(
            shape.on_a_skin * usual_outline(shape.id, "cattle", area_m2=4.0).area_cm2
            for shape in pieces
        )
        assert 0.0 < area < 1.25 * region.area_share_high * 40_000.0, region.id


def test_a_heavier_skin_gives_larger_pieces() -> None:
    goat = next(animal for animal in animals() if animal.id == "goat")
    areas = [area_of_skin_m2(goat, kg) for kg in (1.5, 2.5, 3.5)]
    assert areas == sorted(areas)
    assert areas[0] == pytest.approx(goat.area_low_m2)
    assert areas[-1] == pytest.approx(goat.area_high_m2)
    assert area_of_skin_m2(goat) == pytest.approx((goat.area_low_m2 + goat.area_high_m2) / 2)
    assert usual_outline("neck", "goat", area_m2=1.0).size_cm[0] == pytest.approx(28.0)
    for wrong in ({"green_kg": -1.0}, {"area_m2": 90.0}):
        with pytest.raises(InputError):
            usual_outline("neck", "goat", **wrong)
    with pytest.raises(InputError, match="usual offcut"):
        offcut_shape("wing")


def test_points_as_text_come_back_and_an_empty_line_begins_a_flaw() -> None:
    text = "0, 0\n20 0\n(20, 10),\n0;10\n\n5,4\n7,4\n7,6\n5,6\n"
    outline = outline_from_text(text)
    assert outline.area_cm2 == pytest.approx(196.0)
    again = outline_from_text(text_of_outline(outline))
    assert again.region().equals(outline.region())
    assert outline_from_text("0 0\n20,5 0\n20,5 10\n0 10").area_cm2 == pytest.approx(205.0)


@pytest.mark.parametrize(
    ("text", "says"),
    [("", "no points"), ("1, 2\nhere", "line 2"), ("1, 2\n3, 4\n5, inf", "line 3"),
     ("\n".join("1, 2" for _ in range(6000)), "5000")],
)  # fmt: skip
def test_text_that_holds_no_outline(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        outline_from_text(text)


def test_widths_as_text() -> None:
    assert widths_from_text("12 14, 13; 8,5") == (12.0, 14.0, 13.0, 8.5)
    with pytest.raises(InputError, match="not a width"):
        widths_from_text("12 wide")
    assert checked_region("belly") == "belly"
    with pytest.raises(InputError, match="no region"):
        checked_region("wing")


def test_patches_are_numbered_and_coded_in_the_order_of_cutting() -> None:
    cutting = cut_offcuts(plain("a", "b"), Cut(5.0, 5.0, margin_cm=0.0))
    assert [patch.number for patch in cutting.patches] == list(range(1, 17))
    assert len({patch.code for patch in cutting.patches}) == 16
    assert [patch.offcut for patch in cutting.patches] == ["a"] * 8 + ["b"] * 8
    assert (cutting.fits, cutting.most_possible, cutting.ratio) == (16, 16, 1.0)
    assert cutting_in_words(cutting) == (
        "16 patches of 5 × 5 cm fit. More cannot fit: that is proved."
    )
    first, *_ = cutting.records()
    assert (first.region, first.skin, first.block) == ("belly", "goat 1", "goat 1 belly")


def test_fewer_patches_are_shared_out_in_proportion() -> None:
    pieces = [*plain("a"), Piece("small", "belly", rectangle(10.0, 10.0))]
    cutting = cut_offcuts(pieces, Cut(5.0, 5.0, margin_cm=0.0, most=6))
    assert [one.packing.count for one in cutting.pieces] == [4, 2]
    assert cutting_in_words(cutting).endswith("6 of them are used.")


def test_codes_already_cut_are_not_used_again() -> None:
    first = cut_offcuts(plain("a"), Cut(5.0, 5.0))
    taken = [patch.code for patch in first.patches]
    more = cut_offcuts(plain("b"), Cut(5.0, 5.0), taken_codes=taken, first_number=len(taken) + 1)
    assert not {patch.code for patch in more.patches} & set(taken)
    assert more.patches[0].number == len(taken) + 1


def test_a_rectangle_is_cut_with_its_long_side_first() -> None:
    cut = Cut(3.0, 6.0, margin_cm=0.0)
    cutting = cut_offcuts(plain("a"), cut)
    assert cutting.patches[0].width_cm == 6.0
    assert sides_in_words(cut) == "6 × 3 cm"
    assert not cut.square


def test_a_margin_larger_than_the_patch_leaves_room_for_none() -> None:
    with pytest.raises(InputError, match="no patch of 9 × 9 cm fits"):
        cut_offcuts(plain("a"), Cut(9.0, 9.0, margin_cm=2.0))


@pytest.mark.parametrize("pieces", [[], plain("a", "a"), plain(*map(str, range(41)))])
def test_no_offcut_two_of_a_name_or_too_many(pieces: list[Piece]) -> None:
    with pytest.raises(InputError):
        cut_offcuts(pieces, Cut(5.0, 5.0))


def test_cutting_the_same_again_gives_the_same() -> None:
    piece = Piece("leg", "shanks", usual_outline("hind-leg", "deer"))
    one, again = (cut_offcuts([piece], Cut(4.0, 4.0, seed=3)).patches for _ in range(2))
    assert one == again


def test_twins_are_laid_alike() -> None:
    leg = usual_outline("hind-leg", "deer")
    cutting = cut_offcuts(
        [Piece("left", "shanks", leg), Piece("right", "shanks", leg)], Cut(5.0, 5.0)
    )
    places = [
        [(one.x_cm, one.y_cm, one.angle_deg) for one in cutting.patches if one.offcut == name]
        for name in ("left", "right")
    ]
    assert places[0] == places[1] != []


def test_there_are_never_more_patches_than_codes() -> None:
    cutting = cut_offcuts(
        [Piece("back", "butt", rectangle(60.0, 60.0))], Cut(3.0, 3.0, margin_cm=0.0)
    )
    assert (cutting.fits, len(cutting.patches)) == (400, 297)

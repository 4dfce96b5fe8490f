"""Scales and measures of a patch."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError
from tanwright.reference.grading import (
    grading_measure,
    grading_measures,
    grading_scale,
    grading_scales,
)


def test_six_qualities_in_five_or_seven_steps() -> None:
    assert [s.id for s in grading_scales()] == [
        "feel", "firmness", "stretch", "grain", "colour", "smell",
    ]  # fmt: skip
    for scale in grading_scales():
        assert scale.steps in (5, 7)
        assert len(set(scale.anchors)) == scale.steps


def test_steps_and_readings_are_checked() -> None:
    assert grading_scale("Colour").checked(7) == 7
    with pytest.raises(InputError, match=r"0 is no step of feel; write 1 \(harsh"):
        grading_scale("feel").checked(0)
    assert grading_measure("dry weight").unit == "g"
    with pytest.raises(InputError, match="check the unit"):
        grading_measure("shrinkage").checked(350.0)
    with pytest.raises(InputError, match="did you mean thickness"):
        grading_measure("thicknes")
    assert grading_measures()[0].when == "before"

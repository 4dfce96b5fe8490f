"""A bare number is in the unit shown; any unit may be typed; what is kept is in SI units."""

from __future__ import annotations

from typing import Any

import pytest
from django import forms
from hypothesis import given
from hypothesis import strategies as st

from tanwright.units import System
from tanwright.yard.shell.fields import (
    AmountField,
    AreaField,
    MassField,
    TemperatureField,
    ThicknessField,
    VolumeField,
)

FIELDS = (MassField, VolumeField, ThicknessField, AreaField, TemperatureField)


def read(field: type[AmountField], text: str, system: System = "metric", **how: Any) -> Any:
    made = field(**how)
    made.read_in(system)
    return made.clean(text)


@pytest.mark.parametrize(
    ("field", "text", "system", "kept"),
    [
        (MassField, "2.2", "metric", 2.2),
        (MassField, "2,2", "metric", 2.2),
        (MassField, "5 lb", "metric", 2.26796),
        (MassField, "5", "us", 2.26796),
        (MassField, "800 g", "us", 0.8),
        (VolumeField, "10", "us", 37.8541),
        (VolumeField, "40 L", "us", 40.0),
        (ThicknessField, "2.1", "metric", 2.1),
        (ThicknessField, "0.1", "us", 2.54),
        (AreaField, "0.8", "metric", 0.8),
        (AreaField, "10", "us", 0.92903),
        (TemperatureField, "12", "metric", 12.0),
        (TemperatureField, "-3", "metric", -3.0),
        (TemperatureField, "54", "us", 12.2222),
        (TemperatureField, "12 C", "us", 12.0),
    ],
)
def test_amounts_are_read(field: type[AmountField], text: str, system: System, kept: float) -> None:
    assert read(field, text, system) == pytest.approx(kept, rel=1e-4)


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("text", ["a lot", "kg", "1e999", "nan", "-", "1 2", "999999999", "☃"])
def test_what_is_no_amount_is_refused_in_one_line(field: type[AmountField], text: str) -> None:
    with pytest.raises(forms.ValidationError) as refused:
        read(field, text)
    assert len(refused.value.messages) == 1
    assert "\n" not in refused.value.messages[0]


@pytest.mark.parametrize("field", FIELDS)
def test_an_empty_box_is_none_when_it_may_be_empty(field: type[AmountField]) -> None:
    assert read(field, "  ", required=False) is None
    with pytest.raises(forms.ValidationError):
        read(field, "")


@given(st.sampled_from(FIELDS), st.floats(0.5, 19.0), st.sampled_from(["metric", "us"]))
def test_a_kept_value_comes_back_through_the_box(
    field: type[AmountField], kept: float, system: System
) -> None:
    made = field()
    made.read_in(system)
    assert made.clean(made.prepare_value(kept)) == pytest.approx(kept, rel=1e-4, abs=1e-3)


@given(st.sampled_from(FIELDS), st.text(max_size=40))
def test_nothing_typed_breaks_a_field(field: type[AmountField], text: str) -> None:
    made = field(required=False)
    try:
        kept = made.clean(text)
    except forms.ValidationError:
        return
    assert kept is None or made.least_value <= kept <= made.most_value

"""A number is read with a comma or a point, and one sentence says what to write instead."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from typing import Any

import pytest
from django import forms
from django.conf import settings

from tanwright.yard.shell.fields import MassField, NumberField, WholeField
from tanwright.yard.shell.forms import YardForm


def refused(field: forms.Field, text: str) -> str:
    with pytest.raises(forms.ValidationError) as error:
        field.clean(text)
    return " ".join(error.value.messages)


@pytest.mark.parametrize(
    ("text", "kept"),
    [("2,5", 2.5), ("2.5", 2.5), (" 2,5 ", 2.5), (",5", 0.5), ("3", 3.0), ("-2,5", -2.5)],
)
def test_a_comma_is_a_point(text: str, kept: float) -> None:
    assert NumberField().clean(text) == kept


@pytest.mark.parametrize("text", ["1,234.5", "1.234,5", "1,2,3", "2;5", "lots", "nan", "1e400", ""])
def test_what_is_no_number_is_refused(text: str) -> None:
    assert refused(NumberField(), text) == "Write a number, like 2.5."


@pytest.mark.parametrize("text", ["-0,1", "14,5", "sour", ""])
def test_one_sentence_says_what_to_write(text: str) -> None:
    assert refused(NumberField(min_value=0.0, max_value=14.0), text) == (
        "Write a number from 0 to 14."
    )


@pytest.mark.parametrize(
    ("field", "told"),
    [
        (NumberField(min_value=0.05), "Write a number, 0.05 or more."),
        (NumberField(max_value=1e6), "Write a number up to 1000000."),
        (NumberField(write="grams, from 900 to 1400"), "Write grams, from 900 to 1400."),
        (WholeField(), "Write a whole number, like 2."),
        (WholeField(min_value=1, max_value=200), "Write a whole number from 1 to 200."),
    ],
)
def test_the_sentence_follows_the_bounds(field: forms.Field, told: str) -> None:
    assert refused(field, "a lot") == told


def test_own_words_stand() -> None:
    field = WholeField(min_value=1, error_messages={"min_value": "One at least."})
    assert refused(field, "0") == "One at least."


@pytest.mark.parametrize("text", ["2,5", "2.5", "1,000", "1.000", "2,50"])
def test_a_part_of_a_piece_and_a_thousand_that_may_be_one_are_refused(text: str) -> None:
    assert "whole number" in refused(WholeField(), text)


@pytest.mark.parametrize("text", ["3", "3.0", "3,0", " 3 "])
def test_a_whole_number_is_read(text: str) -> None:
    assert WholeField().clean(text) == 3


def test_an_empty_box_is_none_when_it_may_be_empty() -> None:
    assert NumberField(required=False).clean(" ") is None
    assert WholeField(required=False).clean("") is None


def every_form(kind: type[forms.Form] = YardForm) -> Iterator[type[forms.Form]]:
    """All forms of the yard: its addresses bring their modules."""
    import_module(settings.ROOT_URLCONF)
    for form in kind.__subclasses__():
        yield form
        yield from every_form(form)


def test_no_form_has_a_box_that_loses_a_comma() -> None:
    found = set(every_form())
    assert len(found) > 60
    for form in found:
        for name, field in form.base_fields.items():
            where = f"{form.__module__}.{form.__name__}.{name}"
            assert getattr(field.widget, "input_type", "") != "number", where
            if isinstance(field, forms.IntegerField) and not field.widget.is_hidden:
                assert isinstance(field, (NumberField, WholeField)), where


class Asked(YardForm):
    """One field of each kind that may be left empty by mistake."""

    lost = forms.CharField(widget=forms.HiddenInput)
    weight = MassField()
    strength = NumberField()
    name = forms.CharField()
    one = forms.ChoiceField(choices=[("a", "a")])
    several = forms.MultipleChoiceField(choices=[("a", "a")])
    file = forms.FileField()
    day = forms.DateField()
    sure = forms.BooleanField()
    own = forms.CharField(error_messages={"required": "Say who."})

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["late"] = forms.CharField()


def test_an_empty_field_says_what_to_do() -> None:
    told = {name: errors[0] for name, errors in Asked({}).errors.items()}
    assert told == {
        "lost": "A part of this page got lost; open it again.",
        "weight": "Write a number here.",
        "strength": "Write a number, like 2.5.",
        "name": "Write something here.",
        "one": "Choose one.",
        "several": "Choose one or more.",
        "file": "Choose a file.",
        "day": "Write a day.",
        "sure": "Tick this.",
        "own": "Say who.",
        "late": "Write something here.",
    }


def test_the_box_opens_the_keys_for_numbers() -> None:
    box = str(Asked()["strength"])
    assert 'type="text"' in box
    assert 'inputmode="decimal"' in box
    assert 'inputmode="numeric"' in str(WholeField().get_bound_field(Asked(), "many"))

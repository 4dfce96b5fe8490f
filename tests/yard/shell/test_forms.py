"""Forms as pages show them: errors on top and beside the field, nothing typed is lost."""

from __future__ import annotations

import re

import pytest
from django.template import Context, Template

from tanwright.errors import InputError
from tanwright.yard.shell.style_page import ExampleForm


def shown(form: ExampleForm) -> str:
    return Template("{% include 'shell/form.html' with submit='Note it' back='/back' %}").render(
        Context({"form": form})
    )


@pytest.fixture
def refused() -> str:
    return shown(ExampleForm({"weight": "a <lot>", "animal": "deer", "note": "kept words"}))


def test_each_error_stands_on_top_and_beside_its_field(refused: str) -> None:
    assert 'role="alert"' in refused
    assert '<a href="#id_weight">Weight: ' in refused
    assert 'id="id_weight_error"' in refused
    assert re.search(r'<input[^>]*name="weight"[^>]*aria-invalid="true"', refused)


def test_an_input_points_to_its_hint_and_its_error(refused: str) -> None:
    box = re.search(r'<input[^>]*name="weight"[^>]*>', refused)
    assert box
    assert "id_weight_helptext" in box[0]
    assert "id_weight_error" in box[0]


def test_nothing_typed_is_lost_and_nothing_typed_is_markup(refused: str) -> None:
    assert 'value="a &lt;lot&gt;"' in refused
    assert "kept words" in refused
    assert "<lot>" not in refused


def test_a_refusal_of_the_engine_reads_as_a_sentence() -> None:
    form = ExampleForm({"weight": "2", "animal": "deer"})
    form.is_valid()
    form.add_problem(InputError("a deer of 2 t is none", place="w", remedy="weigh again"), "weight")
    form.add_problem(InputError("the vat is too small", place="vat"), "no such field")
    assert "A deer of 2 t is none; weigh again." in form.errors["weight"]
    assert form.non_field_errors() == ["The vat is too small."]
    assert shown(form).count("The vat is too small.") == 1


def test_every_box_has_a_label_and_its_unit(refused: str) -> None:
    for name in ("weight", "temperature", "animal", "hair_on", "happened_at", "note"):
        assert f'for="id_{name}"' in refused, name
    assert '<span class="unseen"> in kg</span>' in refused
    assert "<legend>Smell" in refused


def test_an_entry_has_an_id_and_a_time_of_its_own() -> None:
    one, other = ExampleForm(), ExampleForm()
    assert one["entry_id"].value() != other["entry_id"].value()
    assert re.search(
        r'type="datetime-local" name="happened_at" value="\d{4}-\d\d-\d\dT', shown(one)
    )

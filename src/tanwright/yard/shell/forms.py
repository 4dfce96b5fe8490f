"""Forms of the yard: errors on top and beside the field, amounts in the reader's units."""

from __future__ import annotations

import uuid
from typing import Any, Final

from django import forms
from django.forms.renderers import TemplatesSetting
from django.utils import timezone

from tanwright.errors import TanwrightError
from tanwright.units import System
from tanwright.yard.shell.fields import AmountField


class Renderer(TemplatesSetting):
    """Draws every form and field with our own templates."""

    form_template_name = "shell/form_body.html"
    field_template_name = "shell/field.html"


_UNSAID: Final = forms.Field.default_error_messages["required"]


def words_for_empty(field: forms.Field) -> str:
    """What to do about ``field``, which was left empty and has no words of its own for that."""
    if field.widget.is_hidden:
        return "A part of this page got lost; open it again."
    for kind, words in _EMPTY:
        if isinstance(field, kind):
            return words
    return "Write something here."


_EMPTY: Final[tuple[tuple[type[forms.Field], str], ...]] = (
    (forms.MultipleChoiceField, "Choose one or more."),
    (forms.ChoiceField, "Choose one."),
    (forms.FileField, "Choose a file."),
    (forms.BooleanField, "Tick this."),
    (forms.DateField, "Write a day."),
    (forms.DateTimeField, "Write a day and a time."),
    (AmountField, "Write a number here."),
)


class YardForm(forms.Form):
    """A form that knows the reader's units.

    ``system`` reaches every amount field (those with a ``system`` attribute).
    """

    required_css_class = "required"
    error_css_class = "has-error"
    use_required_attribute = False

    def __init__(self, *args: Any, system: System = "metric", **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.system: System = system
        for field in self.fields.values():
            if hasattr(field, "read_in"):
                field.read_in(system)
            if isinstance(field.widget, forms.DateInput):
                # The one form that a browser takes into a box of type "date".
                field.widget.format = field.widget.format or "%Y-%m-%d"

    def full_clean(self) -> None:
        for field in self.fields.values():
            if field.error_messages["required"] == _UNSAID:
                field.error_messages["required"] = words_for_empty(field)
        super().full_clean()

    def add_problem(self, error: TanwrightError, field: str | None = None) -> None:
        """Show an engine's refusal as an error of ``field`` (of the whole form if it has none)."""
        text = error.what[:1].upper() + error.what[1:]
        remedy = f"; {error.remedy}" if error.remedy else ""
        self.add_error(field if field in self.fields else None, f"{text}{remedy}.")


class EntryForm(YardForm):
    """A form that writes one entry: with the id and the time that make it safe to send twice."""

    entry_id = forms.UUIDField(widget=forms.HiddenInput)
    happened_at = forms.DateTimeField(
        label="When",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M", "%Y-%m-%d"],
    )
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        initial = {
            "entry_id": uuid.uuid4(),
            "happened_at": timezone.localtime().replace(second=0, microsecond=0),
            **(kwargs.pop("initial", None) or {}),
        }
        super().__init__(*args, initial=initial, **kwargs)
        self.order_fields([*(n for n in self.fields if n not in _LAST), *_LAST])

    def data_of_entry(self) -> dict[str, Any]:
        """What goes into the entry: every answered field but id, time, note and photo."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name not in _NOT_DATA and value not in (None, "")
        }


_LAST = ("happened_at", "note", "photo", "entry_id")
_NOT_DATA = {"entry_id", "happened_at", "note", "photo"}

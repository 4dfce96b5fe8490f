"""A bare number as it is written in a shed."""

from __future__ import annotations

from typing import Any

from django import forms


class FigureField(forms.FloatField):
    """A number without a unit, 2.5 or 2,5.

    A plain text box: browsers send nothing at all for "2,5" in a box of numbers, and a reading
    would be lost without a word.
    """

    unit_shown = ""

    def __init__(self, **kwargs: Any) -> None:
        box = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        kwargs.setdefault("widget", box)
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Any:
        text = value.strip().replace(",", ".") if isinstance(value, str) else value
        return super().to_python(text)

"""Forms that keep what is seldom needed folded away."""

from __future__ import annotations

from typing import ClassVar

from django import forms
from django.forms.boundfield import BoundField


class FoldedForm(forms.Form):
    """Splits its fields in those always shown and those folded away (``more``), for a template.

    The folded part stands open as soon as anything in it was answered or is wrong.
    """

    more: ClassVar[tuple[str, ...]] = ()
    more_words: ClassVar[str] = "More"

    @property
    def main_fields(self) -> list[BoundField]:
        """Fields that are always shown."""
        return [field for field in self.visible_fields() if field.name not in self.more]

    @property
    def more_fields(self) -> list[BoundField]:
        """Fields that are folded away."""
        return [field for field in self.visible_fields() if field.name in self.more]

    @property
    def more_open(self) -> bool:
        """Whether the folded part is shown open."""
        return any(field.errors or field.value() for field in self.more_fields)

"""Which labels to print."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.db.models import QuerySet

from tanwright.yard.journal.models import Record
from tanwright.yard.paper.labels import SIZES
from tanwright.yard.shell.fields import WholeField
from tanwright.yard.shell.forms import YardForm

MOST_LABELS: Final = 80
"""Ten sheets of tags; more is a slip, and would make people wait."""


class LabelsForm(YardForm):
    """A kind of record, which numbers of it, and how large."""

    kind = forms.ChoiceField(
        label="Labels for",
        choices=[
            (Record.Kind.SKIN, "skins"),
            (Record.Kind.TANNAGE, "vats"),
            (Record.Kind.LIQUOR, "liquors"),
            (Record.Kind.LOT, "lots of bark and other plants"),
            (Record.Kind.LEATHER, "leather"),
            (Record.Kind.TRIAL, "trials"),
            (Record.Kind.PLACE, "places"),
        ],
    )
    first = WholeField(label="From number", min_value=1, max_value=10**6, initial=1)
    last = WholeField(label="To number", min_value=1, max_value=10**6, initial=8)
    size = forms.ChoiceField(label="Size", choices=list(SIZES.items()))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        first, last = cleaned.get("first"), cleaned.get("last")
        if first and last:
            if last < first:
                self.add_error("last", "This is before the first number; swap the two.")
            elif not self._among(cleaned).exists():
                self.add_error("first", "There is nothing with such a number yet.")
            elif (many := self._among(cleaned).count()) > MOST_LABELS:
                self.add_error(
                    "last", f"These are {many} labels; print at most {MOST_LABELS} at a time."
                )
        return cleaned

    def records(self) -> list[Record]:
        """The chosen records by number."""
        return list(self._among(self.cleaned_data).order_by("number"))

    @staticmethod
    def size_from(word: str, record: Record) -> str:
        """``word`` if it is a size, else the usual one for such a record."""
        if word in SIZES:
            return word
        return "a5" if record.kind == Record.Kind.TANNAGE else "tag"

    def _among(self, cleaned: dict[str, Any]) -> QuerySet[Record]:
        return Record.objects.filter(
            kind=cleaned.get("kind"),
            number__range=(cleaned["first"], cleaned["last"]),
            withdrawn_at=None,
        )

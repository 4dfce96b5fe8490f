"""The form that weighs all lots in one go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.forms.boundfield import BoundField

from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.stock.fields import CountedMassField
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.plants import name_of
from tanwright.yard.stock.wording import left_words


@dataclass(frozen=True)
class Line:
    """One lot of the form: what it is, what the yard reckons with, and its box."""

    lot: Lot
    plant: str
    reckoned: str
    field: BoundField


class StocktakeOfAllForm(EntryForm):
    """A box for each lot; empty: not weighed now. 0 is nothing left."""

    def __init__(self, *args: Any, lots: Sequence[Lot], **kwargs: Any) -> None:
        self.lots = {f"kg_{lot.number}": lot for lot in lots}
        super().__init__(*args, **kwargs)
        for name, lot in self.lots.items():
            field = CountedMassField(
                label=f"{name_of(lot.material_id)}, {lot.code}", least=0.0, required=False
            )
            field.read_in(self.system)
            self.fields[name] = field
        self.order_fields(list(self.lots))

    @property
    def lines(self) -> list[Line]:
        """The lots with their boxes, in the order they were given."""
        return [
            Line(lot, name_of(lot.material_id), left_words(lot, self.system), self[name])
            for name, lot in self.lots.items()
        ]

    @property
    def rest(self) -> list[BoundField]:
        """When, and the note."""
        return [field for field in self.visible_fields() if field.name not in self.lots]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not self.weighed():
            self.add_error(None, "No lot was weighed; write what is left of at least one.")
        return cleaned

    def weighed(self) -> dict[Lot, float]:
        """Lots of which something was written, with their kg."""
        return {
            lot: self.cleaned_data[name]
            for name, lot in self.lots.items()
            if self.cleaned_data.get(name) is not None
        }

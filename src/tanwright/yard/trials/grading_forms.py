"""Forms of grading: one sheet of steps, one row of pieces, one measure of all patches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from tanwright.errors import InputError
from tanwright.reference.grading import GradingMeasure, GradingScale
from tanwright.yard.shell.fields import NumberField, WholeField
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.trials.grading_kinds import LONGEST_NAME, grader_named
from tanwright.yard.trials.models import TrialPatch


@dataclass(frozen=True)
class PatchLine:
    """One patch of a form: the patch and its boxes."""

    patch: TrialPatch
    field: BoundField


class GraderForm(YardForm):
    """Who grades."""

    grader = forms.CharField(
        label="Who grades",
        max_length=200,
        help_text=f"A name that the others know, up to {LONGEST_NAME} letters.",
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def clean_grader(self) -> str:
        """The name in one line."""
        try:
            return grader_named(self.cleaned_data["grader"])
        except InputError as error:
            raise forms.ValidationError(
                f"{error.what[:1].upper()}{error.what[1:]}; {error.remedy}."
            ) from error


class _PatchesForm(EntryForm):
    """An entry with one field for each patch."""

    def __init__(self, *args: Any, patches: Sequence[TrialPatch], **kwargs: Any) -> None:
        self.patches = {f"patch_{patch.number}": patch for patch in patches}
        super().__init__(*args, **kwargs)
        for name, patch in self.patches.items():
            self.fields[name] = self.box(patch)
        self.order_fields(list(self.patches))

    def box(self, patch: TrialPatch) -> forms.Field:
        """The field of one patch."""
        raise NotImplementedError

    @property
    def lines(self) -> list[PatchLine]:
        """The patches with their boxes, in the order in which they were given."""
        return [PatchLine(patch, self[name]) for name, patch in self.patches.items()]

    @property
    def rest(self) -> list[BoundField]:
        """When, and the note."""
        return [field for field in self.visible_fields() if field.name not in self.patches]

    def answers(self) -> dict[int, Any]:
        """What was answered, by patch number."""
        return {
            patch.number: self.cleaned_data[name]
            for name, patch in self.patches.items()
            if self.cleaned_data.get(name) not in (None, "")
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not self.answers():
            self.add_error(None, self.nothing)
        return cleaned

    nothing = "Nothing was written yet."


class SheetForm(_PatchesForm):
    """Steps of one quality."""

    nothing = "No patch was graded yet; choose a step for one at least."

    def __init__(
        self, *args: Any, scale: GradingScale, given: Mapping[int, int], **kwargs: Any
    ) -> None:
        self.scale, self.given = scale, given
        super().__init__(*args, **kwargs)

    def box(self, patch: TrialPatch) -> forms.Field:
        """Radio buttons of the steps."""
        steps = [(str(k), words) for k, words in enumerate(self.scale.anchors, 1)]
        return forms.TypedChoiceField(
            label=f"Patch {patch.number}",
            choices=steps,
            coerce=int,
            empty_value=None,
            required=False,
            initial=self.given.get(patch.number),
            widget=forms.RadioSelect,
        )


class RowForm(_PatchesForm):
    """Places in a row: 1 for the piece that lies first; the same number for pieces alike."""

    nothing = "No patch has a place yet; give 1 to the one that lies first."

    def __init__(self, *args: Any, given: Sequence[Sequence[int]], **kwargs: Any) -> None:
        self.given = {number: place for place, heap in enumerate(given, 1) for number in heap}
        super().__init__(*args, **kwargs)

    def box(self, patch: TrialPatch) -> forms.Field:
        """The place."""
        return WholeField(
            label=f"Place of patch {patch.number}",
            min_value=1,
            max_value=999,
            required=False,
            initial=self.given.get(patch.number),
            widget=forms.TextInput(attrs={"data-place": ""}),
        )

    def order(self) -> list[list[int]]:
        """Heaps of patch numbers, the first place first."""
        places = self.answers()
        return [
            [number for number, place in places.items() if place == here]
            for here in sorted(set(places.values()))
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors and len(self.order()) < 2:
            self.add_error(None, "All lie in one heap; give at least two different places.")
        return cleaned


class MeasureForm(_PatchesForm):
    """One figure for each patch."""

    nothing = "Nothing was measured yet; write one figure at least."

    def __init__(
        self, *args: Any, measure: GradingMeasure, given: Mapping[int, float], **kwargs: Any
    ) -> None:
        self.measure, self.given = measure, given
        super().__init__(*args, **kwargs)

    def box(self, patch: TrialPatch) -> forms.Field:
        """The figure, a comma or a point in it."""
        field = NumberField(
            label=f"Patch {patch.number}", required=False, initial=self.given.get(patch.number)
        )
        field.unit_shown = self.measure.unit
        return field

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name in self.patches:
            value = cleaned.get(name)
            if value is None:
                continue
            try:
                self.measure.checked(value)
            except InputError as error:
                self.add_problem(error, name)
        return cleaned


class ConfirmForm(EntryForm):
    """Nothing but when, and a note."""

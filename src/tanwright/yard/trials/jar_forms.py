"""Forms that note something of the jars: of one, or of all of them at once on one page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from django import forms
from django.forms.boundfield import BoundField

from tanwright.errors import TanwrightError
from tanwright.planning.looks import liquor_looks
from tanwright.yard.journal.photos import PhotoField
from tanwright.yard.liquors.strengths import corrected_bk
from tanwright.yard.liquors.tables import scale_of_the_yard
from tanwright.yard.shell.fields import NumberField, TemperatureField, WholeField
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.tannage.quick import CUT_SHARES, SCALE_NAMES
from tanwright.yard.trials.models import Jar

COLUMNS: Final = {
    "look": ("Look", "How does each liquor look in a white cup, by daylight?"),
    "strength": ("Strength", "Stir, float the instrument, read at the level of the liquor."),
    "cut": ("Cut", "Cut a sliver off one patch of each jar. How much of the wet edge is pale?"),
    "out": (
        "Take out",
        "A jar ends by its own cut: tick those whose patches are through. Dry "
        "them slowly and put them by; at the end all are oiled and softened alike.",
    ),
}
"""What may be noted of all jars at once: heading and lead."""


@dataclass(frozen=True)
class Line:
    """One jar of the form: the jar and its box."""

    jar: Jar
    field: BoundField


class AllJarsForm(EntryForm):
    """One column for every jar that still holds patches; an empty box leaves a jar as it is."""

    def __init__(self, *args: Any, jars: Sequence[Jar], what: str, **kwargs: Any) -> None:
        self.what = what
        self.jars = {f"jar_{jar.number}": jar for jar in jars}
        super().__init__(*args, **kwargs)
        for name, jar in self.jars.items():
            self.fields[name] = self._box(f"Jar {jar.number}")
        if what == "strength":
            self.fields["scale"] = forms.ChoiceField(
                label="Scale", choices=tuple(SCALE_NAMES.items()), initial=scale_of_the_yard
            )
            warmth = TemperatureField(
                label="Warmth of the liquors", required=False, least=-5.0, most=105.0,
                help_text="A warm liquor reads too weak; with its warmth that is put right.",
            )  # fmt: skip
            warmth.read_in(self.system)
            self.fields["liquor_c"] = warmth
        self.order_fields([*self.jars, "scale", "liquor_c"])

    def _box(self, label: str) -> forms.Field:
        if self.what == "look":
            looks = [("", "not looked at"), *((look, look) for look in liquor_looks())]
            return forms.ChoiceField(label=label, choices=looks, required=False)
        if self.what == "cut":
            shares = [("", "not cut"), *((str(share), words) for share, words in CUT_SHARES)]
            return forms.TypedChoiceField(
                label=label, choices=shares, coerce=float, empty_value=None, required=False
            )
        if self.what == "out":
            return forms.BooleanField(label=label, required=False)
        return NumberField(
            label=label, required=False, min_value=0.0, max_value=2000.0,
        )  # fmt: skip

    @property
    def lines(self) -> list[Line]:
        """The jars with their boxes."""
        return [Line(jar, self[name]) for name, jar in self.jars.items()]

    @property
    def rest(self) -> list[BoundField]:
        """Scale, warmth, when, and the note."""
        return [field for field in self.visible_fields() if field.name not in self.jars]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if self.what == "strength":
            for name in self.jars:
                self._check(name)
        if not self.errors and not self.rows():
            self.add_error(None, "Nothing was written yet: fill in at least one jar.")
        return found

    def _check(self, name: str) -> None:
        value = self.cleaned_data.get(name)
        if value is None or "scale" not in self.cleaned_data:
            return
        try:
            corrected_bk(self._strength(value))
        except TanwrightError as error:
            self.add_problem(error, name)

    def _strength(self, value: float) -> dict[str, Any]:
        kept = {"value": value, "scale": self.cleaned_data["scale"]}
        if self.cleaned_data.get("liquor_c") is not None:
            kept["liquor_c"] = self.cleaned_data["liquor_c"]
        return kept

    def rows(self) -> dict[int, dict[str, Any]]:
        """Number of each jar of which something was written to its data."""
        found: dict[int, dict[str, Any]] = {}
        for name, jar in self.jars.items():
            value = self.cleaned_data.get(name)
            if value in (None, "", False):
                continue
            found[jar.number] = {
                "look": {"look": value},
                "cut": {"share": value},
                "out": {},
                "strength": self._strength(value) if self.what == "strength" else {},
            }[self.what]
        return found


class _OneJarForm(EntryForm):
    """One jar; the number stands in the form so that a correction keeps it."""

    jar = WholeField(label="Which jar", min_value=1, max_value=48)


class StrengthForm(_OneJarForm):
    """What the instrument shows."""

    value = NumberField(
        label="It shows", min_value=0.0, max_value=2000.0,
    )  # fmt: skip
    scale = forms.ChoiceField(
        label="Scale", choices=tuple(SCALE_NAMES.items()), initial=scale_of_the_yard
    )
    liquor_c = TemperatureField(
        label="Warmth of the liquor", required=False, least=-5.0, most=105.0
    )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if "value" in found and "scale" in found:
            try:
                corrected_bk(self.data_of_entry())
            except TanwrightError as error:
                self.add_problem(error, "value")
        return found


class LookForm(_OneJarForm):
    """How the liquor looks in a white cup."""

    look = forms.ChoiceField(
        label="In a white cup, by daylight",
        choices=[(look, look) for look in liquor_looks()],
        widget=forms.RadioSelect,
    )


class CutForm(_OneJarForm):
    """How much of the cut edge is tanned."""

    share = forms.TypedChoiceField(
        label="The cut edge",
        coerce=float,
        choices=[(str(share), words) for share, words in CUT_SHARES],
        widget=forms.RadioSelect,
    )


class WarmthForm(EntryForm):
    """How warm the jars stand, all of them."""

    temperature_c = TemperatureField(label="Warmth of the jars", least=-20.0, most=60.0)


class CookForm(EntryForm):
    """A part of each jar's own material, cooked for it."""

    part_pct = NumberField(
        label="How much of each jar's material, %", min_value=0.1, max_value=100.0,
        help_text="The same part for all jars, on the same day.",
    )  # fmt: skip


class StartForm(CookForm):
    """The patches go in, and what was cooked for their first liquor."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part_pct"].required = False
        self.fields["part_pct"].label = "Cooked for the first liquor, % of each jar's material"


class NoteForm(EntryForm):
    """Words."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].required = True


class EventForm(EntryForm):
    """Something that was done, with nothing to measure."""


class PhotoForm(EntryForm):
    """A picture of the patches, the liquors or the cuts."""

    photo = PhotoField(required=True)

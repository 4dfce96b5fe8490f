"""Forms of this area."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from tanwright.planning.finishing import scale
from tanwright.reference.leathers import leathers
from tanwright.yard.journal.photos import PhotoField
from tanwright.yard.leather.entry_kinds import GRADED, LOOK_WORDS, MEASURED
from tanwright.yard.shell.fields import (
    AreaField,
    MassField,
    NumberField,
    TemperatureField,
    ThicknessField,
)
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.skins.models import Skin

FAT_GOES_ON: Final = ("oil", "oil-fur", "grease")
"""Stages of which it is worth knowing how much was used."""


def aim_choices() -> list[tuple[str, str]]:
    """What a leather may become, with the tannage's own choice first."""
    return [("", "as the tannage was planned"), *((item.id, item.label) for item in leathers())]


class OpenForm(YardForm):
    """A skin that came out of a vat becomes a leather."""

    entry_id = forms.UUIDField(widget=forms.HiddenInput)
    skin = forms.ChoiceField(label="Which skin", widget=forms.RadioSelect)
    name = forms.CharField(label="Own name", max_length=80, required=False)
    aim = forms.ChoiceField(
        label="To become",
        required=False,
        choices=aim_choices,
        help_text="It sets the oil and the last stages.",
    )

    def __init__(self, *args: Any, skins: list[Skin], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["skin"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(str(skin.pk), skin.title) for skin in skins]


class ChangeForm(YardForm):
    """Facts of a leather that are not entries."""

    name = forms.CharField(label="Own name", max_length=80, required=False)
    aim = forms.ChoiceField(label="To become", required=False, choices=aim_choices)


class BegunForm(EntryForm):
    """A stage begins."""

    temperature_c = TemperatureField(
        label="Warmth of the room",
        required=False,
        least=1.0,
        most=60.0,
        help_text="The times follow it. Left empty, 18 °C (64 °F) is taken.",
    )
    used_kg = MassField(
        label="What was used",
        required=False,
        help_text='Of the oil or grease, like "90 g"; may be noted later by a correction.',
    )
    stage = forms.SlugField(widget=forms.HiddenInput, max_length=20)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sent = self.data.get("stage") if self.is_bound else None
        if (sent or self.initial.get("stage")) not in FAT_GOES_ON:
            del self.fields["used_kg"]


class EndedForm(EntryForm):
    """How a stage looked."""

    looked = forms.ChoiceField(
        label="How it looked",
        choices=[(key, text[:1].upper() + text[1:]) for key, text in LOOK_WORDS.items()],
        widget=forms.RadioSelect,
    )
    stage = forms.SlugField(widget=forms.HiddenInput, max_length=20)


class WeighedForm(EntryForm):
    """One leather on the scale."""

    kg = MassField(label="Weight of one", least=0.005, most=200.0)
    state = forms.ChoiceField(
        label="How it was",
        choices=[
            ("damp", "pressed damp, before the oil"),
            ("dry", "air-dry, finished"),
        ],
        widget=forms.RadioSelect,
    )


class MeasuredForm(EntryForm):
    """Thickness and area."""

    thickness_mm = ThicknessField(label="Thickness", required=False, least=0.1, most=30.0)
    place = forms.CharField(
        label="Where it was measured", max_length=60, required=False, help_text="Neck, back, belly."
    )
    area_m2 = AreaField(
        label="Area", required=False, least=0.001, help_text="Laid flat, or length times width."
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not (cleaned.get("thickness_mm") or cleaned.get("area_m2")):
            self.add_error("thickness_mm", "Write the thickness, the area or both.")
        return cleaned


class _JudgedForm(EntryForm):
    """A test; which one stands in the hidden field, and the box follows it."""

    test = forms.ChoiceField(widget=forms.HiddenInput)

    def asked(self) -> str:
        """The test that is entered or corrected."""
        sent = self.data.get("test") if self.is_bound else None
        return str(sent or self.initial.get("test") or "")


class TestedForm(_JudgedForm):
    """A test with a figure."""

    test = forms.ChoiceField(widget=forms.HiddenInput, choices=[(kind, kind) for kind in MEASURED])
    value = NumberField(label="Figure")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.asked() == "shrinkage":
            field = TemperatureField(
                label="It shrank at", help_text="A wet strip, warmed 2 °C (4 °F) a minute."
            )
            field.read_in(self.system)
            self.fields["value"] = field
        elif self.asked() == "boil":
            self.fields["value"].label = "Length left, % of what it was"
            self.fields["value"].help_text = "A strip, one minute in boiling water."
        else:
            self.fields["value"].label = "Seconds until the drop was gone"
            self.fields["value"].help_text = "One drop on the grain; stop at an hour."
        self.order_fields(["value", "happened_at", "note", "entry_id", "test"])


class GradedForm(_JudgedForm):
    """A test by eye and hand, against words."""

    test = forms.ChoiceField(widget=forms.HiddenInput, choices=[(kind, kind) for kind in GRADED])
    value = forms.TypedChoiceField(label="What you see", coerce=float, widget=forms.RadioSelect)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        test = self.asked() if self.asked() in GRADED else GRADED[0]
        field = self.fields["value"]
        assert isinstance(field, forms.TypedChoiceField)
        field.choices = [(f"{row.low:g}", f"{row.low:g}: {row.anchor}") for row in scale(test)]
        if isinstance(self.initial.get("value"), float):
            self.initial["value"] = f"{self.initial['value']:g}"
        self.order_fields(["value", "happened_at", "note", "entry_id", "test"])


class NoteForm(EntryForm):
    """Anything worth remembering."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].required = True


class PhotoForm(EntryForm):
    """A picture of it."""

    photo = PhotoField(required=True)

"""Forms of this area."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any, ClassVar

from django import forms
from django.utils import timezone

from tanwright import units
from tanwright.reference import animals
from tanwright.yard.journal.photos import PhotoField
from tanwright.yard.shell.fields import (
    AmountField,
    AreaField,
    MassField,
    TemperatureField,
    ThicknessField,
    VolumeField,
    WholeField,
)
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.skins.entry_kinds import FLAWS, KEEPINGS, LOOKED, PARTS
from tanwright.yard.skins.ways import DELIME, UNHAIR

ANOTHER = "another"
SAME = ("", "as before")
Choices = list[tuple[str, str]]


def animal_choices() -> Choices:
    """Animals of the reference by name, and another."""
    known = sorted((item.name, item.id) for item in animals.animals())
    return [("", "choose"), *((id, name) for name, id in known), (ANOTHER, "another animal")]


def animal_id(choice: str) -> str:
    """What is kept of a choice: nothing for another animal."""
    return "" if choice == ANOTHER else choice


def stage_choices() -> Choices:
    """Stages at which a skin may be weighed."""
    return [("", "choose"), *((item.id, item.label) for item in animals.stages())]


class NewSkinForm(EntryForm):
    """A new skin: the animal is enough, each further answer sharpens what follows."""

    animal = forms.TypedChoiceField(
        label="Animal",
        choices=animal_choices,
        coerce=animal_id,
        help_text="It tells the usual weight and thickness until you measure. For another animal "
        "measure the thickness: nothing else can be known of it.",
    )
    count = WholeField(
        label="How many alike",
        min_value=1,
        max_value=200,
        initial=1,
        help_text="Like skins that go through the work together stand as one.",
    )
    keeping = forms.ChoiceField(
        label="How it lies now",
        choices=list(KEEPINGS.items()),
        initial="salted",
        help_text="It decides how the skin is soaked back, and for how long.",
    )
    weight = MassField(
        label="Weight of one skin, as it lies",
        required=False,
        least=0.005,
        most=200.0,
        help_text="A kitchen or luggage scale will do. All amounts of lime, water and bark follow "
        "from it.",
    )
    hair_on = forms.BooleanField(
        label="The hair stays on",
        required=False,
        help_text="It is then neither limed nor bated, and tan enters from the flesh side alone.",
    )
    place = forms.CharField(
        label="Where it lies",
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs={"placeholder": "freezer, salt tub, loft"}),
    )
    thickness = ThicknessField(
        label="Thickness",
        required=False,
        most=30.0,
        help_text="At the middle of the back. Time in the vat grows with its square: half a "
        "millimetre tells more than anything else about the day it is through.",
    )
    taken_on = forms.DateField(
        label="Taken off the animal on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="A fresh skin keeps for about a day; the yard reminds you.",
    )
    origin = forms.CharField(label="Where it comes from", max_length=120, required=False)
    name = forms.CharField(label="Own name", max_length=80, required=False)

    def clean_taken_on(self) -> date | None:
        return _has_been(self.cleaned_data["taken_on"])


def _has_been(day: date | None) -> date | None:
    if day is not None and not (day.year >= 1900 and day <= timezone.localdate()):
        raise forms.ValidationError(f"{day} cannot be that day; write a day that has been")
    return day


class ChangeSkinForm(YardForm):
    """The facts of a skin that are not entries."""

    animal = forms.TypedChoiceField(label="Animal", choices=animal_choices, coerce=animal_id)
    count = WholeField(label="How many alike", min_value=1, max_value=200)
    hair_on = forms.BooleanField(label="The hair stays on", required=False)
    taken_on = forms.DateField(
        label="Taken off the animal on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    origin = forms.CharField(label="Where it comes from", max_length=120, required=False)
    name = forms.CharField(label="Own name", max_length=80, required=False)

    def clean_taken_on(self) -> date | None:
        return _has_been(self.cleaned_data["taken_on"])


class WayForm(YardForm):
    """How the hair comes off, and how the lime comes out."""

    unhair = forms.ChoiceField(
        label="How the hair comes off", choices=list(UNHAIR.items()), widget=forms.RadioSelect
    )
    delime = forms.ChoiceField(
        label="How lime or lye comes out", choices=list(DELIME.items()), widget=forms.RadioSelect
    )
    bate = forms.BooleanField(
        label="Bate it for soft leather",
        required=False,
        help_text="A bath of an enzyme after the lime is out: glove leather gets softer, and "
        "looser if it stays too long.",
    )


class WeighedForm(EntryForm):
    """What the scale shows."""

    kg = MassField(
        label="Weight", least=0.005, most=10_000.0, help_text="Drained for ten minutes if wet."
    )
    on_scale = WholeField(
        label="How many lay on the scale", min_value=1, max_value=1000, initial=1, required=False
    )
    stage = forms.ChoiceField(
        label="How the skin was then",
        choices=stage_choices,
        help_text="Before the vat. In the vat its weight is noted with the vat, and afterwards "
        "with the leather.",
    )


class MeasuredForm(EntryForm):
    """Thickness and area."""

    thickness_mm = ThicknessField(
        label="Thickness", required=False, most=30.0, help_text="With a calliper, not pressed."
    )
    part = forms.ChoiceField(
        label="Where",
        choices=[("", "not said"), *PARTS.items()],
        required=False,
        help_text="Measured at several parts their mean is used.",
    )
    area_m2 = AreaField(
        label="Area of one skin", required=False, help_text="Length times width, less the corners."
    )


class MovedForm(EntryForm):
    """Where it lies, and how it keeps."""

    place = forms.CharField(label="Where it lies now", max_length=60, required=False)
    keeping = forms.ChoiceField(
        label="How it keeps there",
        choices=[SAME, *KEEPINGS.items()],
        required=False,
        help_text="Counts until the first soak.",
    )


class FlawForm(EntryForm):
    """A flaw that was seen."""

    what = forms.ChoiceField(label="What", choices=list(FLAWS.items()))
    where = forms.CharField(
        label="Where on the skin",
        max_length=80,
        required=False,
        help_text="Like: left flank, a hand from the edge.",
    )
    photo = PhotoField()


class NoteForm(EntryForm):
    """Words only."""

    note = forms.CharField(label="Note", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))


class PhotoForm(EntryForm):
    """A photo."""

    photo = PhotoField(required=True)


class SmallMassField(AmountField):
    """Kilograms, shown in grams or ounces: what is dosed by the spoon."""

    unit: ClassVar = {"metric": "g", "us": "oz"}
    factor: ClassVar = {"metric": 1000.0, "us": 16.0 / 0.45359237}
    read = staticmethod(units.mass_kg)
    least: ClassVar = 1e-5


class BegunForm(EntryForm):
    """A stage begun: how warm, and what really went in.

    ``initial["amounts"]`` says which amounts may be entered: ``what`` and ``kg`` or ``l``.
    """

    step = forms.CharField(max_length=20, widget=forms.HiddenInput)
    temperature_c = TemperatureField(
        label="Bath or room",
        least=0.1,
        most=60.0,
        help_text="The time that it takes follows from it.",
    )
    place = forms.CharField(label="Where it lies now", max_length=60, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        self.asked: list[dict[str, Any]] = list((kwargs.get("initial") or {}).get("amounts") or [])
        super().__init__(*args, **kwargs)
        for place, row in enumerate(self.asked):
            name = f"amount_{place}"
            field = _field_for(row)
            field.read_in(self.system)
            self.fields[name] = field
            if row.get("used", True):
                self.initial[name] = row.get("kg", row.get("l"))
        amounts = [name for name in self.fields if name.startswith("amount_")]
        self.order_fields(["temperature_c", *amounts, "place"])

    def data_of_entry(self) -> dict[str, Any]:
        data = super().data_of_entry()
        amounts = []
        for place, row in enumerate(self.asked):
            value = data.pop(f"amount_{place}", None)
            if value is not None:
                amounts.append({"what": row["what"], ("kg" if "kg" in row else "l"): value})
        return {**data, "amounts": amounts}


def _field_for(row: dict[str, Any]) -> AmountField:
    label = f"{row['what'][:1].upper()}{row['what'][1:]}"
    kind: Callable[..., AmountField] = VolumeField
    if "kg" in row:
        kind = SmallMassField if row["kg"] < 0.5 else MassField
    hint = row.get("hint", "")
    return kind(label=label, required=False, help_text=hint)


class EndedForm(EntryForm):
    """A look at a running stage."""

    step = forms.CharField(max_length=20, widget=forms.HiddenInput)
    looked = forms.ChoiceField(
        label="What you found", choices=list(LOOKED.items()), widget=forms.RadioSelect
    )
    kg = MassField(
        label="Weight of one skin now",
        required=False,
        least=0.005,
        most=200.0,
        help_text="Drained for ten minutes. The next amounts follow from it.",
    )
    look_again_at = forms.DateTimeField(
        label="If it is not done: look again",
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M", "%Y-%m-%d"],
        help_text="Left empty, the yard reminds you within a day.",
    )
    photo = PhotoField()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = self.initial.get("look_again_at")
        if isinstance(kept, str):
            self.initial["look_again_at"] = datetime.fromisoformat(kept)

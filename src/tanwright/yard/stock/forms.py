"""Forms of this area."""

from __future__ import annotations

from typing import Any

from django import forms

from tanwright.errors import TanwrightError
from tanwright.planning.trial_records import GELATIN_SIGNS, IRON_COLOURS
from tanwright.reference import lots
from tanwright.yard.journal.photos import PhotoField
from tanwright.yard.shell.fields import (
    NumberField,
    TemperatureField,
    ThicknessField,
    VolumeField,
)
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.stock.account import CAUSES
from tanwright.yard.stock.fields import CountedMassField, PlantField
from tanwright.yard.stock.folded import FoldedForm
from tanwright.yard.stock.trials import clean_trial

STATES = (("dry", "dry, as from a loft"), ("fresh", "fresh, with its sap"))
NOT_SAID = ("", "not known")
YES_NO = (NOT_SAID, ("yes", "yes"), ("no", "no"))
_GRINDS = (("coarse", "coarse: chips, strips"), ("fine", "fine: ground or pounded"))
_HISTORY = (
    ("grind", "Pieces", dict(_GRINDS)),
    ("tree_age", "Age of the tree", {"young": "young", "middle": "middle", "old": "old"}),
    (
        "part_of_trunk",
        "Part of the tree",
        {
            "bottom": "bottom of the trunk",
            "middle": "middle of the trunk",
            "top": "top of the trunk",
            "branches": "branches",
            "inner": "inner bark alone",
            "outer": "outer bark alone",
        },
    ),
    ("light", "Where it grew", {"open": "in the open", "shade": "in shade"}),
    ("soil", "Soil", {"limestone": "limestone", "other": "any other"}),
)


def _choices(words: dict[str, str], allowed: tuple[str, ...]) -> list[tuple[str, str]]:
    return [NOT_SAID, *((word, words[word]) for word in allowed)]


_ALLOWED = {
    "grind": lots.GRINDS,
    "tree_age": lots.TREE_AGES,
    "part_of_trunk": lots.TRUNK_PARTS,
    "light": lots.LIGHTS,
    "soil": lots.SOILS,
}


class HistoryFields(forms.Form):
    """How a lot grew and was kept; each answer narrows what is believed of its strength."""

    rained_on = forms.ChoiceField(
        label="Rained on after it was taken",
        choices=YES_NO,
        required=False,
        help_text="Rain washes tannin out: a yes lowers what is expected of it.",
    )
    mouldy = forms.ChoiceField(
        label="Mouldy",
        choices=YES_NO,
        required=False,
        help_text="Seen or smelled. Mould eats tannin, and its dust is bad for the lungs.",
    )
    grind = forms.ChoiceField(label="Pieces", required=False)
    tree_age = forms.ChoiceField(label="Age of the tree", required=False)
    part_of_trunk = forms.ChoiceField(label="Part of the tree", required=False)
    light = forms.ChoiceField(label="Where it grew", required=False)
    soil = forms.ChoiceField(label="Soil", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label, words in _HISTORY:
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.label, field.choices = label, _choices(words, _ALLOWED[name])

    def history(self) -> dict[str, Any]:
        """The answers, as the history of a lot."""
        found: dict[str, Any] = {}
        for name in ("rained_on", "mouldy"):
            if answer := self.cleaned_data.get(name):
                found[name] = answer == "yes"
        for name, _, _ in _HISTORY:
            if answer := self.cleaned_data.get(name):
                found[name] = answer
        return found


def history_initial(history: dict[str, Any]) -> dict[str, Any]:
    """A history as the form shows it."""
    words = {True: "yes", False: "no"}
    return {
        key: words[value] if isinstance(value, bool) else value for key, value in history.items()
    }


class NewLotForm(EntryForm, HistoryFields, FoldedForm):
    """A new lot: the plant is enough, the rest sharpens the answer."""

    more = (
        "gathered_on", "rained_on", "mouldy", "grind", "tree_age", "part_of_trunk", "light", "soil",
        "name",
    )  # fmt: skip
    more_words = "How it grew and was kept: each answer narrows how strong it is"

    material_id = PlantField(
        label="Plant",
        help_text="Start to write and pick one, like English oak bark. Nobody could name it? "
        "Write unknown bark or unknown leaf.",
    )
    kg = CountedMassField(
        label="How much",
        required=False,
        help_text="As it lies, like 9 kg or 3 buckets. It tells how much skin the lot tans.",
    )
    state = forms.ChoiceField(label="Dry or fresh", choices=STATES, initial="dry")
    where = forms.CharField(label="Where it lies", max_length=60, required=False)
    gathered_on = forms.DateField(
        label="Gathered on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Tannin fades over the years in store.",
    )
    name = forms.CharField(label="Own name", max_length=80, required=False)
    came_from = forms.UUIDField(widget=forms.HiddenInput, required=False)

    field_order = ("material_id", "kg", "state", "where", "gathered_on")

    def data_of_entry(self) -> dict[str, Any]:
        return {**super().data_of_entry(), "counted": counted_in(self)}


class ChangeLotForm(YardForm, HistoryFields):
    """The facts of a lot that are not entries."""

    material_id = PlantField(label="Plant")
    name = forms.CharField(label="Own name", max_length=80, required=False)
    gathered_on = forms.DateField(
        label="Gathered on", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )

    field_order = ("material_id", "name", "gathered_on")


def counted_in(form: forms.Form) -> str:
    """How the mass of a valid form was counted in containers; empty when it was weighed."""
    field = form.fields["kg"]
    return field.counted if isinstance(field, CountedMassField) else ""


class GotForm(EntryForm):
    """More of the same came."""

    kg = CountedMassField(
        label="How much came", required=False, help_text="As it lies, like 4 kg or 2 buckets."
    )
    state = forms.ChoiceField(label="Dry or fresh", choices=STATES, initial="dry")
    where = forms.CharField(label="Where it lies now", max_length=60, required=False)

    def data_of_entry(self) -> dict[str, Any]:
        return {**super().data_of_entry(), "counted": counted_in(self)}


class StocktakeForm(EntryForm):
    """What is left, weighed anew."""

    kg = CountedMassField(
        label="What is left", least=0.0, help_text="Weighed or counted now. Write 0 for nothing."
    )


class LostForm(EntryForm):
    """Some of it is gone without a cook."""

    kg = CountedMassField(label="How much")
    cause = forms.ChoiceField(
        label="How it went",
        choices=[(key, words) for key, words in CAUSES.items() if key != "grinding"],
        initial="other",
        required=False,
    )
    why = forms.CharField(label="In your words", max_length=200, required=False)


class DriedForm(EntryForm):
    """A fresh lot has dried."""

    kg = CountedMassField(
        label="What it weighs now",
        required=False,
        help_text="Without a weight, the usual loss of water is taken.",
    )


class GroundForm(EntryForm):
    """It was chopped, ground or pounded."""

    grind = forms.ChoiceField(label="Pieces", choices=_GRINDS, widget=forms.RadioSelect)
    kg = CountedMassField(
        label="What it weighs now",
        required=False,
        help_text="What is missing against before counts as lost with the grinding.",
    )


class MovedForm(EntryForm):
    """It lies somewhere else."""

    where = forms.CharField(label="Where it lies now", max_length=60)


class NoteForm(EntryForm):
    """Anything worth remembering."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].required = True


class PhotoForm(EntryForm):
    """A picture of it."""

    photo = PhotoField(required=True)


class TanninForm(EntryForm):
    """A tannin figure from an analysis or another yard."""

    low_pct = NumberField(label="Tannin from, %", min_value=0.01, max_value=80.0)
    high_pct = NumberField(
        label="to, %",
        min_value=0.01,
        max_value=80.0,
        help_text="Of the lot as it lies. The same figure twice is read within a third of itself.",
    )
    how = forms.CharField(label="Where the figure comes from", max_length=120)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        low, high = cleaned.get("low_pct"), cleaned.get("high_pct")
        if low is not None and high is not None and low > high:
            self.add_error("high_pct", "This must not be below the lower figure.")
        return cleaned


_SCALES = (
    ("bk", "degrees barkometer, °Bk"),
    ("sg", "specific gravity, like 1.012"),
    ("brix", "Brix, by refractometer"),
    ("plato", "Plato, °P"),
    ("tw", "degrees Twaddell, °Tw"),
    ("be", "degrees Baumé, °Bé"),
)
_GELATIN = {
    "curds": "curds",
    "cloudy": "cloudy",
    "hazy": "hazy",
    "none": "nothing to be seen",
}
_IRON = {
    "blue-black": "blue-black",
    "green-black": "green-black",
    "grey": "grey",
    "none": "no change",
}


class TrialForm(EntryForm):
    """A trial cook of a handful: what was weighed and what was seen."""

    mass_kg = CountedMassField(
        label="Cooked", required=False, help_text='250 g tells enough: write "250 g" or 0.25.'
    )
    water_l = VolumeField(
        label="In water", required=False, help_text="Filled up again to this much after straining."
    )
    strength = NumberField(
        label="Strength",
        required=False,
        min_value=0.0,
        max_value=400.0,
    )
    scale = forms.ChoiceField(label="Scale", choices=_SCALES, initial="bk")
    liquor_c = TemperatureField(
        label="Liquor when read", required=False, help_text="Let it cool to the room first."
    )
    calibrated_at_c = TemperatureField(
        label="Printed on the hydrometer", required=False, help_text="Mostly 20 °C, or 60 °F."
    )
    litre_g = NumberField(
        label="Weight of one litre, g",
        required=False,
        min_value=900.0,
        max_value=1400.0,
        write="grams, from 900 to 1400",
        help_text="For a kitchen scale that shows single grams; the jug not counted.",
    )
    gelatin = forms.ChoiceField(
        label="Gelatin and salt", required=False, choices=_choices(_GELATIN, GELATIN_SIGNS)
    )
    iron = forms.ChoiceField(
        label="A drop of iron", required=False, choices=_choices(_IRON, IRON_COLOURS)
    )
    snip_days = NumberField(
        label="Days until a snip of skin was tanned through",
        required=False,
        min_value=0.05,
        max_value=400.0,
        write="days, from 0.05 to 400",
    )
    snip_mm = ThicknessField(label="Thickness of the snip", required=False)
    material_id = forms.CharField(widget=forms.HiddenInput, max_length=60)
    state = forms.ChoiceField(widget=forms.HiddenInput, choices=STATES)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors:
            try:
                clean_trial(self.data_of_entry())
            except TanwrightError as error:
                place = error.place if error.place in self.fields else "mass_kg"
                self.add_problem(error, place)
        return cleaned


class ContainerForm(YardForm):
    """A bucket, a sack, a tub: measured once, counted ever after."""

    name = forms.RegexField(
        label="What you call it",
        regex=r"^[^\W\d_][\w' -]*$",
        max_length=30,
        help_text="One word is best: bucket, sack, tub.",
        error_messages={"invalid": "Begin with a letter, and use letters, numbers and spaces."},
    )
    holds = forms.CharField(
        label="One of it holds",
        max_length=40,
        help_text="Material by weight, like 8 kg, or liquor by litres, like 12 L.",
    )
    of = forms.CharField(
        label="Filled with",
        max_length=60,
        required=False,
        help_text="A bucket of pounded pods and one of strips of bark do not weigh the same.",
    )

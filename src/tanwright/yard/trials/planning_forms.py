"""Forms of the short path to a trial: one for each small page, all of it with defaults."""

from __future__ import annotations

from typing import Any, ClassVar, Final

from django import forms

from tanwright import units
from tanwright.errors import UnknownMaterialError
from tanwright.planning.trials.jars import LITRES_PER_KG
from tanwright.reference import materials
from tanwright.reference.animals import regions
from tanwright.reference.leathers import leathers
from tanwright.yard.shell.fields import (
    AmountField,
    NumberField,
    TemperatureField,
    ThicknessField,
    WholeField,
)
from tanwright.yard.shell.forms import YardForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.fields import PlantField
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.plants import name_of, unclear
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.reckoning import USUAL_DOSE, usual_of

MOST_CHOICES: Final = 60
MOST_PLANTS: Final = 6
SPANS: Final = (
    ("4", "from half to twice the usual amount"),
    ("2.25", "from two thirds to one and a half times"),
    ("9", "from a third to three times"),
)
QUESTIONS: Final = (
    ("which", "Which of these plants: oak or willow, and how do they differ?"),
    ("dose", "How much of this one: is half enough, does twice as much help?"),
    ("blend", "Which blend: two or three plants together, in what parts?"),
    ("pretreatment", "Which way of preparing the skin: longer lime, bate or none?"),
)


class CmField(AmountField):
    """Centimetres."""

    unit: ClassVar = {"metric": "cm", "us": "in"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 2.54}
    read = staticmethod(units.length_cm)
    least: ClassVar = 1.0
    most: ClassVar = 60.0


def _litres_per_kg(text: str) -> float:
    """``"5 L to a kg"`` or ``"0.6 gal to a lb"``, L/kg. Raises InputError."""
    amount, _, of = text.partition(" to a ")
    return units.volume_l(amount) / (units.mass_kg(f"1 {of}") if of else 1.0)


class LiquorField(AmountField):
    """Litres of liquor to a kilogram of wet skin."""

    unit: ClassVar = {"metric": "L to a kg", "us": "gal to a lb"}
    factor: ClassVar = {"metric": 1.0, "us": 0.45359237 / 3.785411784}
    read = staticmethod(_litres_per_kg)
    least: ClassVar = 1.0
    most: ClassVar = 60.0


class QuestionForm(YardForm):
    """What the trial is to find out."""

    question = forms.ChoiceField(
        label="What do you want to know", choices=QUESTIONS, widget=forms.RadioSelect
    )
    name = forms.CharField(
        label="Own name", max_length=80, required=False, help_text='Like "oak against willow".'
    )


class PlantsField(forms.CharField):
    """Plants by any of their names, one a line; the cleaned value is a list of ids."""

    widget = forms.Textarea

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 600)
        super().__init__(**kwargs)
        self.widget.attrs.update({"rows": 3, "spellcheck": "false"})

    def clean(self, value: Any) -> list[str]:
        text = super().clean(value)
        found: list[str] = []
        for line in (part.strip() for part in text.replace(",", "\n").splitlines()):
            if not line:
                continue
            try:
                found.append(materials.find(line).id)
            except UnknownMaterialError:
                error = unclear(line)
                what = f"{error.what[:1].upper()}{error.what[1:]}"
                raise forms.ValidationError(f"{what}; {error.remedy}") from None
        return list(dict.fromkeys(found))

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, list):
            return "\n".join(name_of(str(id)) for id in value)
        return value


class _CompareForm(YardForm):
    """What every question needs: the usual way, and the lots that jars are filled from."""

    tannage = forms.ChoiceField(
        label="Keep the ratios of which vat",
        required=False,
        help_text="Its liquor and its bark to a kg of skin are kept in the jars.",
    )
    usual = PlantField(
        label="What you usually take",
        required=False,
        help_text="The control: every trial holds it. Left empty, the plant of that vat.",
    )
    lots = forms.MultipleChoiceField(
        label="Piles that the jars are filled from",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, trial: Trial, **kwargs: Any) -> None:
        self.trial = trial
        super().__init__(*args, **kwargs)
        vats = Tannage.objects.filter(withdrawn_at=None).exclude(state=Tannage.State.DRAFT)
        self.fields["tannage"].choices = [  # type: ignore[attr-defined]
            ("", "none: I write them down myself"),
            *((str(vat.pk), vat.title) for vat in vats[:MOST_CHOICES]),
        ]
        found = Lot.objects.filter(withdrawn_at=None).exclude(left_kg=0.0)[:MOST_CHOICES]
        choices = [(str(lot.pk), f"{lot.title}, {name_of(lot.material_id)}") for lot in found]
        self.fields["lots"].choices = choices  # type: ignore[attr-defined]
        if not choices:
            del self.fields["lots"]
        usual = usual_of(trial)
        if len(usual) == 1:
            self.initial.setdefault("usual", name_of(next(iter(usual))))

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.errors and not found.get("usual") and not found.get("tannage"):
            self.add_error("usual", "Write a plant, or choose a vat whose plant is taken.")
        return found


class WhichForm(_CompareForm):
    """Plants against the usual one."""

    plants = PlantsField(
        label="Plants to hold against it",
        help_text="One a line. Be sure which plant it is: some look-alikes are poisonous.",
    )
    field_order = ("usual", "plants", "lots", "tannage")

    def clean(self) -> dict[str, Any]:
        found = super().clean()
        others = [id for id in found.get("plants") or [] if id != found.get("usual")]
        if not self.errors and not others:
            self.add_error("plants", "Write a plant that is not the usual one.")
        if len(others) > MOST_PLANTS:
            self.add_error("plants", f"Up to {MOST_PLANTS}: more a home trial cannot tell apart.")
        return found


class BlendForm(_CompareForm):
    """Plants to blend with the usual one."""

    plants = PlantsField(
        label="Plants to blend it with",
        help_text="One or two are best: one a line. The blends between are chosen for you, and "
        "what is scarce gets smaller shares.",
    )
    field_order = ("usual", "plants", "lots", "tannage")

    def clean(self) -> dict[str, Any]:
        found = super().clean()
        others = [id for id in found.get("plants") or [] if id != found.get("usual")]
        if not self.errors and not 1 <= len(others) <= 3:
            self.add_error("plants", "Write one to three plants besides the usual one.")
        return found


class DoseForm(_CompareForm):
    """A ladder of amounts of one plant."""

    doses = WholeField(
        label="How many amounts", min_value=2, max_value=7, initial=4,
        help_text="The usual one among them; each is one jar or more.",
    )  # fmt: skip
    span = forms.ChoiceField(label="How far apart", choices=SPANS, initial="4")
    field_order = ("usual", "doses", "span", "lots", "tannage")


class PretreatmentForm(_CompareForm):
    """Other ways of preparing the skin."""

    usual_way = forms.CharField(
        label="How you usually prepare it", max_length=80, required=False,
        help_text='Like "limed three days, not bated".',
    )  # fmt: skip
    ways = forms.CharField(
        label="Other ways",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One a line, in your own words. Lime and lye burn: gloves and goggles, and the "
        "usual care of their steps.",
    )
    field_order = ("usual_way", "ways", "usual", "lots", "tannage")

    def clean_ways(self) -> list[str]:
        lines = [line.strip()[:80] for line in self.cleaned_data["ways"].splitlines()]
        found = list(dict.fromkeys(line for line in lines if line))
        if not 1 <= len(found) <= MOST_PLANTS:
            raise forms.ValidationError(f"Write one to {MOST_PLANTS} ways, one a line.")
        return found


COMPARE: Final[dict[str, type[_CompareForm]]] = {
    "which": WhichForm,
    "dose": DoseForm,
    "blend": BlendForm,
    "pretreatment": PretreatmentForm,
}


def is_laid_out(trial: Trial) -> bool:
    """Whether its patches lie on drawn offcuts, whose page then says how large they are."""
    return trial.patches.exclude(offcut__rings={}).exists()


class PiecesForm(YardForm):
    """How large the patches are, how many of them, and who grades."""

    width_cm = CmField(
        label="Side of a patch",
        help_text="5 to 8 cm can be bent, cut and graded, and many fit on a leg.",
    )
    height_cm = CmField(label="Other side", required=False, help_text="Left empty: a square.")
    thickness_mm = ThicknessField(
        label="Thickness of the skin, ready for the vat", least=0.3, most=20.0
    )
    skin = forms.ChoiceField(label="From which skin", required=False)
    graders = WholeField(label="How many people will grade", min_value=1, max_value=20, initial=1)
    jars_each = WholeField(
        label="Jars of each treatment",
        min_value=1,
        max_value=4,
        initial=2,
        help_text="Two are far surer than one, and cost no skin: a jar that goes its own way looks "
        "like its treatment.",
    )

    def __init__(self, *args: Any, trial: Trial, **kwargs: Any) -> None:
        self.trial = trial
        self.laid_out = is_laid_out(trial)
        super().__init__(*args, **kwargs)
        skins = Skin.objects.filter(withdrawn_at=None).exclude(stage="leather")[:MOST_CHOICES]
        self.fields["skin"].choices = [  # type: ignore[attr-defined]
            ("", "not on the list"), *((str(skin.pk), skin.title) for skin in skins)
        ]  # fmt: skip
        counts = dict(trial.facts.get("counts") or {})
        for region in regions():
            self.fields[f"n_{region.id}"] = WholeField(
                label=f"Patches from the {region.name}",
                required=False,
                min_value=0,
                max_value=99,
                initial=counts.get(region.id),
            )
        if self.laid_out:
            for name in ("width_cm", "height_cm", "skin", *(f"n_{item.id}" for item in regions())):
                del self.fields[name]
        self.order_fields(["width_cm", "height_cm", "thickness_mm", "skin",
                           *(f"n_{region.id}" for region in regions())])  # fmt: skip

    def counts(self) -> dict[str, int]:
        """Region to how many patches were counted; empty when none were."""
        said = {region.id: self.cleaned_data.get(f"n_{region.id}") for region in regions()}
        return {id: int(many) for id, many in said.items() if many}


class JarsForm(YardForm):
    """What the jars share, and what is kept of the vat."""

    litres_per_kg = LiquorField(
        label="Liquor to wet skin",
        initial=LITRES_PER_KG,
        help_text="Common practice is 3 to 10 L to a kg, 0.4 to 1.2 gal to a lb.",
    )
    dose = NumberField(
        label="Dry material to 1 of wet skin, by weight", min_value=0.05, max_value=20.0,
        initial=USUAL_DOSE,
        help_text="Over the whole tannage. Common practice is 1 to 3.",
    )  # fmt: skip
    temperature_c = TemperatureField(
        label="How warm they stand", required=False, least=-5.0, most=35.0
    )
    move = forms.ChoiceField(
        label="How often the patches will be moved",
        required=False,
        choices=(("", "not said"), ("still", "hardly ever"), ("daily", "about once a day"),
                 ("often", "several times a day")),
    )  # fmt: skip
    leather = forms.ChoiceField(label="Which leather it is for", required=False)
    hair_on = forms.BooleanField(label="The hair stays on", required=False)
    start = forms.DateField(
        label="The patches go in on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(self, *args: Any, trial: Trial, **kwargs: Any) -> None:
        self.trial = trial
        super().__init__(*args, **kwargs)
        self.fields["leather"].choices = [  # type: ignore[attr-defined]
            ("", "not said"), *((item.id, f"{item.id}: {item.label}") for item in leathers())
        ]  # fmt: skip

    def clean_start(self) -> Any:
        day = self.cleaned_data["start"]
        if day and not 2000 <= day.year <= 2100:
            raise forms.ValidationError("Write a day of these years.")
        return day

"""Forms that note something of a tannage."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.template.loader import render_to_string
from django.utils.html import format_html

from tanwright.errors import TanwrightError
from tanwright.planning.looks import liquor_looks
from tanwright.yard.journal.photos import PhotoField
from tanwright.yard.liquors.forms import liquor_choices, lot_choices
from tanwright.yard.liquors.strengths import GRAVITY_TOLD, corrected_bk, is_likely_gravity
from tanwright.yard.liquors.tables import scale_of_the_yard
from tanwright.yard.shell.fields import MassField, NumberField, TemperatureField
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.stock.fields import CountedMassField, CountedVolumeField
from tanwright.yard.tannage.entry_kinds import CUT_PLACES, SMELLS, WEIGHED
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.quick import CUT_SHARES, SCALE_NAMES
from tanwright.yard.tannage.readings import HOTTEST_C

NOT_SAID: Final = ("", "not said")


def _pairs(words: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(word, word) for word in words]


class StrengthForm(EntryForm):
    """What the instrument shows; the yard's own scale stands first."""

    value = NumberField(
        label="It shows",
        min_value=0.0,
        max_value=2000.0,
    )
    scale = forms.ChoiceField(
        label="Scale", choices=tuple(SCALE_NAMES.items()), initial=scale_of_the_yard
    )
    liquor_c = TemperatureField(
        label="Warmth of the liquor",
        required=False,
        least=-5.0,
        most=HOTTEST_C,
        help_text="A warm liquor reads too weak; with its warmth that is put right. Let a hot one "
        "cool first.",
    )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if "value" in found and "scale" in found:
            try:
                corrected_bk(self.data_of_entry())
            except TanwrightError as error:
                self.add_problem(error, "value")
            else:
                if is_likely_gravity(found["value"], found["scale"]):
                    self.add_error("value", GRAVITY_TOLD)
        return found

    def data_of_entry(self) -> dict[str, Any]:
        kept = super().data_of_entry()
        if self.initial.get("calibrated_at_c") is not None:
            kept["calibrated_at_c"] = self.initial["calibrated_at_c"]
        return kept


class CutForm(EntryForm):
    """How much of the cut edge is still pale, chosen by its picture."""

    share = forms.TypedChoiceField(label="The cut edge", coerce=float, widget=forms.RadioSelect)
    place = forms.ChoiceField(
        label="Where",
        required=False,
        choices=[NOT_SAID, *_pairs(CUT_PLACES)],
        initial="neck",
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, hair_on: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        shares = dict(CUT_SHARES)
        if (noted := self.initial.get("share")) is not None and noted not in shares:
            shares[noted] = f"{100 * (1 - noted):.0f} % pale"
        self.fields["share"].choices = [  # type: ignore[attr-defined]
            (str(share), _with_picture(share, label, hair_on))
            for share, label in sorted(shares.items())
        ]


def _with_picture(share: float, label: str, hair_on: bool) -> str:
    drawn = render_to_string("shell/cut_edge.html", {"share": share, "hair_on": hair_on})
    return format_html('<span class="cut-choice"><span aria-hidden="true">{}</span>{}</span>',
                       drawn, label)  # fmt: skip


class LookForm(EntryForm):
    """How the liquor looks in a white cup."""

    look = forms.ChoiceField(
        label="In a white cup, by daylight",
        choices=_pairs(liquor_looks()),
        widget=forms.RadioSelect,
    )


class AcidityForm(EntryForm):
    """pH by strip or meter."""

    ph = NumberField(
        label="pH",
        min_value=0.0,
        max_value=14.0,
    )


class WarmthForm(EntryForm):
    """How warm the vat is."""

    temperature_c = TemperatureField(label="Warmth of the vat", least=-20.0, most=60.0)


class SmellForm(EntryForm):
    """How it smells."""

    smell = forms.ChoiceField(label="It smells", choices=_pairs(SMELLS), widget=forms.RadioSelect)


class WeightForm(EntryForm):
    """Weight of one skin."""

    kg = MassField(label="Weight of one skin")
    what = forms.ChoiceField(
        label="Weighed as", choices=_pairs(WEIGHED), initial="pelt", widget=forms.RadioSelect
    )


class ToppedUpForm(EntryForm):
    """Water that was poured in to the old level."""

    litres = CountedVolumeField(
        label="Water poured in", help_text="Water makes the vat weaker: the forecast reckons so."
    )


class MovedForm(EntryForm):
    """The vat stands elsewhere, or is warmer or colder from now on."""

    where = forms.CharField(label="Where it stands now", max_length=60, required=False)
    temperature_c = TemperatureField(
        label="How warm it is there", required=False, least=-20.0, most=60.0
    )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.errors and not found.get("where") and found.get("temperature_c") is None:
            self.add_error("where", "Write where it stands now, or how warm it is there.")
        return found


class EventForm(EntryForm):
    """Something that happened, with nothing to measure."""

    def data_of_entry(self) -> dict[str, Any]:
        c = self.initial.get("temperature_c")
        return super().data_of_entry() if c is None else {"temperature_c": c}


class NoteForm(EntryForm):
    """Words."""

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.errors and not found.get("note"):
            self.add_error("note", "Write what you saw or did.")
        return found


class PhotoForm(EntryForm):
    """A picture of the cut, the liquor or the skin."""

    photo = PhotoField(required=True)


class PourForm(EntryForm):
    """A ready liquor poured in: one that is on the list, or another of a known strength."""

    litres = CountedVolumeField(label="How much")
    liquor = forms.ChoiceField(
        label="Of which liquor",
        required=False,
        help_text="Its kept strength counts, and what is left of it is brought up to date.",
    )
    bk = NumberField(
        label="Or its strength, °Bk at 15.6 °C",
        required=False,
        min_value=0.0,
        max_value=300.0,
        help_text="Only for a liquor that is not on the list.",
    )
    how = forms.ChoiceField(
        label="Taken out",
        choices=(("swap", "as much weak liquor first"), ("top-up", "nothing, only poured in")),
        initial="swap",
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["liquor"].choices = [  # type: ignore[attr-defined]
            ("", "another, not on the list"), *liquor_choices()
        ]  # fmt: skip


class CookInForm(EntryForm):
    """Material cooked in liquor of the vat and poured back."""

    lot = forms.ChoiceField(label="Of which lot")
    kg = CountedMassField(label="How much of it")
    in_litres = CountedVolumeField(
        label="Cooked in", required=False, help_text="Liquor taken from the vat for the cook."
    )

    def __init__(self, *args: Any, tannage: Tannage | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        used = (
            tuple(
                str(id)
                for id in tannage.materials.exclude(lot=None).values_list("lot_id", flat=True)
            )
            if tannage
            else ()
        )
        choices = lot_choices(used, self.system)
        self.fields["lot"].choices = sorted(choices, key=lambda pair: pair[0] not in used)  # type: ignore[attr-defined]


class TakeOutForm(EntryForm):
    """Which skins come out."""

    skins = forms.MultipleChoiceField(
        label="Which skins come out", widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, tannage: Tannage | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        inside = tannage.skins.filter(places__taken_out_at=None, places__tannage=tannage) \
            if tannage else ()  # fmt: skip
        choices = [(str(skin.pk), skin.title) for skin in inside]
        self.fields["skins"].choices = choices  # type: ignore[attr-defined]
        self.initial.setdefault("skins", [value for value, _ in choices])


class GateForm(EntryForm):
    """The questions that are asked before anything is called leather."""

    thick = forms.ChoiceField(
        label="A fresh cut at the thickest place: is any pale or glassy line left?",
        choices=(("no", "no line"), ("yes", "a line is left")),
        widget=forms.RadioSelect,
    )
    raw = forms.ChoiceField(
        label="Does any part still feel like raw skin: slippery, rubbery, see-through?",
        choices=(("no", "no part"), ("yes", "some part")),
        widget=forms.RadioSelect,
    )
    bend = forms.ChoiceField(
        label="A snip dried in warm air and bent, grain out: does it crack or go like horn?",
        choices=(("no", "it bends"), ("yes", "it cracks or is like horn")),
        widget=forms.RadioSelect,
    )

    @property
    def is_done(self) -> bool:
        """Whether all three say that it is leather."""
        return all(self.cleaned_data[name] == "no" for name in ("thick", "raw", "bend"))


class KeepLiquorForm(EntryForm):
    """What is kept of a vat that is empty of skins."""

    litres = CountedVolumeField(label="How much you keep")
    where = forms.CharField(label="Where it stands", max_length=60, required=False)
    name = forms.CharField(label="Own name", max_length=80, required=False)


class MoveSkinForm(EntryForm):
    """A skin that goes on in another vat."""

    skin = forms.ChoiceField(label="Which skin")
    to = forms.ChoiceField(
        label="Into which vat",
        help_text="A vat that is planned, not one that runs: its forecast would take this skin "
        "for a raw one.",
    )

    def __init__(self, *args: Any, tannage: Tannage | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if tannage is None:
            return
        inside = tannage.skins.filter(places__taken_out_at=None, places__tannage=tannage)
        planned = Tannage.objects.filter(
            withdrawn_at=None, state__in=(Tannage.State.DRAFT, Tannage.State.PLANNED)
        ).exclude(pk=tannage.pk)[:100]
        self.fields["skin"].choices = [(str(skin.pk), skin.title) for skin in inside]  # type: ignore[attr-defined]
        self.fields["to"].choices = [  # type: ignore[attr-defined]
            ("", "a new vat"), *((str(other.pk), other.title) for other in planned)
        ]  # fmt: skip
        self.fields["to"].required = False

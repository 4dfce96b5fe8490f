"""Forms of this area."""

from __future__ import annotations

import uuid
from typing import Any, Final

from django import forms

from tanwright.errors import TanwrightError
from tanwright.reference.liquors import looks
from tanwright.units import System, format_mass, format_volume
from tanwright.yard.journal.photos import PhotoField
from tanwright.yard.liquors.entry_kinds import MOST_LOTS, clean_cooked
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.liquors.strengths import (
    GRAVITY_TOLD,
    SCALES,
    corrected_bk,
    is_likely_gravity,
)
from tanwright.yard.liquors.tables import scale_of_the_yard, tools_of_the_yard
from tanwright.yard.shell.fields import NumberField, TemperatureField, VolumeField
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.stock.fields import CountedMassField, CountedVolumeField, LongSelect
from tanwright.yard.stock.folded import FoldedForm
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.plants import name_of
from tanwright.yard.stock.tables import material_table

MOST_CHOICES: Final = 100
WATERS: Final = (("1", "the first water"), ("2", "the second"), ("3", "the third"),
                 ("4", "the fourth"))  # fmt: skip


def lot_choices(keep: tuple[str, ...] = (), system: System = "metric") -> list[tuple[str, str]]:
    """Lots to cook from, the newest first; those with ids ``keep`` even when used up."""
    found = Lot.objects.filter(withdrawn_at__isnull=True).exclude(left_kg=0.0)
    lots = list(found[:MOST_CHOICES])
    missing = [id for id in keep if id not in {str(lot.pk) for lot in lots}]
    lots += list(Lot.objects.filter(pk__in=[id for id in missing if _is_id(id)]))
    return [(str(lot.pk), _lot_words(lot, system)) for lot in lots]


def _is_id(text: str) -> bool:
    try:
        uuid.UUID(text)
    except ValueError:
        return False
    return True


def _lot_words(lot: Lot, system: System) -> str:
    left = "not weighed" if lot.left_kg is None else f"{format_mass(lot.left_kg, system)} left"
    name = f"{lot.name}, " if lot.name else ""
    return f"{name}{name_of(lot.material_id)} ({lot.code}, {left})"


def liquor_choices(but: uuid.UUID | None = None) -> list[tuple[str, str]]:
    """Liquors of which something is left, the newest first."""
    found = Liquor.objects.filter(withdrawn_at__isnull=True).exclude(state=Liquor.State.GONE)
    return [
        (str(liquor.pk), f"{liquor.title}{f', {liquor.where}' if liquor.where else ''}")
        for liquor in (found if but is None else found.exclude(pk=but))[:MOST_CHOICES]
    ]


class CookedForm(EntryForm, FoldedForm):
    """A cook: of which lots, in how much water, how warm and how long, and what came of it.

    In a correction (``initial`` holds ``lots``) the lots stand, and only amounts may be changed.
    """

    more = ("lot_2", "kg_2", "lot_3", "kg_3", "in_liquor", "in_litres", "into", "name")
    more_words = "Another lot in the same pot, an older liquor, another tub"

    water_l = CountedVolumeField(
        label="In water",
        least=0.0,
        help_text="Rain water is best. 4 to 6 litres to each kg of bark (½ to ¾ gal to each lb).",
    )
    which = forms.ChoiceField(
        label="Which water of this material",
        choices=WATERS,
        initial="1",
        help_text="A second water on the same bark takes nothing more of the lot.",
    )
    in_liquor = forms.ChoiceField(
        label="In an older liquor",
        required=False,
        widget=LongSelect,
        help_text="Fresh bark cooked in a weak liquor makes it stronger.",
    )
    in_litres = VolumeField(
        label="How much of the older liquor",
        required=False,
        help_text="All that is left, if you leave it empty.",
    )
    temperature_c = TemperatureField(
        label="How warm",
        required=False,
        help_text="Barks and woods at 70 to 90 °C (160 to 195 °F), leaves and roots not above "
        "60 °C (140 °F); never a hard boil.",
    )
    hours = NumberField(
        label="How many hours", required=False, min_value=0.05, max_value=2000.0, initial=3
    )
    volume_l = CountedVolumeField(
        label="What came out",
        required=False,
        help_text="Strained and cooled. Left empty, it is reckoned from the water and the bark.",
    )
    into = forms.ChoiceField(label="Poured into", required=False, widget=LongSelect)
    where = forms.CharField(label="Where it stands", max_length=60, required=False)
    name = forms.CharField(label="Own name", max_length=80, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        old: dict[str, float] = self.initial.get("lots") or {}
        self.correcting = "plants" in self.initial
        names = []
        rows = list(old.items()) if self.correcting else [*old.items(), *[("", 0.0)] * MOST_LOTS]
        choices = lot_choices(tuple(old), self.system)
        for index, (lot, kg) in enumerate(rows[:MOST_LOTS], 1):
            names += [f"lot_{index}", f"kg_{index}"]
            self._add_row(index, lot, kg, choices)
        if self.correcting:
            for name in ("into", "name", "in_liquor"):
                del self.fields[name]
        else:
            others = liquor_choices()
            for name, first in (("into", "a tub of its own"), ("in_liquor", "no, in water alone")):
                field = self.fields[name]
                assert isinstance(field, forms.ChoiceField)
                field.choices = [("", first), *others]
        self.order_fields([*names, *(name for name in self.fields if name not in names)])

    def _add_row(self, index: int, lot: str, kg: float, choices: list[tuple[str, str]]) -> None:
        first = index == 1
        label = "Lot" if first else f"And lot {index}"
        self.fields[f"lot_{index}"] = forms.ChoiceField(
            label=label,
            required=first,
            widget=LongSelect,
            choices=[("", "choose one" if first else "no other"), *choices],
            initial=lot or None,
            disabled=self.correcting,
        )
        mass = CountedMassField(
            label="How much of it" if first else f"How much of lot {index}",
            required=first,
            least=1e-3,
            initial=kg or None,
        )
        mass.read_in(self.system)
        self.fields[f"kg_{index}"] = mass

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for index in range(1, MOST_LOTS + 1):
            lot, kg = cleaned.get(f"lot_{index}"), cleaned.get(f"kg_{index}")
            if lot and kg is None and f"kg_{index}" not in self.errors:
                self.add_error(f"kg_{index}", "Say how much of it was cooked.")
            if kg and not lot and f"lot_{index}" not in self.errors:
                self.add_error(f"lot_{index}", "Say of which lot.")
        chosen = [cleaned.get(f"lot_{n}") for n in range(1, MOST_LOTS + 1)]
        named = [lot for lot in chosen if lot]
        if len(set(named)) < len(named):
            self.add_error("lot_2", "The same lot stands here twice; add its amounts up.")
        if not self.errors:
            self._all_of_the_older()
            try:
                clean_cooked(self.data_of_entry())
            except TanwrightError as error:
                self.add_problem(error, _FIELD_OF.get(error.place, error.place))
        if not self.errors:
            self._more_out_than_in()
        return cleaned

    def _all_of_the_older(self) -> None:
        """An older liquor of which no amount is said is cooked in as a whole."""
        id = self.cleaned_data.get("in_liquor")
        if id and self.cleaned_data.get("in_litres") is None:
            left = Liquor.objects.filter(pk=id).values_list("volume_l", flat=True).first()
            self.cleaned_data["in_litres"] = left or None

    def _more_out_than_in(self) -> None:
        """Refuse more liquor than there was water, whole bark counted as sap."""
        came = self.cleaned_data.get("volume_l")
        water = self.cleaned_data["water_l"] + (self.cleaned_data.get("in_litres") or 0.0)
        if came is None or came <= water + sum(self.kg_by_lot().values()):
            return
        self.add_error(
            "volume_l",
            f"{format_volume(came, self.system)} cannot come out of "
            f"{format_volume(water, self.system)}; check the unit, or note water that was added "
            "afterwards on the page of the liquor (Thin it).",
        )

    def kg_by_lot(self) -> dict[str, float]:
        """Kilograms by lot id."""
        found = {}
        for index in range(1, MOST_LOTS + 1):
            lot = self.cleaned_data.get(f"lot_{index}")
            if lot:
                found[str(lot)] = float(self.cleaned_data[f"kg_{index}"])
        return found

    def data_of_entry(self) -> dict[str, Any]:
        kept = {
            name: self.cleaned_data[name]
            for name in ("water_l", "in_litres", "temperature_c", "hours", "volume_l", "where")
            if self.cleaned_data.get(name) not in (None, "")
        }
        lots = self.kg_by_lot()
        plants = self.initial.get("plants") if self.correcting else _plants(tuple(lots))
        return {**kept, "which": int(self.cleaned_data["which"]), "lots": lots, "plants": plants}


_FIELD_OF: Final = {"water": "water_l", "lots": "lot_1", "plants": "lot_1", "": "water_l"}


def _plants(ids: tuple[str, ...]) -> dict[str, Any]:
    return {
        str(lot.pk): {k: v for k, v in material_table(lot).items() if k != "have"}
        for lot in Lot.objects.filter(pk__in=ids)
    }


class StrengthForm(EntryForm):
    """A strength as the instrument showed it."""

    value = NumberField(label="Strength", widget=forms.TextInput(attrs={"autofocus": True}))
    scale = forms.ChoiceField(label="Scale", choices=tuple(SCALES.items()))
    liquor_c = TemperatureField(
        label="Liquor when read",
        required=False,
        least=0.0,
        help_text="A warm liquor reads too weak on a hydrometer; with its warmth it is corrected.",
    )
    calibrated_at_c = forms.FloatField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "scale" not in self.initial:
            tools = tools_of_the_yard()
            self.initial["scale"] = scale_of_the_yard()
            if tools.instrument == "hydrometer":
                self.initial["calibrated_at_c"] = tools.calibrated_at_c

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors:
            try:
                corrected_bk(self.data_of_entry())
            except TanwrightError as error:
                self.add_problem(error, error.place)
            else:
                if is_likely_gravity(cleaned["value"], cleaned["scale"]):
                    self.add_error("value", GRAVITY_TOLD)
        return cleaned


class LookForm(EntryForm):
    """How it looks in a white cup."""

    look = forms.ChoiceField(
        label="In a white cup, by daylight",
        choices=tuple((look.words[0], look.words[0]) for look in looks()),
        widget=forms.RadioSelect,
    )


class JoinedForm(EntryForm):
    """Another liquor poured into this one. In a correction the other liquor stands."""

    other = forms.ChoiceField(label="Which liquor is poured in", widget=LongSelect)
    litres = CountedVolumeField(
        label="How much of it", required=False, help_text="All that is left, if you leave it empty."
    )

    def __init__(self, *args: Any, liquor: Liquor | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["other"]
        assert isinstance(field, forms.ChoiceField)
        if liquor is None:
            del self.fields["other"]
        else:
            field.choices = [("", "choose one"), *liquor_choices(liquor.pk)]


class SplitForm(EntryForm):
    """Some of it goes into a tub of its own."""

    litres = CountedVolumeField(label="How much")
    where = forms.CharField(label="Where it stands", max_length=60, required=False)


class FromVatForm(EntryForm):
    """What was kept from a vat, corrected."""

    litres = CountedVolumeField(label="How much")
    bk = NumberField(
        label="Strength, °Bk at 15.6 °C", required=False, min_value=0.0, max_value=400.0
    )
    where = forms.CharField(label="Where it stands", max_length=60, required=False)

    def data_of_entry(self) -> dict[str, Any]:
        kept = {"materials": self.initial["materials"]} if self.initial.get("materials") else {}
        return {**kept, **super().data_of_entry()}


class ThinnedForm(EntryForm):
    """Water poured in."""

    litres = CountedVolumeField(label="Water poured in")


class MeasuredForm(EntryForm):
    """What is left, looked at anew."""

    litres = CountedVolumeField(
        label="What is left", least=0.0, help_text="From here on the yard reckons with this."
    )


class MovedForm(EntryForm):
    """It stands somewhere else."""

    where = forms.CharField(label="Where it stands now", max_length=60)


class ThrownForm(EntryForm):
    """Thrown away, all or some."""

    litres = CountedVolumeField(
        label="How much", required=False, help_text="All of it, if you leave it empty."
    )
    to = forms.CharField(
        label="Where it went",
        max_length=120,
        required=False,
        help_text="Where your local rules let it go: which field, compost or drain.",
    )


class NothingForm(EntryForm):
    """Only when, and a note."""


class NoteForm(EntryForm):
    """Anything worth remembering."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].required = True


class PhotoForm(EntryForm):
    """A picture of it."""

    photo = PhotoField(required=True)


class NameForm(YardForm):
    """What it is called."""

    name = forms.CharField(label="Own name", max_length=80, required=False)

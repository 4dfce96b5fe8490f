"""Forms of this area."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from tanwright.errors import TanwrightError
from tanwright.reference import materials
from tanwright.yard.gathering.entry_kinds import RAINS
from tanwright.yard.gathering.fields import (
    AcrossField,
    FurtherPlantField,
    LandField,
    TrunkLengthField,
)
from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.trunks import clean_trunks
from tanwright.yard.journal.photos import PhotoField
from tanwright.yard.plants.here_forms import PositionField
from tanwright.yard.shell.fields import NumberField, ThicknessField, WholeField
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.stock.fields import CountedMassField, PlantField
from tanwright.yard.stock.folded import FoldedForm
from tanwright.yard.stock.forms import STATES, HistoryFields, counted_in
from tanwright.yard.stock.plants import name_of, written_name

_DATE = {"type": "date"}


def _day(label: str, help_text: str = "") -> forms.DateField:
    return forms.DateField(
        label=label, required=False, help_text=help_text, widget=forms.DateInput(attrs=_DATE)
    )


class PlaceFields(forms.Form):
    """What is known of a place."""

    what = forms.ChoiceField(label="What it is", choices=Place.What.choices)
    plant = PlantField(
        label="Plant",
        required=False,
        help_text="What it gives, like English oak bark. Nobody could name it? Write unknown bark.",
    )
    whose = forms.CharField(
        label="Whose it is",
        max_length=60,
        required=False,
        help_text="A role is enough: the mill, the forest office, a neighbour. No names.",
    )
    position = PositionField(
        label="Position",
        required=False,
        help_text="Latitude and longitude like 51.2, 9.4, or a geo: address from your phone's "
        "map. It stays in this yard.",
    )
    way = forms.CharField(label="How to get there", max_length=200, required=False)
    name = forms.CharField(label="Own name", max_length=80, required=False)
    ended_on = _day(
        "Felled, fallen or dead since",
        "Bark that lies or hangs dead loses tannin to every rain.",
    )
    plant_2 = FurtherPlantField(label="A second plant", required=False, beside="plant")
    plant_3 = FurtherPlantField(label="A third plant", required=False, beside="plant")
    stools = WholeField(
        label="Stools or bushes",
        min_value=1,
        max_value=1_000_000,
        write="a whole number, 1 or more",
        required=False,
        help_text="Stumps that are cut and grow again.",
    )
    area_m2 = LandField(label="Land it covers", required=False)
    compartments = WholeField(
        label="Parts cut in turn",
        min_value=1,
        max_value=200,
        required=False,
        help_text="A stand that is cut one part a year gives every year.",
    )

    def facts(self) -> dict[str, Any]:
        """The answers, as the fields of a place."""
        cleaned = self.cleaned_data
        latitude, longitude = cleaned.get("position") or (None, None)
        plants = [cleaned.get(name) for name in _PLANTS]
        same = ("what", "whose", "way", "name", "ended_on", "stools", "area_m2", "compartments")
        return {
            **{name: cleaned[name] for name in same},
            "plants": " ".join(dict.fromkeys(plant for plant in plants if plant)),
            "latitude": latitude,
            "longitude": longitude,
        }


_PLANTS = ("plant", "plant_2", "plant_3")
_FOLDED = ("name", "way", "ended_on", "plant_2", "plant_3", "stools", "area_m2", "compartments")


def facts_initial(place: Place) -> dict[str, Any]:
    """What the form of a place starts with."""
    known: dict[str, Any] = {
        name: getattr(place, name)
        for name in ("what", "whose", "way", "name", "ended_on", "stools", "area_m2",
                     "compartments")
    }  # fmt: skip
    for field, id in zip(_PLANTS, place.plant_ids, strict=False):
        known[field] = written_plant(id)
    if place.latitude is not None and place.longitude is not None:
        known["position"] = (place.latitude, place.longitude)
    return known


def written_plant(material_id: str) -> str:
    """What a plant box shows for a plant; the id itself for one that is no longer in the tables."""
    try:
        return written_name(materials.material(material_id))
    except TanwrightError:
        return material_id


class PermissionFields(forms.Form):
    """Whether one may gather there."""

    permission = forms.ChoiceField(
        label="Leave to gather",
        choices=Place.Permission.choices,
        help_text="Wood, bark and leaves belong to whoever owns the land. What the law of your "
        "place asks for beyond that, its authority tells you.",
    )
    by_role = forms.CharField(
        label="By whom", max_length=60, required=False, help_text="A role, like the forest office."
    )
    until = _day("Until", "Empty: until further notice.")


class NewPlaceForm(EntryForm, PlaceFields, PermissionFields, FoldedForm):
    """A place comes on the list: what it is is enough."""

    more = (*_FOLDED, "until")
    more_words = "More of it: when it fell, further plants, stools of a stand"
    field_order = ("what", "plant", "permission", "by_role", "whose", "position", *_FOLDED, "until")


class ChangePlaceForm(YardForm, PlaceFields, FoldedForm):
    """The facts of a place that are not entries."""

    more = tuple(name for name in _FOLDED if name != "name")
    more_words = "More of it: when it fell, further plants, stools of a stand"
    field_order = ("what", "plant", "name", "whose", "position", *more)


class VisitedForm(EntryForm):
    """Somebody was there."""

    again_on = _day("Look again on", "Empty: the season decides.")


class PermissionForm(EntryForm, PermissionFields):
    """Leave was asked for, given or refused."""

    field_order = ("permission", "by_role", "until")


class RainedForm(EntryForm):
    """Rain fell on what lies there."""

    rain = forms.ChoiceField(
        label="How much", choices=list(RAINS.items()), widget=forms.RadioSelect
    )


class CutForm(EntryForm):
    """Part of a stand was cut."""

    share_pct = NumberField(
        label="How much of the stand, %",
        min_value=0.1,
        max_value=100.0,
        required=False,
        help_text="Empty: all of it, or one of the parts that are cut in turn.",
    )
    part = forms.CharField(
        label="Which part", max_length=60, required=False, help_text="Like: north end, part 3."
    )


class GoneForm(EntryForm):
    """There is nothing left to get."""

    why = forms.CharField(
        label="Why", max_length=200, required=False, help_text="Carted off, rotten, sold."
    )


class NoteForm(EntryForm):
    """Anything worth remembering."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].required = True


class AnyNoteForm(EntryForm):
    """When, and a note, for entries that hold nothing else."""


class PhotoForm(EntryForm):
    """A picture of it."""

    photo = PhotoField(required=True)


ROWS = 4
_TRUNK = ("diameter_cm", "length_m", "count", "bark_mm")


class TrunksForm(EntryForm, FoldedForm):
    """Trunks of one plant: how many, how thick, how long."""

    more = tuple(f"{name}_{row}" for row in range(1, ROWS) for name in _TRUNK)
    more_words = "Further trunks, thicker or thinner"

    material_id = PlantField(label="Plant")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        initial = dict(kwargs.pop("initial", None) or {})
        for row, trunk in enumerate(initial.pop("trunks", ())[:ROWS]):
            initial |= {f"{key}_{row}": value for key, value in trunk.items()}
        if initial.get("material_id"):
            initial["material_id"] = written_plant(str(initial["material_id"]))
        super().__init__(*args, initial=initial, **kwargs)
        self.order_fields(["material_id", *(f"{name}_{row}" for row in range(ROWS)
                                            for name in _TRUNK)])  # fmt: skip

    def trunks(self) -> list[dict[str, Any]]:
        """The rows that were filled in."""
        found = []
        for row in range(ROWS):
            trunk = {name: self.cleaned_data.get(f"{name}_{row}") for name in _TRUNK}
            if trunk["diameter_cm"] is not None:
                found.append({key: value for key, value in trunk.items() if value is not None})
        return found

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for row in range(ROWS):
            rest = [cleaned.get(f"{name}_{row}") for name in _TRUNK if name != "diameter_cm"]
            if any(value is not None for value in rest) and (
                cleaned.get(f"diameter_cm_{row}") is None
                and f"diameter_cm_{row}" not in self.errors
            ):
                self.add_error(f"diameter_cm_{row}", "Write how thick this one is.")
        if not self.errors:
            try:
                clean_trunks(self.data_of_entry())
            except TanwrightError as error:
                self.add_problem(error, f"{error.place}_0" if error.place in _TRUNK else None)
        return cleaned

    def data_of_entry(self) -> dict[str, Any]:
        return {"material_id": self.cleaned_data["material_id"], "trunks": self.trunks()}


def _trunk_fields(row: int) -> dict[str, forms.Field]:
    which = "" if row == 0 else f", {('second', 'third', 'fourth')[row - 1]} size"
    return {
        f"diameter_cm_{row}": AcrossField(
            label=f"Across, over the bark{which}",
            required=row == 0,
            help_text="In the middle of a log; breast high on a whole tree." if row == 0 else "",
        ),
        f"length_m_{row}": TrunkLengthField(
            label=f"Length{which}",
            required=False,
            help_text="Of the piece you peel. Empty: the whole tree." if row == 0 else "",
        ),
        f"count_{row}": WholeField(
            label=f"How many alike{which}",
            min_value=1,
            max_value=1000,
            required=False,
        ),
        f"bark_mm_{row}": ThicknessField(
            label=f"Thickness of the bark{which}", required=False, most=150.0
        ),
    }


for _row in range(ROWS):
    TrunksForm.base_fields |= _trunk_fields(_row)


class GatheredAgainForm(EntryForm):
    """What was gathered, for correcting: the lot it went to stays."""

    material_id = forms.CharField(widget=forms.HiddenInput, max_length=60)
    kg = CountedMassField(label="How much", required=False)
    state = forms.ChoiceField(label="Dry or fresh", choices=STATES)
    where = forms.CharField(label="Where it lies now", max_length=60, required=False)

    def data_of_entry(self) -> dict[str, Any]:
        return {**super().data_of_entry(), "counted": counted_in(self)}


NEW_LOT, LATER = "new", "later"


class GatheredForm(EntryForm, HistoryFields, FoldedForm):
    """Something was gathered: into stock as a lot of its own or with others of its kind."""

    more = ("rained_on", "mouldy", "grind", "tree_age", "part_of_trunk", "light", "soil")
    more_words = "How it grew: each answer narrows how strong a lot of its own is"

    material_id = forms.ChoiceField(label="Plant")
    kg = CountedMassField(
        label="How much",
        required=False,
        help_text="As it is now, like 9 kg or 3 buckets. Not weighed? Leave it empty.",
    )
    state = forms.ChoiceField(label="Dry or fresh", choices=STATES, initial="fresh")
    into = forms.ChoiceField(label="Where it goes in your stock")
    where = forms.CharField(label="Where it lies now", max_length=60, required=False)
    field_order = ("material_id", "kg", "state", "into", "where")

    def __init__(
        self,
        *args: Any,
        plants: Sequence[str] = (),
        lots: Sequence[tuple[str, str]] = (),
        may_open: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        plant, into = self.fields["material_id"], self.fields["into"]
        if plants:
            assert isinstance(plant, forms.ChoiceField)
            plant.choices = [(id, name_of(id)) for id in plants]
        else:
            self.fields["material_id"] = PlantField(label="Plant")
        assert isinstance(into, forms.ChoiceField)
        own = [(NEW_LOT, "a lot of its own")] if may_open else []
        into.choices = [*own, *lots, (LATER, "not in stock yet")]

    def data_of_entry(self) -> dict[str, Any]:
        data = super().data_of_entry()
        for name in (*self.more, "into"):
            data.pop(name, None)
        return {**data, "counted": counted_in(self)}

"""What somebody wants a plant for, as a form whose answers make an address to keep."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.http import QueryDict
from django.utils import timezone

from tanwright.errors import TanwrightError
from tanwright.planning.choosing import Purpose, Weights
from tanwright.planning.choosing.purpose import Near
from tanwright.reference import animals, leathers, world
from tanwright.units import format_mass
from tanwright.yard.plants.forms import PICK, PlaceField
from tanwright.yard.plants.here_forms import DistanceField
from tanwright.yard.plants.models import HomePlace
from tanwright.yard.shell.fields import MassField, NumberField, WholeField
from tanwright.yard.shell.forms import YardForm

WEIGHTS: Final = {
    "quality": "Good leather",
    "amount": "Little to gather",
    "evidence": "Sure figures",
    "source": "Kind to the plant",
    "effort": "Little trouble",
}
_PLACES: Final = {"reach_km": "reach"}
"""Field of the form that holds what the engine calls otherwise."""


class PurposeForm(YardForm):
    """Place, day, skin and leather, and how much each side of a plant counts."""

    place = PlaceField(
        label="Where", required=False, help_text="A country or region; empty for the whole world."
    )
    day = forms.DateField(label="Going out on", widget=forms.DateInput(attrs={"type": "date"}))
    animal = forms.ChoiceField(label="Skin of", error_messages=PICK)
    skin_kg = MassField(
        label="Weight of the skin, fresh", required=False, least=0.01, most=2000.0,
        help_text="As it comes off the animal, all skins together. Empty: one of usual weight.",
    )  # fmt: skip
    leather = forms.ChoiceField(label="Leather", error_messages=PICK)
    reach = DistanceField(
        label="How far you go",
        required=False,
        help_text="Counts where plants were seen; empty when it does not matter.",
    )
    latitude = NumberField(
        label="Latitude, degrees", required=False, min_value=-90.0, max_value=90.0,
        write="degrees from -90 (south) to 90 (north)",
        help_text="Moves the season; south with a minus, like -34. Empty: as the sources have it.",
    )  # fmt: skip
    beginner = forms.BooleanField(label="Proved plants before curiosities", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._choices("animal", [(item.id, item.name) for item in animals.animals()])
        self._choices("leather", [(item.id, item.label) for item in leathers.leathers()])
        for name, label in WEIGHTS.items():
            self.fields[name] = WholeField(label=label, min_value=0, max_value=10)

    def _choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    @property
    def told(self) -> str:
        """What is asked, in one line; empty while something is wrong."""
        if self.errors:
            return ""
        said = self.cleaned_data
        kg = said["skin_kg"] or usual_kg(said["animal"])
        where = said["place"].name if said["place"] else "anywhere in the world"
        words = dict(self.fields["animal"].choices)  # type: ignore[attr-defined]
        return (
            f"For {format_mass(kg, self.system)} of fresh {words[said['animal']]} skin, "
            f"{said['leather']} leather, {where}, {said['day'].day} {said['day']:%B %Y}"
        )

    @property
    def counts(self) -> str:
        """The weights in one line; empty while something is wrong."""
        if self.errors:
            return ""
        told = [f"{label.lower()} {self.cleaned_data[name]}" for name, label in WEIGHTS.items()]
        return f"What counts: {', '.join(told)}"

    @property
    def weights(self) -> list[forms.BoundField]:
        """The five boxes of weights."""
        return [self[name] for name in WEIGHTS]

    def purpose(self, home: HomePlace | None, seen: dict[str, Near]) -> Purpose | None:
        """What is asked, or None with the trouble beside its field."""
        if not self.is_valid():
            return None
        said = self.cleaned_data
        where = said["place"]
        at_home = home is not None and (where is None or where.code == home.place_code)
        try:
            return Purpose(
                place=where,
                latitude=said["latitude"],
                day=said["day"],
                leather=said["leather"],
                animal=said["animal"],
                skin_kg=said["skin_kg"] or usual_kg(said["animal"]),
                reach_km=said["reach"],
                seen=seen if at_home else {},
                beginner=said["beginner"],
                weights=Weights(**{name: float(said[name]) for name in WEIGHTS}),
                altitude_m=(home.altitude_m or 0.0) if at_home and home else 0.0,
            )
        except TanwrightError as error:
            self.add_problem(error, _PLACES.get(error.place, error.place) or None)
            return None


def usual_kg(animal: str) -> float:
    """Fresh weight of one skin of usual size, kg."""
    low, high = animals.animal(animal).green_kg
    return 0.5 * (low + high)


def said_or_usual(given: QueryDict, home: HomePlace | None) -> QueryDict:
    """What was asked; whatever was left out is what a first visit would ask."""
    usual = {
        "place": _name_of(home),
        "day": timezone.localdate().isoformat(),
        "animal": "goat",
        "skin_kg": "",
        "leather": "soft",
        "reach": f"{home.reach_km:g} km" if home is not None and home.has_position else "",
        **{name: f"{getattr(Weights(), name):g}" for name in WEIGHTS},
    }
    at_home = given.get("place", usual["place"]) == usual["place"]
    if home is not None and home.latitude is not None and at_home:
        usual["latitude"] = f"{home.latitude:g}"
    if "quality" not in given:  # the whole form was not sent: an empty box says nothing
        usual["beginner"] = "on"
    data = given.copy()
    for name, value in usual.items():
        if name not in data:
            data[name] = value
    return data


def _name_of(home: HomePlace | None) -> str:
    if home is None or not home.place_code:
        return ""
    try:
        return world.place(home.place_code).name
    except TanwrightError:
        return ""

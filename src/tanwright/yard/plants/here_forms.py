"""Forms of what grows here."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from tanwright import units
from tanwright.planning.occurrences.distances import KM_PER_MILE, distance_km
from tanwright.planning.occurrences.nearby import LONGEST_REACH_KM
from tanwright.planning.position import position, position_words
from tanwright.yard.plants.forms import PlaceField
from tanwright.yard.shell.fields import AmountField, ReadField
from tanwright.yard.shell.forms import YardForm


class DistanceField(AmountField):
    """Kilometres."""

    unit: ClassVar = {"metric": "km", "us": "mi"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / KM_PER_MILE}
    read = staticmethod(distance_km)
    least: ClassVar = 0.5
    most: ClassVar = LONGEST_REACH_KM


class HeightField(AmountField):
    """Metres above the sea."""

    unit: ClassVar = {"metric": "m", "us": "ft"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 0.3048}
    least: ClassVar = -430.0
    most: ClassVar = 6000.0

    @staticmethod
    def read(text: object, *, place: str = "") -> float:
        below = str(text).strip().startswith("-")
        metres = units.length_mm(str(text).strip().lstrip("-+"), place=place) / 1000.0
        return -metres if below else metres


class PositionField(ReadField):
    """Degrees or a geo: address; cleaned to (latitude, longitude) or ``None``."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 120)
        super().__init__(**kwargs)

    def read(self, text: str) -> tuple[float, float]:
        return position(text)

    def prepare_value(self, value: Any) -> Any:
        return position_words(*value) if isinstance(value, tuple) else value


class HomeForm(YardForm):
    """Where the yard is."""

    place = PlaceField(
        label="Country or region",
        required=False,
        help_text="Tells which plants of the reference grow there.",
    )
    position = PositionField(
        label="Position",
        required=False,
        help_text="Latitude and longitude like 51.2, 9.4, or a geo: address from a map on your "
        "phone. Two figures behind the point are near enough.",
    )
    altitude = HeightField(
        label="Height above the sea",
        required=False,
        help_text="Spring comes later higher up.",
    )
    reach = DistanceField(label="How far you go for bark")
    name = forms.CharField(
        label="What you call it", required=False, max_length=80, help_text="Like: the valley."
    )

    def fields_of_home(self) -> dict[str, Any]:
        """What :func:`here_services.set_home` takes."""
        said = self.cleaned_data
        latitude, longitude = said["position"] or (None, None)
        return {
            "place_code": said["place"].code if said["place"] else "",
            "name": said["name"],
            "latitude": latitude,
            "longitude": longitude,
            "altitude_m": said["altitude"],
            "reach_km": said["reach"],
        }


class RecordsForm(YardForm):
    """A file of occurrence records."""

    file = forms.FileField(
        label="File of records",
        max_length=200,
        help_text="A Darwin Core Archive (zip), or one table (CSV, TSV, or zipped), up to 1 GB.",
        widget=forms.FileInput(attrs={"accept": ".zip,.csv,.tsv,.txt"}),
        error_messages={
            "required": "Choose a file first.",
            "empty": "This file is empty; download it again.",
        },
    )

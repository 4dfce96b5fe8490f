"""Fields of this area: trunks, land, and several plants."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from tanwright import units
from tanwright.yard.shell.fields import AmountField
from tanwright.yard.stock.fields import PlantField


def _metres(text: object, *, place: str = "") -> float:
    return units.length_cm(text, place=place) / 100.0


class AcrossField(AmountField):
    """Thickness of a trunk over its bark, cm."""

    unit: ClassVar = {"metric": "cm", "us": "in"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 2.54}
    read = staticmethod(units.length_cm)
    least: ClassVar = 1.0
    most: ClassVar = 400.0


class TrunkLengthField(AmountField):
    """Length of a piece of trunk, m."""

    unit: ClassVar = {"metric": "m", "us": "ft"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 0.3048}
    read = staticmethod(_metres)
    least: ClassVar = 0.1
    most: ClassVar = 60.0


class LandField(AmountField):
    """Land that a stand covers, m²."""

    unit: ClassVar = {"metric": "m2", "us": "sq ft"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 0.09290304}
    read = staticmethod(units.area_m2)
    least: ClassVar = 1.0
    most: ClassVar = 1e7


class FurtherPlantField(PlantField):
    """One more plant: it picks from the list of the field ``beside`` instead of its own."""

    def __init__(self, *, beside: str, **kwargs: Any) -> None:
        super().__init__(widget=forms.TextInput(), **kwargs)
        self.widget.attrs["list"] = f"id_{beside}_list"

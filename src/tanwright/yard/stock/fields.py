"""Fields of this area: amounts that may be counted in the yard's own containers, and plants."""

from __future__ import annotations

from typing import Any

from django import forms

from tanwright.errors import UnknownMaterialError
from tanwright.planning.containers import mass_in, volume_in
from tanwright.reference import materials
from tanwright.yard.shell.fields import MassField, ReadField, VolumeField
from tanwright.yard.stock.plants import choices, unclear
from tanwright.yard.stock.tables import measures


def _mass(text: object, *, place: str = "") -> float:
    return mass_in(text, measures(), place=place)


def _volume(text: object, *, place: str = "") -> float:
    return volume_in(text, measures(), place=place)


class CountedMassField(MassField):
    """Kilograms, also as "3 buckets"; ``counted`` is how it was written in containers, if so."""

    read = staticmethod(_mass)
    counted: str = ""

    def clean(self, value: Any) -> Any:
        amount = super().clean(value)
        text = str(value or "").strip()
        plain = text.casefold()
        self.counted = text if any(m.name.casefold() in plain for m in measures()) else ""
        return amount


class CountedVolumeField(VolumeField):
    """Litres, also as "3 buckets"."""

    read = staticmethod(_volume)


class ListInput(forms.TextInput):
    """A text box with a list to pick from; any text may be written."""

    template_name = "stock/list_input.html"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        list_id = f"{context['widget']['attrs'].get('id', name)}_list"
        context["widget"]["attrs"]["list"] = list_id
        return {**context, "list_id": list_id, "listed": choices()}


class LongSelect(forms.Select):
    """A choice of many: drawn in one go, since a template for each option takes its time."""

    template_name = "stock/long_select.html"


class PlantField(ReadField):
    """A plant part by any of its names; the cleaned value is its id."""

    widget = ListInput
    nothing = ""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("spellcheck", "false")

    def read(self, text: str) -> str:
        try:
            return materials.find(text).id
        except UnknownMaterialError:
            raise unclear(text) from None

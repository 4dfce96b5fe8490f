"""Amount fields: a bare number is in the unit shown beside the box, any other unit may be typed.

Cleaned values are floats in SI-based units: kg, L, mm, m2, °C.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, ClassVar

from django import forms

from tanwright import units
from tanwright.errors import TanwrightError

_BARE = re.compile(r"^[+-]?(\d+(?:[.,]\d*)?|[.,]\d+)$")


class AmountField(forms.CharField):
    """One amount above nought, read as the reader's unit when it is written bare."""

    unit: ClassVar[dict[units.System, str]] = {"metric": "", "us": ""}
    factor: ClassVar[dict[units.System, float]] = {"metric": 1.0, "us": 1.0}
    """How many of the shown units make one of the kept ones."""
    read: ClassVar[Callable[..., float]]
    least: ClassVar[float] = 1e-4
    most: ClassVar[float] = 1e5

    def __init__(self, **kwargs: Any) -> None:
        self.least_value = kwargs.pop("least", type(self).least)
        self.most_value = kwargs.pop("most", type(self).most)
        kwargs.setdefault("max_length", 40)
        super().__init__(**kwargs)
        self.system: units.System = "metric"
        self.widget.attrs.setdefault("inputmode", "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")

    def read_in(self, system: units.System) -> None:
        """Take and show amounts in the units of ``system``."""
        self.system = system

    @property
    def unit_shown(self) -> str:
        """The unit beside the box."""
        return self.unit[self.system]

    def prepare_value(self, value: Any) -> Any:
        """A kept float as it is shown in the box; what was typed stays as it was."""
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            return value
        return f"{self.to_shown(float(value)):.5g}"

    def to_shown(self, value: float) -> float:
        """A kept value in the shown unit."""
        return value * self.factor[self.system]

    def clean(self, value: Any) -> Any:
        text = super().clean(value).strip()
        if not text:
            return None
        if _BARE.match(text):
            text = f"{text.replace(',', '.')} {self.unit_shown}"
        try:
            amount = type(self).read(text)
        except TanwrightError as error:
            remedy = error.remedy or f"write a number, like 2.5 {self.unit_shown}"
            raise forms.ValidationError(f"{error.what}; {remedy}") from None
        if not self.least_value <= amount <= self.most_value:
            raise forms.ValidationError(self.out_of_bounds(text))
        return amount

    def out_of_bounds(self, text: str) -> str:
        """What is wrong with an amount that was read but cannot be."""
        return f'"{text}" cannot be right; check the number and the unit'


class ReadField(forms.CharField):
    """A box whose words the engine reads; what it refuses is told beside the box."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 80)
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def read(self, text: str) -> Any:
        """What ``text`` means. Raises TanwrightError."""
        raise NotImplementedError

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return self.nothing
        try:
            return self.read(text)
        except TanwrightError as error:
            remedy = f"; {error.remedy}" if error.remedy else ""
            what = f"{error.what[:1].upper()}{error.what[1:]}"
            raise forms.ValidationError(f"{what}{remedy}") from None

    nothing: ClassVar[Any] = None
    """What an empty box means."""


class MassField(AmountField):
    """Kilograms."""

    unit: ClassVar = {"metric": "kg", "us": "lb"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 0.45359237}
    read = staticmethod(units.mass_kg)


class VolumeField(AmountField):
    """Litres."""

    unit: ClassVar = {"metric": "L", "us": "gal"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 3.785411784}
    read = staticmethod(units.volume_l)


class ThicknessField(AmountField):
    """Millimetres."""

    unit: ClassVar = {"metric": "mm", "us": "in"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 25.4}
    read = staticmethod(units.length_mm)
    most: ClassVar = 100.0


class AreaField(AmountField):
    """Square metres."""

    unit: ClassVar = {"metric": "m2", "us": "sq ft"}
    factor: ClassVar = {"metric": 1.0, "us": 1.0 / 0.09290304}
    read = staticmethod(units.area_m2)
    most: ClassVar = 20.0


class TemperatureField(AmountField):
    """Degrees Celsius."""

    unit: ClassVar = {"metric": "°C", "us": "°F"}
    read = staticmethod(units.temperature_c)
    least: ClassVar = -40.0
    most: ClassVar = 110.0

    def to_shown(self, value: float) -> float:
        return value if self.system == "metric" else value * 1.8 + 32.0

"""Amounts and numbers as they are typed: in text boxes, with a comma or a point.

A bare amount is in the unit shown beside the box, any other unit may be typed; cleaned amounts are
floats in SI-based units: kg, L, mm, m2, °C. Browsers send nothing at all for "2,5" in a box of
type "number", and a reading would be lost without a word: so no field here draws one.
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


class _TypedNumber(forms.IntegerField):
    """A number without a unit of its own.

    Whatever is wrong with it, one sentence says what to write: "Write ``write``."
    """

    widget = forms.TextInput
    kind: ClassVar[str]
    like: ClassVar[str]
    inputmode: ClassVar[str]
    unit_shown = ""
    """The unit beside the box."""

    def __init__(self, *, write: str = "", **kwargs: Any) -> None:
        low, high = kwargs.get("min_value"), kwargs.get("max_value")
        told = f"Write {write or self._between(low, high)}."
        own = kwargs.pop("error_messages", None) or {}
        kwargs["error_messages"] = {**dict.fromkeys(_REFUSALS, told), **own}
        super().__init__(**kwargs)

    def _between(self, low: float | None, high: float | None) -> str:
        if low is None and high is None:
            return f"{self.kind}, like {self.like}"
        if high is None:
            return f"{self.kind}, {low:.10g} or more"
        return f"{self.kind} {'up' if low is None else f'from {low:.10g}'} to {high:.10g}"

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        attrs = super().widget_attrs(widget)
        if widget.is_hidden:
            return attrs
        return {**attrs, "inputmode": self.inputmode, "autocomplete": "off"}


_REFUSALS = ("required", "invalid", "min_value", "max_value")


class NumberField(_TypedNumber, forms.FloatField):
    """A number with a point or a comma before its decimals."""

    kind = "a number"
    like = "2.5"
    inputmode = "decimal"

    def to_python(self, value: Any) -> Any:
        text = value.strip() if isinstance(value, str) else value
        if isinstance(text, str) and text.count(",") == 1 and "." not in text:
            text = text.replace(",", ".")
        return super().to_python(text)


class WholeField(_TypedNumber):
    """A whole number; 1,000 and 1.000 are refused: some mean a thousand by it, others one."""

    kind = "a whole number"
    like = "2"
    inputmode = "numeric"
    re_decimal = re.compile(r"[.,]0?\s*$")


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

"""Amounts and dates in the reader's units: ``{{ skin.weight_kg|mass:system }}``."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django import template
from django.utils import timezone

from tanwright import units
from tanwright.yard.shell.cut_edge import CutEdge, cut_edge

register = template.Library()


@register.filter
def mass(kg: float | None, system: units.System = "metric") -> str:
    """Kilograms as ``"2.2 kg"`` or ``"4.9 lb"``; nothing for ``None``."""
    return "" if kg is None else units.format_mass(float(kg), system)


@register.filter
def volume(litres: float | None, system: units.System = "metric") -> str:
    """Litres as ``"40 L"`` or ``"11 gal"``; nothing for ``None``."""
    return "" if litres is None else units.format_volume(float(litres), system)


@register.filter
def temperature(celsius: float | None, system: units.System = "metric") -> str:
    """Degrees Celsius as ``"12 °C"`` or ``"54 °F"``; nothing for ``None``."""
    return "" if celsius is None else units.format_temperature(float(celsius), system)


@register.filter
def thickness(mm: float | None, system: units.System = "metric") -> str:
    """Millimetres as ``"2.1 mm"`` or inches; nothing for ``None``."""
    if mm is None:
        return ""
    return units.format_range(float(mm), float(mm), "thickness", system)


@register.filter
def area(m2: float | None, system: units.System = "metric") -> str:
    """Square metres, or square feet; nothing for ``None``."""
    if m2 is None:
        return ""
    if system == "us":
        return f"{units.rounded(float(m2) / 0.09290304)} sq ft"
    return f"{units.rounded(float(m2))} m²"


@register.filter
def day(when: date | datetime | None) -> str:
    """``"20 March"``, with the year when it is not this one, "today", "yesterday", "tomorrow"."""
    if when is None:
        return ""
    if isinstance(when, datetime):
        when = timezone.localtime(when).date() if timezone.is_aware(when) else when.date()
    today = timezone.localdate()
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}.get((when - today).days)
    if near:
        return near
    text = f"{when.day} {when:%B}"
    return text if when.year == today.year else f"{text} {when.year}"


@register.filter
def moment(when: datetime | None) -> str:
    """``"20 March, 18:05"``."""
    if when is None:
        return ""
    local = timezone.localtime(when)
    return f"{day(local.date())}, {local:%H:%M}"


@register.filter
def get(mapping: dict[str, Any], key: str) -> Any:
    """The value of ``mapping`` at ``key``, or nothing."""
    return mapping.get(key)


@register.filter
def as_cut(share: float | None, hair_on: bool = False) -> CutEdge:
    """The cut edge with ``share`` (0 to 1) of the thickness coloured; pale for ``None``."""
    return cut_edge(float(share or 0.0), from_flesh_only=bool(hair_on))


@register.filter
def spaced(key: str) -> str:
    """``"hot-liquor"`` as ``"hot liquor"``: a key of the reference as a reader's words."""
    words = str(key).replace("-", " ").replace("_", " ")
    return _NAMES.get(words, words)


_NAMES = {"q fever": "Q fever", "ph": "pH"}
"""What small letters would spell wrongly."""

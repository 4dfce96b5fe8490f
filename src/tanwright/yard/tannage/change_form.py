"""The form that changes facts of a vat after the path is done."""

from __future__ import annotations

from typing import Any

from django import forms

from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.planning_forms import AimForm, VatForm

NAMES = ("name", "vat", "vat_volume_l", "temperature_c", "move", "water", "leather", "start",
         "wanted_by")  # fmt: skip


class FactsForm(VatForm, AimForm):
    """All that may be changed of a vat, its own name first."""

    name = forms.CharField(label="Own name", max_length=80, required=False)
    field_order = NAMES


def initial_of(tannage: Tannage) -> dict[str, Any]:
    """What it is now."""
    return {name: getattr(tannage, name) for name in NAMES}

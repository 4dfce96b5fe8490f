"""What the page of components shows: a form in every state, the cut edge, the colours."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from tanwright.units import System
from tanwright.yard.shell.fields import MassField, TemperatureField
from tanwright.yard.shell.forms import EntryForm

COLOURS: Final = (
    "bark", "leather", "fawn", "pelt", "gall", "lichen", "madder",
    "liquor-1", "liquor-2", "liquor-3", "liquor-4", "liquor-5",
)  # fmt: skip
SHARES: Final = (0.0, 0.3, 0.6, 0.9, 1.0)


class ExampleForm(EntryForm):
    """One field of each sort."""

    weight = MassField(label="Weight", help_text="As it drips, without the tub.")
    temperature = TemperatureField(label="Liquor", required=False)
    animal = forms.ChoiceField(label="Animal", choices=[("deer", "deer"), ("goat", "goat")])
    smell = forms.ChoiceField(
        label="Smell",
        choices=[("sweet", "sweet, like bark"), ("sour", "sour"), ("rotten", "rotten")],
        widget=forms.RadioSelect,
        required=False,
    )
    hair_on = forms.BooleanField(label="The hair stays on", required=False)


def shown(system: System) -> dict[str, Any]:
    """The context of the page, amounts in ``system``; the weight is wrong on purpose."""
    sent = {"weight": "a lot", "animal": "deer", "happened_at": "2026-03-20T18:05"}
    sent["entry_id"] = "6f2c8a4e-2f0b-4a53-9a11-0d7a5c1e4b21"
    return {
        "form": ExampleForm(sent, system=system),
        "shares": SHARES,
        "colours": COLOURS,
    }

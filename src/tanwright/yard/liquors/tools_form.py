"""The form of what the yard measures and cooks with."""

from __future__ import annotations

from django import forms

from tanwright.yard.liquors.strengths import SCALES
from tanwright.yard.shell.fields import TemperatureField
from tanwright.yard.shell.forms import YardForm
from tanwright.yard.stock.fields import CountedVolumeField


class ToolsForm(YardForm):
    """What the yard measures and cooks with."""

    instrument = forms.ChoiceField(
        label="For the strength of a liquor",
        choices=(
            ("none", "nothing: looks in a white cup"),
            ("hydrometer", "a hydrometer or barkometer"),
            ("refractometer", "a refractometer"),
        ),
        help_text="A brewing hydrometer costs little and narrows every forecast.",
    )
    scale = forms.ChoiceField(
        label="Scale that you read",
        required=False,
        choices=(("", "the usual one of the instrument"), *SCALES.items()),
    )
    calibrated_at_c = TemperatureField(
        label="Calibrated at",
        required=False,
        least=0.0,
        most=45.0,
        help_text="Printed on the hydrometer: mostly 20 °C, a barkometer 60 °F (15.6 °C).",
    )
    pot_l = CountedVolumeField(
        label="Largest pot", required=False, help_text="What it holds when it may still boil up."
    )
    litre_scale = forms.BooleanField(
        label="A kitchen scale that shows single grams",
        required=False,
        help_text="A weighed litre tells the strength nearly as well as a hydrometer.",
    )

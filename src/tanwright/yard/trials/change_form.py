"""The forms that change a trial, and that take what it found to a skin."""

from __future__ import annotations

from typing import Any

from django import forms

from tanwright.reference.leathers import leathers
from tanwright.yard.shell.fields import MassField
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage, TannageSkin
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.reckoning import treatments_of


def leather_choices() -> list[tuple[str, str]]:
    """The kinds of leather, none first."""
    return [("", "not said"), *((item.id, f"{item.id}: {item.label}") for item in leathers())]


class ChangeForm(YardForm):
    """Facts of a trial that are not entries."""

    name = forms.CharField(label="Own name", max_length=80, required=False)
    leather = forms.ChoiceField(
        label="Which leather it is for", required=False, choices=leather_choices
    )


class ToSkinForm(EntryForm):
    """Which treatment, and on which skins."""

    treatment = forms.ChoiceField(label="What was best", widget=forms.RadioSelect)
    skins = forms.MultipleChoiceField(
        label="For which skins", required=False, widget=forms.CheckboxSelectMultiple
    )
    pelt_kg = MassField(
        label="Weight of the wet skins together",
        help_text="Ready for the vat, wrung out: the amounts are reckoned from it.",
        least=0.05,
        most=500.0,
    )

    def __init__(self, *args: Any, trial: Trial, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["treatment"].choices = [  # type: ignore[attr-defined]
            (item.key, item.label) for item in treatments_of(trial)
        ]
        elsewhere = TannageSkin.objects.filter(
            taken_out_at=None, tannage__state=Tannage.State.RUNNING
        ).values("skin")
        free = (
            Skin.objects.filter(withdrawn_at=None)
            .exclude(pk__in=elsewhere)
            .exclude(stage__in=("vat", "leather"))[:60]
        )
        choices = [(str(skin.pk), skin.title) for skin in free]
        self.fields["skins"].choices = choices  # type: ignore[attr-defined]
        if not choices:
            del self.fields["skins"]

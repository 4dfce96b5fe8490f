"""What is left in a vat when the skins are out."""

from __future__ import annotations

from django import forms

from tanwright.planning.keeping import take_back
from tanwright.yard.shell.fields import VolumeField
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.sheet import started_on


class KeepLiquorForm(EntryForm):
    litres = VolumeField(label="How much is kept", least=0.05)
    where = forms.CharField(label="Where it stands", max_length=60, required=False)


def strength_now(tannage: Tannage) -> float | None:
    """The vat's strength as last forecast, °Bk at 15.6 °C; ``None`` without a forecast."""
    latest = tannage.forecasts.filter(answer__isnull=False).order_by("-made_at").first()
    if latest is None or latest.answer is None:
        return None
    fan = take_back(latest.answer).strength_fan
    day = (latest.seen_from - started_on(tannage)).days
    before = fan.p50[fan.day <= max(day, 0)]
    return float(before[-1]) if before.size else float(fan.p50[0])

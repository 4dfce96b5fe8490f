"""Liquors: what was cooked, how strong it is and where it stands; and what one measures with."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from tanwright.yard.journal.models import Record


class Liquor(Record):
    """A liquor in its own tub, bucket or barrel (the one in a vat belongs to its tannage)."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_liquor",
    )

    class State(models.TextChoices):
        KEPT = "kept", "kept"
        SPENT = "spent", "spent, kept for a first bath"
        GONE = "gone", "used up or thrown away"

    # Kept state, folded from the entries
    where = models.CharField("where it stands", max_length=60, blank=True, editable=False)
    state = models.CharField(
        max_length=6, choices=State.choices, default=State.KEPT, editable=False
    )
    volume_l = models.FloatField(null=True, editable=False)
    """What is left, litres, never below nought; None when nobody said."""
    over_l = models.FloatField(default=0.0, editable=False)
    """What was poured out beyond all that had been noted, litres; a look at the tub clears it."""
    strength_bk = models.FloatField(null=True, editable=False)
    """Latest reading, or reckoned when liquors were joined, degrees barkometer at 15.6 °C."""
    strength_how = models.CharField(max_length=8, blank=True, editable=False)
    """``read``, or ``mixed`` when it was reckoned from liquors that were joined; empty before."""
    strength_at = models.DateTimeField(null=True, editable=False)
    liquor_c = models.FloatField(null=True, editable=False)
    """Its temperature at the latest reading that told one, °C."""
    expected_low_bk = models.FloatField(null=True, editable=False)
    expected_bk = models.FloatField(null=True, editable=False)
    expected_high_bk = models.FloatField(null=True, editable=False)
    """What the cook should give (5th, 50th, 95th percentile), at 15.6 °C."""
    made_at = models.DateTimeField(null=True, editable=False)
    spent_at = models.DateTimeField(null=True, editable=False)
    materials = models.JSONField(default=dict, editable=False)
    """Material whose tannin is in what is left of it, kg by material id; of a second or third
    water, so much as its first water would have given the same tannin."""

    class Meta:
        ordering: ClassVar = ["-created_at"]


class Tools(models.Model):
    """What the yard measures and cooks with: one row."""

    instrument = models.CharField(max_length=15, default="none")
    """hydrometer, refractometer or none"""
    scale = models.CharField(max_length=6, blank=True)
    calibrated_at_c = models.FloatField(null=True, blank=True)
    pot_l = models.FloatField(null=True, blank=True)
    litre_scale = models.BooleanField(default=False)

    class Meta:
        verbose_name_plural = "tools"

    def __str__(self) -> str:
        return "tools of the yard"

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

    where = models.CharField("where it stands", max_length=60, blank=True)

    # Kept state, folded from the entries
    state = models.CharField(
        max_length=6, choices=State.choices, default=State.KEPT, editable=False
    )
    volume_l = models.FloatField(null=True, editable=False)
    strength_bk = models.FloatField(null=True, editable=False)
    """Latest reading, or reckoned when liquors were joined, degrees barkometer at 15.6 °C."""
    strength_at = models.DateTimeField(null=True, editable=False)
    made_at = models.DateTimeField(null=True, editable=False)
    materials = models.JSONField(default=dict, editable=False)
    """Material cooked into what is left of it, kg by material id."""

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

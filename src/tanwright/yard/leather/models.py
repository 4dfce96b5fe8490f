"""Leather: what came out of the vat, how it was finished and what it proved to be."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from tanwright.yard.journal.models import Record
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage


class Leather(Record):
    """One skin after its tannage; of like skins that went through together, figures are of one."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_leather",
    )

    tannage = models.ForeignKey(Tannage, on_delete=models.PROTECT, related_name="leathers")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="leathers")
    aim = models.CharField("leather", max_length=5, blank=True)
    """Soft, bag, firm or sole; empty: that of the tannage."""

    # Kept state, folded from the entries
    step = models.CharField(max_length=20, blank=True, editable=False)
    """Key of the finishing stage that runs now; empty when none does."""
    step_since = models.DateTimeField(null=True, editable=False)
    step_temperature_c = models.FloatField(null=True, editable=False)
    next_step = models.CharField(max_length=20, blank=True, editable=False)
    """Key of the stage to begin next; empty while one runs and when all are done."""
    next_since = models.DateTimeField(null=True, editable=False)
    """When the stage before it ended; None: since it left the vat."""
    finished_at = models.DateTimeField(null=True, editable=False)
    damp_kg = models.FloatField(null=True, editable=False)
    """Pressed damp, before oiling."""
    weight_kg = models.FloatField(null=True, editable=False)
    """Air-dry, finished."""
    area_m2 = models.FloatField(null=True, editable=False)
    thickness_mm = models.FloatField(null=True, editable=False)
    degree_pct = models.FloatField(null=True, editable=False)
    """Degree of tannage from the mass account, g fixed tannin per 100 g hide substance."""

    class Meta:
        ordering: ClassVar = ["-created_at"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["tannage", "skin"], name="one_leather_of_a_skin")
        ]

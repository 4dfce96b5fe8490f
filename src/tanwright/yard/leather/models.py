"""Leather: what came out of the vat, how it was finished and what it proved to be."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from tanwright.yard.journal.models import Record
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage


class Leather(Record):
    """One skin after its tannage."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_leather",
    )

    tannage = models.ForeignKey(Tannage, on_delete=models.PROTECT, related_name="leathers")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="leathers")

    # Kept state, folded from the entries
    step = models.CharField(max_length=20, blank=True, editable=False)
    step_since = models.DateTimeField(null=True, editable=False)
    finished_at = models.DateTimeField(null=True, editable=False)
    weight_kg = models.FloatField(null=True, editable=False)
    area_m2 = models.FloatField(null=True, editable=False)
    thickness_mm = models.FloatField(null=True, editable=False)
    degree_pct = models.FloatField(null=True, editable=False)
    """Degree of tannage from the mass account, g fixed tannin per 100 g hide substance."""

    class Meta:
        ordering: ClassVar = ["-created_at"]

"""Skins: one record for each skin, or for like skins that go through the work together."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from tanwright.yard.journal.models import Record


class Skin(Record):
    """A skin from the freezer on. What was measured is in its entries; the latest stands here."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_skin",
    )

    animal = models.CharField(max_length=30, blank=True)
    """Animal of the reference; empty for another one, which then needs a thickness."""
    count = models.PositiveIntegerField("how many", default=1)
    hair_on = models.BooleanField("hair stays on", default=False)
    origin = models.CharField(max_length=120, blank=True)
    taken_on = models.DateField("taken off the animal on", null=True, blank=True)
    unhair = models.CharField(max_length=20, blank=True)
    """Chosen way of unhairing, a key of planning.preparation; empty until chosen."""
    delime = models.CharField(max_length=20, blank=True)

    # Kept state, folded from the entries
    stage = models.CharField(max_length=10, default="green", editable=False)
    """Stage of the engine (green, salted, dried, soaked, limed, delimed), then vat, leather."""
    place = models.CharField(max_length=60, blank=True, editable=False)
    weight_kg = models.FloatField(null=True, editable=False)
    """Latest weight of one skin, at ``weighed_at_stage``."""
    weighed_at_stage = models.CharField(max_length=10, blank=True, editable=False)
    thickness_mm = models.FloatField(null=True, editable=False)
    area_m2 = models.FloatField(null=True, editable=False)
    step = models.CharField(max_length=20, blank=True, editable=False)
    """Key of the stage of preparation that runs now; empty when none does."""
    step_since = models.DateTimeField(null=True, editable=False)
    step_temperature_c = models.FloatField(null=True, editable=False)

    class Meta:
        ordering: ClassVar = ["-created_at"]

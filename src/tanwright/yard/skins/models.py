"""Skins: one record for each skin, or for like skins that go through the work together."""

from __future__ import annotations

from typing import ClassVar, Final

from django.db import models

from tanwright.yard.journal.models import Record

RAW_STAGES: Final = ("green", "salted", "dry-salted", "dried")
IN_VAT: Final = "vat"
LEATHER: Final = "leather"
LAST_CHECK: Final = "last-check"
"""What the keys of the last stage of every way begin with."""


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
    bate = models.BooleanField("bated before the vat", default=False)

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
    step_done = models.CharField(max_length=20, blank=True, editable=False)
    """Key of the last stage of preparation that ended well."""
    look_again_at = models.DateTimeField(null=True, editable=False)
    """When to look again at a running stage that was not done at the last look."""
    keeping = models.CharField(max_length=10, default="fresh", editable=False)
    """How it lay before its first bath: fresh, frozen, salted, dry-salted or dried."""
    since = models.DateTimeField(null=True, editable=False)
    """Since when it has stood where it stands: kept so, or waiting after its last stage."""

    class Meta:
        ordering: ClassVar = ["-created_at"]

    @property
    def is_raw(self) -> bool:
        """Whether no stage of preparation has begun or ended yet."""
        return not (self.step or self.step_done) and self.stage in RAW_STAGES

    @property
    def is_ready(self) -> bool:
        """Whether preparation is over and it waits for the vat."""
        return (
            not self.step
            and self.step_done.startswith(LAST_CHECK)
            and self.stage not in (IN_VAT, LEATHER)
        )

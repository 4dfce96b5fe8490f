"""Stock: lots of plant material, and the person's own measures."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from tanwright.yard.journal.models import Record


class Lot(Record):
    """One gathered or bought batch of plant material, kept together."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_lot",
    )

    material_id = models.CharField("plant", max_length=60)
    gathered_on = models.DateField("gathered on", null=True, blank=True)
    history = models.JSONField(default=dict, blank=True)
    """Keys of a sheet's [[material]] that tell how it grew and was kept: rained_on, mouldy,
    tree_age, part_of_trunk, light, soil, grind. A key not there: not known."""

    # Kept state, folded from the entries
    state = models.CharField(max_length=6, default="dry", editable=False)
    """``dry`` or ``fresh``, as it lies."""
    state_since = models.DateTimeField(null=True, editable=False)
    where = models.CharField("where it lies", max_length=60, blank=True, editable=False)
    ground = models.CharField("pieces", max_length=6, blank=True, editable=False)
    """``coarse`` or ``fine`` since it was ground in the yard; empty before."""
    got_kg = models.FloatField(default=0.0, editable=False)
    left_kg = models.FloatField(null=True, editable=False)
    """What is left, kg as it lies, never below nought; None when it was never weighed."""
    over_kg = models.FloatField(default=0.0, editable=False)
    """What was taken beyond all that had been noted, kg; a stocktake clears it."""
    tannin_low_pct = models.FloatField(null=True, editable=False)
    tannin_high_pct = models.FloatField(null=True, editable=False)
    """% of the lot as it lies, 5th to 95th percentile, from a trial or learned from a tannage."""
    tannin_how = models.CharField(max_length=120, blank=True, editable=False)
    skins_low = models.FloatField(null=True, editable=False)
    skins_likely = models.FloatField(null=True, editable=False)
    skins_high = models.FloatField(null=True, editable=False)
    """Goat skins that what is left should tan, 5th, 50th and 95th percentile."""

    class Meta:
        ordering: ClassVar = ["-created_at"]


class Container(models.Model):
    """The person's own measure, weighed or measured once: a bucket of chopped bark."""

    name = models.CharField(max_length=30, unique=True)
    holds_kg = models.FloatField(null=True, blank=True)
    holds_l = models.FloatField(null=True, blank=True)
    of = models.CharField("filled with", max_length=60, blank=True)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(holds_kg__isnull=False, holds_l__isnull=True)
                | Q(holds_kg__isnull=True, holds_l__isnull=False),
                name="a_container_holds_kg_or_litres",
            )
        ]

    def __str__(self) -> str:
        return self.name

"""Tannages: skins taken through a vat together, what was planned, and what the engine says now."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models
from django.utils import timezone

from tanwright.yard.journal.models import Record
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot


class Tannage(Record):
    """One or more skins in a vat."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_tannage",
    )

    class State(models.TextChoices):
        DRAFT = "draft", "being planned"
        PLANNED = "planned", "planned"
        RUNNING = "running", "in the vat"
        ENDED = "ended", "out of the vat"

    vat = models.CharField("vat", max_length=60, blank=True)
    vat_volume_l = models.FloatField(null=True, blank=True)
    temperature_c = models.FloatField(null=True, blank=True)
    move = models.CharField(max_length=6, blank=True)
    water = models.CharField(max_length=5, blank=True)
    leather = models.CharField(max_length=5, blank=True)
    start = models.DateField(null=True, blank=True)
    wanted_by = models.DateField(null=True, blank=True)
    degree_low = models.FloatField(null=True, blank=True)
    degree_high = models.FloatField(null=True, blank=True)
    skins: models.ManyToManyField[Skin, TannageSkin] = models.ManyToManyField(
        Skin, through="TannageSkin", related_name="tannages"
    )

    # Kept state, folded from the entries and the latest forecast
    state = models.CharField(
        max_length=8, choices=State.choices, default=State.DRAFT, editable=False
    )
    next_on = models.DateField(null=True, editable=False)
    next_action = models.CharField(max_length=12, blank=True, editable=False)
    next_headline = models.CharField(max_length=300, blank=True, editable=False)
    next_reason = models.CharField(max_length=500, blank=True, editable=False)
    finish_from = models.DateField(null=True, editable=False)
    finish_likely = models.DateField(null=True, editable=False)
    finish_to = models.DateField(null=True, editable=False)
    last_logged_at = models.DateTimeField(null=True, editable=False)
    gate_asked_at = models.DateTimeField(null=True, editable=False)
    """When the done questions were last answered with no; asked again after a wait."""
    worth_what = models.CharField(max_length=200, blank=True, editable=False)
    """The reading most worth taking now, in words, and its expected share off the finish day."""
    worth_share = models.FloatField(null=True, editable=False)

    class Meta:
        ordering: ClassVar = ["-created_at"]


class TannageSkin(models.Model):
    """A skin in a tannage."""

    tannage = models.ForeignKey(Tannage, on_delete=models.PROTECT, related_name="places")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="places")
    taken_out_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["tannage", "skin"], name="a_skin_once_in_a_tannage")
        ]

    def __str__(self) -> str:
        return f"{self.skin_id} in {self.tannage_id}"


class TannageMaterial(models.Model):
    """A lot that a tannage uses, or a plant that would have to be gathered for it."""

    tannage = models.ForeignKey(Tannage, on_delete=models.PROTECT, related_name="materials")
    lot = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="uses"
    )
    material_id = models.CharField(max_length=60)
    want = models.BooleanField(default=False)
    """More of it may be gathered or bought."""
    have_kg = models.FloatField(null=True, blank=True)
    """What lay there when the tannage was planned, kg as it lies."""
    as_believed = models.JSONField(default=dict, blank=True)
    """The lot's table before this tannage taught something about it; empty until then."""

    def __str__(self) -> str:
        return self.material_id


class Forecast(models.Model):
    """What the engine said: its inputs and its answer, kept together."""

    class What(models.TextChoices):
        PLAN = "plan"
        FORECAST = "forecast"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    tannage = models.ForeignKey(Tannage, on_delete=models.CASCADE, related_name="forecasts")
    what = models.CharField(max_length=8, choices=What.choices)
    made_at = models.DateTimeField(default=timezone.now)
    seen_from = models.DateField()
    """The day that was taken for today."""
    of_version = models.PositiveIntegerField()
    """``version`` of the tannage that it speaks of; older than that: a newer one is coming."""
    tables = models.JSONField()
    """The sheet, as planning.sheet_reader.sheet_from_options takes it."""
    readings_csv = models.TextField(blank=True)
    answer = models.JSONField(null=True)
    """As planning.keeping keeps an answer; None when the engine refused."""
    problem = models.JSONField(null=True)
    """What the engine refused: what, place, remedy."""
    members = models.PositiveIntegerField()
    seconds = models.FloatField()
    data_version = models.CharField(max_length=40, blank=True)

    class Meta:
        get_latest_by = "made_at"
        indexes: ClassVar = [models.Index(fields=["tannage", "-made_at"], name="latest_forecast")]

    def __str__(self) -> str:
        return f"{self.what} of {self.made_at:%Y-%m-%d %H:%M}"

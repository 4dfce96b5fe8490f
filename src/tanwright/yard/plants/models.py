"""The yard's own place, the person's own plants, and where plants were seen.

Sightings are copies out of a file that the person has; an import that is withdrawn lets go of
them, and its own row stays with the mark.
"""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone


class HomePlace(models.Model):
    """Where the yard is and how far its people go; one row, or none when nobody has said."""

    THE_ONE = 1

    id = models.PositiveSmallIntegerField(primary_key=True, default=THE_ONE, editable=False)
    place_code = models.CharField("country or region", max_length=20, blank=True)
    """Code of a place of ``tanwright.reference.world``; empty: not said."""
    name = models.CharField("in words", max_length=80, blank=True)
    latitude = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-90.0), MaxValueValidator(90.0)]
    )
    longitude = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-180.0), MaxValueValidator(180.0)]
    )
    altitude_m = models.FloatField(null=True, blank=True)
    """Metres above the sea; None: not said."""
    reach_km = models.FloatField(
        "how far you go", default=20.0, validators=[MinValueValidator(0.5)]
    )
    changed_at = models.DateTimeField(default=timezone.now, editable=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False
    )

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(id=1), name="one_home_place"),
            models.CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(latitude__isnull=False, longitude__isnull=False),
                name="a_position_has_both_numbers",
            ),
        ]

    def __str__(self) -> str:
        return self.name or self.place_code or "home"

    @property
    def has_position(self) -> bool:
        return self.latitude is not None and self.longitude is not None


class OwnPlant(models.Model):
    """A material that the person means to gather: their own list of plants."""

    material_id = models.CharField("plant", max_length=60, unique=True)
    note = models.TextField(blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False
    )

    class Meta:
        ordering: ClassVar = ["material_id"]

    def __str__(self) -> str:
        return self.material_id


class SightingsImport(models.Model):
    """A file of occurrence records that was read; the file itself is not kept."""

    class Kind(models.TextChoices):
        ARCHIVE = "dwca", "Darwin Core Archive"
        CSV = "csv", "table, commas or semicolons"
        TSV = "tsv", "table, tabs"

    class State(models.TextChoices):
        READING = "reading", "being read"
        WRITING = "writing", "being put down"
        DONE = "done", "taken in"
        FAILED = "failed", "could not be read"
        WITHDRAWN = "withdrawn", "withdrawn"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    file_name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    kind = models.CharField(max_length=4, choices=Kind.choices, blank=True)
    state = models.CharField(max_length=9, choices=State.choices, default=State.READING)
    rows_read = models.PositiveIntegerField(default=0)
    matched = models.PositiveIntegerField(default=0)
    """Rows that are counted among the sightings."""
    genus_only = models.PositiveIntegerField(default=0)
    """Of ``matched``: those of which only the genus is in the reference."""
    others = models.PositiveIntegerField(default=0)
    """Rows of plants and animals that the reference does not know."""
    refused = models.PositiveIntegerField(default=0)
    """Rows that could not be used: no date, no position, not seen, ..."""
    refusals = models.JSONField(default=dict, blank=True)
    """``{"causes": {words: rows}, "first": [[line, what is wrong], ...]}``."""
    share_read = models.FloatField(default=0.0)
    """Of the file's bytes, 0 to 1, while it is being read."""
    first_day = models.DateField(null=True)
    last_day = models.DateField(null=True)
    licence = models.CharField(max_length=500, blank=True)
    citation = models.TextField(blank=True)
    problem = models.JSONField(default=dict, blank=True)
    """``{"what":, "place":, "remedy":}`` of a file that could not be read."""
    begun_at = models.DateTimeField(default=timezone.now)
    heard_at = models.DateTimeField(default=timezone.now)
    """When whoever reads it last gave a sign of life."""
    ended_at = models.DateTimeField(null=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    SILENCE = timedelta(minutes=2)
    """After this long without a sign, whoever read it is gone."""

    class Meta:
        ordering: ClassVar = ["-begun_at"]

    def __str__(self) -> str:
        return self.file_name

    @property
    def is_running(self) -> bool:
        return self.state in (self.State.READING, self.State.WRITING)


class Sighting(models.Model):
    """How often a plant was seen in one cell of 0.01 degrees in one month of the year."""

    class Level(models.TextChoices):
        SPECIES = "species", "the plant itself"
        GENUS = "genus", "only the genus matched"

    source = models.ForeignKey(
        SightingsImport, on_delete=models.CASCADE, related_name="sightings", db_column="import_id"
    )
    taxon = models.CharField(max_length=100)
    """Scientific name of the reference, or a genus of it."""
    level = models.CharField(max_length=7, choices=Level.choices, default=Level.SPECIES)
    latitude = models.FloatField()
    longitude = models.FloatField()
    """Middle of the cell: degrees, rounded to 0.01."""
    month = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    count = models.PositiveIntegerField()
    latest = models.DateField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                # Its index is the one by which what lies around a position is found.
                fields=["latitude", "longitude", "source", "taxon", "level", "month"],
                name="one_sighting_per_cell_and_month",
            )
        ]

    def __str__(self) -> str:
        return f"{self.taxon} at {self.latitude:g}, {self.longitude:g}"

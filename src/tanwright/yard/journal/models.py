"""What the yard remembers: records, and the entries that were written about them.

Nothing here is ever overwritten or deleted.  An entry that was wrong is corrected by a new one that
points to it; one that should not stand is marked as withdrawn, and the mark can be taken back.
"""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone


class Record(models.Model):
    """Anything that has a page and a history: a skin, a lot, a tannage, a trial.

    The areas' own models extend it (multi-table), so that entries, photos, labels and search have
    one thing to point to.
    """

    class Kind(models.TextChoices):
        SKIN = "skin"
        LOT = "lot"
        LIQUOR = "liquor"
        TANNAGE = "tannage"
        LEATHER = "leather"
        PLACE = "place"
        TRIAL = "trial"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=10, choices=Kind.choices, editable=False)
    number = models.PositiveIntegerField(editable=False)
    """Counts from 1 within a kind; what is written on a label."""
    name = models.CharField("name", max_length=80, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)
    version = models.PositiveIntegerField(default=0, editable=False)
    """Counts every entry, correction and mark that touched this record."""

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["kind", "number"], name="one_number_per_kind")
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def code(self) -> str:
        """``"skin-12"``: short, and readable when the picture beside it is not."""
        return f"{self.kind}-{self.number}"

    @property
    def title(self) -> str:
        """Its own name, or ``"Skin 12"``."""
        return self.name or f"{self.get_kind_display()} {self.number}"

    def get_absolute_url(self) -> str:
        from tanwright.yard.journal.places import url_of

        return url_of(self)


class Entry(models.Model):
    """Something that was done, seen or measured; its id and its time come from whoever noted it."""

    class Standing(models.TextChoices):
        LIVE = "live"
        CORRECTED = "corrected"
        WITHDRAWN = "withdrawn"

    id = models.UUIDField(primary_key=True, editable=False)
    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=40)
    happened_at = models.DateTimeField()
    written_at = models.DateTimeField(default=timezone.now, editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(
        "people.Device", null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    data = models.JSONField(default=dict)
    """What was noted, in SI-based units; which keys, the entry's kind says."""
    note = models.TextField(blank=True)
    corrects = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrected_by"
    )
    standing = models.CharField(max_length=10, choices=Standing.choices, default=Standing.LIVE)
    """Follows from corrections and marks; kept here so that lists need not work it out."""

    class Meta:
        ordering: ClassVar = ["happened_at", "written_at"]
        indexes: ClassVar = [
            models.Index(fields=["record", "standing", "happened_at"], name="entries_of_record"),
            models.Index(fields=["-happened_at"], name="entries_by_time"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} on {self.happened_at:%Y-%m-%d}"


class Touch(models.Model):
    """Another record that an entry speaks of: the liquor that strengthened a vat, say."""

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="touches")
    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="touched_by")
    role = models.CharField(max_length=20)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["entry", "record", "role"], name="one_touch_each")
        ]

    def __str__(self) -> str:
        return self.role


class Mark(models.Model):
    """An entry or a record withdrawn, or put back."""

    class What(models.TextChoices):
        WITHDRAWN = "withdrawn"
        RESTORED = "restored"

    entry = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="marks"
    )
    record = models.ForeignKey(
        Record, null=True, blank=True, on_delete=models.PROTECT, related_name="marks"
    )
    what = models.CharField(max_length=10, choices=What.choices)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(entry__isnull=False, record__isnull=True)
                | Q(entry__isnull=True, record__isnull=False),
                name="a_mark_has_one_target",
            )
        ]

    def __str__(self) -> str:
        return self.what


class Photo(models.Model):
    """A picture that belongs to an entry, re-encoded without place or camera data."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="photos")
    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="photos")
    file = models.FileField(upload_to="%Y/%m/")
    thumbnail = models.FileField(upload_to="%Y/%m/")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    caption = models.CharField(max_length=200, blank=True)
    added_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar = ["-added_at"]

    def __str__(self) -> str:
        return self.caption or f"photo of {self.added_at:%Y-%m-%d}"

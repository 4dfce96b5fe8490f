"""Places of the yard."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from tanwright.yard.journal.models import Record


class Place(Record):
    """To be filled."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_place",
    )

    class Meta:
        ordering: ClassVar = ["-created_at"]
